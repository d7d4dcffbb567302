"""The register of serial numbers: found by number, and all that is known of one bike."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from webapp.accounts.dependencies import Staff
from webapp.accounts.people import Person
from webapp.common.errors import NotFound
from webapp.common.text.language import tr
from webapp.common.web.dependencies import BeforeRow, ReadingSession, RowNumber
from webapp.common.web.templating import page
from webapp.office.bench.records import BenchView, checks_of_serial
from webapp.office.forms.submitted import PRIVATE
from webapp.quote.order.read import built_of, order_row
from webapp.quote.tables import Quote
from webapp.serials.corrections import corrections_of, entries_of
from webapp.serials.names import names_of_frame
from webapp.serials.register import FrameKind, frames_like, newest_frames
from webapp.serials.tables import SerialNumber

router = APIRouter(prefix="/office/bench/serials", include_in_schema=False)

_PAGE = 100


@dataclass(frozen=True, kw_only=True)
class FrameView:
    """One frame of the register, in words."""

    id: int
    serial: str
    words: str
    finish: str
    quote: str
    state: str
    sheet: str
    who: str
    at: datetime


@dataclass(frozen=True, kw_only=True)
class CorrectionView:
    """One correction: who, when, why, and what it changed, in words."""

    at: datetime
    who: str
    why: str
    changes: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class RegisterPage:
    """The register, or what was found in it."""

    person: Person
    text: str
    frames: tuple[FrameView, ...]
    none_words: str
    older: str


@dataclass(frozen=True, kw_only=True)
class FramePage:
    """All that is known of one bike."""

    person: Person
    frame: FrameView
    checks: tuple[BenchView, ...]
    corrections: tuple[CorrectionView, ...]


@router.get("")
def register(
    request: Request,
    person: Staff,
    session: ReadingSession,
    *,
    q: Annotated[str, Query(max_length=60)] = "",
    before: BeforeRow = 0,
) -> HTMLResponse:
    """The register, newest first, or the frames whose number holds a text."""
    found = frames_like(session, q, most=_PAGE) if q.strip() else _newest(session, before)
    full = len(found) == _PAGE and not q.strip()
    context = RegisterPage(
        person=person,
        text=q,
        frames=tuple(_view(session, row) for row in found),
        none_words=tr("No number contains this.") if q else tr("No frame has a number yet."),
        older=f"/office/bench/serials?before={found[-1].id}" if full else "",
    )
    return page(request, "pages/office/bench/register.html", context, headers=PRIVATE)


def _newest(session: Session, before: int) -> tuple[SerialNumber, ...]:
    return tuple(newest_frames(session, before=before, most=_PAGE))


@router.get("/{number}")
def one_frame(
    number: RowNumber, request: Request, person: Staff, session: ReadingSession
) -> HTMLResponse:
    """One bike by its number in the register: its order, its checks, its hand-over."""
    row = session.get(SerialNumber, number)
    if row is None:
        raise NotFound("serial number", number, tr("one of the register"))
    context = FramePage(
        person=person,
        frame=_view(session, row),
        checks=checks_of_serial(session, row.serial),
        corrections=_corrections(session, row),
    )
    return page(request, "pages/office/bench/frame.html", context, headers=PRIVATE)


def _sheet(session: Session, quote: Quote) -> str:
    """Where the hand-over sheet of an order is; empty before the bike was noted as built."""
    noted = built_of(order_row(session, quote)) is not None
    return f"/counter/quotes/{quote.number}/hand-over.pdf" if noted else ""


def _corrections(session: Session, row: SerialNumber) -> tuple[CorrectionView, ...]:
    said = [_said(session, each) for each in entries_of(session, row)]
    return tuple(
        CorrectionView(
            at=each.at,
            who=each.who,
            why=each.why,
            changes=tuple(
                tr("{name}: {before} → {after}", name=name, before=old[name], after=new[name])
                for name in new
                if new[name] != old[name]
            ),
        )
        for each, new, old in zip(corrections_of(session, row), said, said[1:], strict=False)
    )


def _said(session: Session, entry: Mapping[str, Any]) -> dict[str, str]:
    """An entry in words, by what they tell."""
    kind = FrameKind(**{name: value for name, value in entry.items() if name != "serial"})
    named = names_of_frame(session, kind)
    return {
        tr("serial number"): entry["serial"],
        tr("frame"): named.words,
        tr("finish"): named.finish or tr("not known"),
    }


def _view(session: Session, row: SerialNumber) -> FrameView:
    quote = session.get(Quote, row.quote_id) if row.quote_id is not None else None
    kind = FrameKind(model=row.model, revision=row.revision, size=row.size, finish=row.finish)
    named = names_of_frame(session, kind)
    return FrameView(
        id=int(row.id or 0),
        serial=row.serial,
        words=named.words,
        finish=named.finish,
        quote=quote.number if quote else "",
        state=quote.state if quote else "",
        sheet=_sheet(session, quote) if quote else "",
        who=row.who,
        at=row.at,
    )
