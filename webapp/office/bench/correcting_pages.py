"""An entry of the register put right, with what was there before kept beside it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import Session

from webapp.accounts.dependencies import Staff
from webapp.accounts.people import Person
from webapp.common.errors import Conflict, DomainError, Invalid, NotFound
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import tr
from webapp.common.two_edits import EditForm, Merged, edit_form, merged_if_changed
from webapp.common.web.choices import Option
from webapp.common.web.dependencies import CurrentEngine, Now, ReadingSession, RowNumber
from webapp.common.web.templating import page
from webapp.office.bench.frame_choices import (
    finish_options,
    frame_options,
    kind_chosen,
    value_of,
)
from webapp.office.bench.records import follow_number
from webapp.office.forms.submitted import PRIVATE, Texts, refusal
from webapp.quote.storage.search_index import put_words
from webapp.quote.tables import Quote
from webapp.serials.corrections import correct_frame, kind_of_frame
from webapp.serials.tables import SerialNumber

router = APIRouter(prefix="/office/bench/serials", include_in_schema=False)


@dataclass(frozen=True, kw_only=True)
class CorrectingPage:
    """The form of one entry; ``held`` is the order that holds the frame."""

    person: Person
    serial: str
    address: str
    texts: dict[str, str]
    frames: tuple[Option, ...]
    finishes: tuple[Option, ...]
    held: str
    edit: EditForm
    at_field: dict[str, str]
    errors: tuple[tuple[str, str], ...]


@router.get("/{number}/correct")
def correcting(
    number: RowNumber, request: Request, person: Staff, session: ReadingSession
) -> HTMLResponse:
    """The entry as it stands, to be put right."""
    return _answer(request, person, session, number)


@router.post("/{number}/correct")
def correct(
    number: RowNumber,
    *,
    request: Request,
    person: Staff,
    at: Now,
    engine: CurrentEngine,
    texts: Texts,
) -> Response:
    """Keep the entry as typed, and what it said before."""
    merged: Merged | None = None
    try:
        with writing(engine) as session:
            frame = _frame(session, number, locked=True)
            merged = merged_if_changed(texts, _now(frame), label=_label)
            if merged is None:
                _correct(session, frame, texts, who=person.name, at=at)
    except (Invalid, Conflict) as error:
        with reading(engine) as session:
            return _answer(request, person, session, number, texts=texts, error=error)
    if merged is None:
        return RedirectResponse(f"/office/bench/serials/{number}", 303)
    with reading(engine) as session:
        return _answer(request, person, session, number, merged=merged)


def _correct(
    session: Session, frame: SerialNumber, texts: dict[str, str], *, who: str, at: datetime
) -> None:
    """The entry, and what names the frame by its number: bench checks, and its order's words."""
    before, why = frame.serial, texts.get("why", "")
    kind = kind_chosen(session, frame, texts.get("frame", ""), texts.get("finish", ""))
    correct_frame(session, frame, texts.get("serial", ""), kind, who=who, why=why, at=at)
    if frame.serial != before:
        follow_number(session, before, frame.serial, who=who, why=why)
        quote = session.get(Quote, frame.quote_id) if frame.quote_id is not None else None
        if quote is not None:
            put_words(session, quote)


def _frame(session: Session, number: int, *, locked: bool = False) -> SerialNumber:
    row = session.get(SerialNumber, number, with_for_update=locked)
    if row is None:
        raise NotFound("serial number", number, tr("one of the register"))
    return row


def _now(frame: SerialNumber) -> dict[str, str]:
    chosen = value_of(kind_of_frame(frame))
    return {"serial": frame.serial, "frame": chosen, "finish": frame.finish}


def _label(field: str) -> str:
    return {"serial": tr("serial number"), "frame": tr("frame"), "finish": tr("finish")}[field]


def _answer(
    request: Request,
    person: Person,
    session: Session,
    number: int,
    *,
    texts: dict[str, str] | None = None,
    error: DomainError | None = None,
    merged: Merged | None = None,
) -> HTMLResponse:
    frame = _frame(session, number)
    now, told = _now(frame), refusal(error, merged=merged)
    quote = session.get(Quote, frame.quote_id) if frame.quote_id is not None else None
    context = CorrectingPage(
        person=person,
        serial=frame.serial,
        address=f"/office/bench/serials/{number}",
        texts={"why": "", **now, **((merged.fields if merged else texts) or {})},
        frames=frame_options(session, frame),
        finishes=finish_options(session, frame),
        held=quote.number if quote else "",
        edit=edit_form(now, texts, merged),
        at_field=told.at_field,
        errors=told.errors,
    )
    template = "pages/office/bench/correct_frame.html"
    return page(request, template, context, status=told.status, headers=PRIVATE)
