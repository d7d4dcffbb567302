"""Records: one person's data, data due for erasing, all quotes as a table."""

from __future__ import annotations

import json
from dataclasses import dataclass
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response, StreamingResponse
from sqlmodel import Session

from webapp.accounts.confirmation import CONFIRMED
from webapp.accounts.dependencies import Builder, Staff
from webapp.accounts.people import Person
from webapp.catalogue.reading.settings import settings_data
from webapp.common.errors import DomainError, NotFound, form_errors
from webapp.common.storage.database import writing
from webapp.common.storage.scrubbing import scrub
from webapp.common.text.language import tr
from webapp.common.timestamps import day_of
from webapp.common.web.dependencies import CurrentEngine, Now, ReadingSession
from webapp.common.web.templating import page
from webapp.counter.pages.forms import PRIVATE, Fields
from webapp.customers.store import with_mail
from webapp.quote.storage import export, privacy

router = APIRouter()

RECORDS = "/counter/records"


@dataclass(frozen=True, kw_only=True)
class RecordsPage:
    """The page of records."""

    person: Person
    kept: tuple[tuple[str, str], ...]
    months: int
    overdue: int
    mail: str
    numbers: tuple[str, ...]
    errors: tuple[tuple[str, str], ...]
    done: str

    @property
    def can_erase_overdue(self) -> bool:
        """Whether there is something to erase, and somebody who may."""
        return self.overdue > 0 and self.person.is_builder

    @property
    def data_address(self) -> str:
        """Where everything kept of the person is taken out."""
        return f"{RECORDS}/person.json?{urlencode({'mail': self.mail})}"


@router.get(RECORDS)
def records(
    *,
    request: Request,
    person: Staff,
    session: ReadingSession,
    at: Now,
    mail: str = "",
    done: int | None = None,
) -> HTMLResponse:
    """What is kept, and of one person when an address is given."""
    error: DomainError | None = None
    numbers: tuple[str, ...] = ()
    if mail:
        try:
            numbers = tuple(quote.number for quote in privacy.quotes_of(session, mail))
        except NotFound as found:
            error = found
    return _records(
        request, session, person, at, mail=mail, numbers=numbers, error=error, done=done
    )


def _records(
    request: Request,
    session: Session,
    person: Person,
    at: Now,
    *,
    mail: str,
    numbers: tuple[str, ...],
    error: DomainError | None,
    done: int | None,
) -> HTMLResponse:
    months = settings_data(session).retention_months
    shown = RecordsPage(
        person=person,
        kept=privacy.KEPT,
        months=months,
        overdue=len(privacy.overdue(session, today=day_of(at), months=months)),
        mail=mail[:254],
        numbers=numbers,
        errors=form_errors(error)[0],
        done="" if done is None else tr("The customer was erased from {done} quotes.", done=done),
    )
    status = error.status if error else 200
    return page(request, "pages/counter/records.html", shown, status=status, headers=PRIVATE)


@router.get(RECORDS + "/person.json", dependencies=[CONFIRMED])
def person_as_json(session: ReadingSession, mail: str) -> Response:
    """Everything kept about one person, for them to take away."""
    found = json.dumps(privacy.person_as_json(session, mail), ensure_ascii=False, indent=1)
    headers = PRIVATE | {"Content-Disposition": 'attachment; filename="person.json"'}
    return Response(found, media_type="application/json", headers=headers)


@router.post(RECORDS + "/erase", dependencies=[CONFIRMED])
def erase_person(*, person: Builder, engine: CurrentEngine, fields: Fields, at: Now) -> Response:
    """Erase one person from every quote; the figures stay."""
    with writing(engine) as session:
        mail = fields.get("mail", "")
        count = privacy.erase(session, privacy.quotes_of(session, mail), who=person.name, at=at)
        for entry in with_mail(session, mail):
            count += privacy.erase_customer(session, entry, who=person.name, at=at)
    scrub(engine)
    return RedirectResponse(f"{RECORDS}?done={count}", 303)


@router.post(RECORDS + "/erase-overdue", dependencies=[CONFIRMED])
def erase_overdue(*, person: Builder, engine: CurrentEngine, at: Now) -> Response:
    """Erase everybody whose data need not be kept any longer.

    Done by hand and never automatically: a clock that is wrong by years would otherwise erase
    everybody.
    """
    with writing(engine) as session:
        months, today = settings_data(session).retention_months, day_of(at)
        quotes = privacy.overdue(session, today=today, months=months)
        count = privacy.erase(session, quotes, who=person.name, at=at)
        for entry in privacy.overdue_entries(session, today=today, months=months):
            privacy.erase_customer(session, entry, who=person.name, at=at)
    scrub(engine)
    return RedirectResponse(f"{RECORDS}?done={count}", 303)


@router.get(RECORDS + "/quotes.csv", dependencies=[CONFIRMED])
def quotes_csv(engine: CurrentEngine, at: Now) -> StreamingResponse:
    """All quotes as CSV."""
    headers = PRIVATE | {"Content-Disposition": 'attachment; filename="quotes.csv"'}
    lines = export.as_csv(engine, today=day_of(at))
    return StreamingResponse(lines, media_type="text/csv; charset=utf-8", headers=headers)


@router.get(RECORDS + "/quotes.json", dependencies=[CONFIRMED])
def quotes_json(engine: CurrentEngine) -> StreamingResponse:
    """Everything about all quotes as JSON."""
    headers = PRIVATE | {"Content-Disposition": 'attachment; filename="quotes.json"'}
    pieces = export.as_json(engine)
    return StreamingResponse(pieces, media_type="application/json", headers=headers)
