"""Recording what became of a rider and a bike."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import Session

from webapp.accounts.dependencies import Staff
from webapp.accounts.people import Person
from webapp.common.errors import DomainError, Invalid
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import tr
from webapp.common.timestamps import day_of
from webapp.common.web.dependencies import CurrentEngine, Now, ReadingSession
from webapp.common.web.templating import page
from webapp.counter.lists import address_of
from webapp.counter.outcome_page import outcome_page, quoted_bike
from webapp.counter.pages.forms import PRIVATE, Bike, Fields, bike_in
from webapp.outcomes.evidence import as_ridden, foretold
from webapp.outcomes.store import keep_outcome
from webapp.outcomes.tables import AFTER_MONTHS, AFTER_RIDE, Outcome
from webapp.outcomes.typed_outcome import TypedOutcome, read_outcome
from webapp.quote.storage.current_version import standing_version
from webapp.quote.storage.read import QuoteView, quote_by_number, view_of
from webapp.quote.tables import Quote

router = APIRouter()

OUTCOME = "/counter/quotes/{number}/outcome"


@router.get(OUTCOME)
def outcome(
    *,
    number: str,
    request: Request,
    person: Staff,
    session: ReadingSession,
    bike: Bike = 1,
    moment: str = AFTER_RIDE,
    done: bool = False,
) -> HTMLResponse:
    """The form, filled with what is known."""
    quote = quote_by_number(session, number)
    shown = outcome_page(
        session,
        _standing(session, quote),
        person,
        bike=bike,
        moment=moment,
        erased=quote.erased_at is not None,
        done=done,
    )
    return page(request, "pages/counter/outcome.html", shown, headers=PRIVATE)


def _standing(session: Session, quote: Quote) -> QuoteView:
    """The version that stands."""
    return view_of(session, quote, standing_version(quote))


@router.post(OUTCOME)
def record(
    *,
    number: str,
    request: Request,
    person: Staff,
    engine: CurrentEngine,
    fields: Fields,
    at: Now,
) -> Response:
    """Record an outcome, in place of an earlier one of the same moment."""
    bike = bike_in(fields)
    try:
        with writing(engine) as session:
            quote = quote_by_number(session, number, locked=True)
            moment = _record(session, quote, person, fields, bike=bike, at=at)
    except Invalid as error:
        return _refused(request, engine, person, (number, bike), fields=fields, error=error)
    recorded = f"bike={bike}&moment={moment}&done=true"
    return RedirectResponse(f"{address_of(number)}/outcome?{recorded}", 303)


def _record(
    session: Session, quote: Quote, person: Person, fields: dict[str, str], *, bike: int, at: Now
) -> str:
    catalogue, quoted = quoted_bike(session, _standing(session, quote).bike(bike))
    read = read_outcome(catalogue, quoted, fields)
    if read.rider is not None and quote.erased_at is not None:
        remedy = tr("unticked: the customer of this quote was erased")
        raise Invalid("consent", "", remedy)
    body = None
    if read.rider is not None:
        body = foretold(catalogue, read.choice, read.rider, bought=read.moment == AFTER_MONTHS)
        if body is None:
            remedy = tr("measurements from which a size can be predicted, or no consent")
            raise Invalid("stature", fields.get("stature", ""), remedy)
    keep_outcome(session, _row(read, (quote.number, bike), person, at), body)
    return read.moment


def _row(read: TypedOutcome, of: tuple[str, int], person: Person, at: Now) -> Outcome:
    number, bike = of
    return Outcome(
        quote_number=number,
        bike=bike,
        moment=read.moment,
        recorded_on=day_of(at),
        who=person.name,
        model=read.choice.model,
        revision=read.choice.revision,
        style=read.style,
        size_ridden=read.size_ridden,
        size_bought=read.size_bought,
        build=as_ridden(read.choice),
        length=read.length,
        height=read.height,
    )


def _refused(
    request: Request,
    engine: CurrentEngine,
    person: Person,
    of: tuple[str, int],
    *,
    fields: dict[str, str],
    error: DomainError,
) -> HTMLResponse:
    number, bike = of
    with reading(engine) as session:
        quote = quote_by_number(session, number)
        shown = outcome_page(
            session,
            _standing(session, quote),
            person,
            bike=bike,
            moment=fields.get("moment", ""),
            erased=quote.erased_at is not None,
            typed=fields,
            error=error,
        )
    return page(request, "pages/counter/outcome.html", shown, status=error.status, headers=PRIVATE)
