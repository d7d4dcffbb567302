"""The hand-over at the counter: the bike as built, its sheet, and who has it now."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from sqlmodel import Session

from webapp.accounts.dependencies import Staff
from webapp.common.errors import DomainError
from webapp.common.storage.database import reading
from webapp.common.timestamps import day_of
from webapp.common.web.dependencies import Now, ReadingSession
from webapp.common.web.templating import page
from webapp.counter.orders.handover_page import handover_page, with_bench
from webapp.counter.pages.doing import Doing, OneDeed, Refused
from webapp.counter.pages.forms import PRIVATE
from webapp.counter.pages.orders import Write, take_step
from webapp.quote.letters import orders as letters
from webapp.quote.lifecycle import order_steps as steps
from webapp.quote.lifecycle.order_steps import Step
from webapp.quote.lifecycle.situation import situation_of
from webapp.quote.order.built_bike import read_built
from webapp.quote.order.typed import read_serials
from webapp.quote.printing.handover import handover_pdf, handover_sheet
from webapp.quote.printing.with_mail import handover_paper
from webapp.quote.storage.current_version import accepted_of
from webapp.quote.storage.read import quote_by_number
from webapp.quote.tables import Quote

router = APIRouter()

HAND_OVER = "/counter/quotes/{number}/hand-over"


@router.get(HAND_OVER)
def the_hand_over(
    *, number: str, request: Request, person: Staff, session: ReadingSession, at: Now
) -> HTMLResponse:
    """What is noted of the built bike, and the sheet that is signed."""
    quote = quote_by_number(session, number)
    shown = handover_page(session, quote, person, situation_of(session, quote, day_of(at)))
    return page(request, "pages/counter/hand_over.html", shown, headers=PRIVATE)


@router.get(HAND_OVER + ".pdf")
def on_paper(*, number: str, session: ReadingSession) -> Response:
    """The hand-over sheet, to be signed."""
    document = handover_pdf(handover_sheet(session, quote_by_number(session, number)))
    disposition = f'inline; filename="hand-over-{number}.pdf"'
    headers = PRIVATE | {"Content-Disposition": disposition}
    return Response(document, media_type="application/pdf", headers=headers)


def _shown_again(number: str, doing: OneDeed) -> Refused:
    def refused(error: DomainError) -> Response:
        with reading(doing.engine) as session:
            quote = quote_by_number(session, number)
            situation = situation_of(session, quote, day_of(doing.at))
            shown = handover_page(
                session, quote, doing.person, situation, error=error, typed=doing.fields
            )
        name = "pages/counter/hand_over.html"
        return page(doing.request, name, shown, status=error.status, headers=PRIVATE)

    return refused


@router.post(HAND_OVER)
def note_built(number: str, doing: Doing) -> Response:
    """Keep serial number, set-up, torques and checks of the built bike."""

    def step(session: Session, quote: Quote, step: Step) -> None:
        typed = read_serials(doing.fields.get("serials", ""))
        content, version = steps.ordered_content(session, quote), accepted_of(quote) or 0
        built = read_built(doing.fields, content, version=version, who=step.who, on=step.day)
        steps.name_serials(session, quote, step.first(), serials=typed)
        steps.set_up(session, quote, step, with_bench(session, quote, built))

    again = _shown_again(number, doing)
    return take_step(number, doing, "set-up", step, then="/hand-over#sheet", refused=again)


@router.post(HAND_OVER + "/done")
def handed_over(number: str, doing: Doing) -> Response:
    """Note that the bike was handed over; its sheet goes to the customer."""

    def step(session: Session, quote: Quote, step: Step) -> Write:
        steps.hand_over(session, quote, step, name=doing.fields.get("name", ""))
        return lambda view, link: letters.handed_over_message(
            view, link, attached=handover_paper(view.number)
        )

    again = _shown_again(number, doing)
    return take_step(number, doing, "handed-over", step, refused=again)
