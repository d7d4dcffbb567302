"""Visitors with the link of a quote: what they are shown, and one action by one form."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Literal

from fastapi import APIRouter, Depends, Form, Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy import Engine
from sqlmodel import Session

from webapp.builds.choice.carried_build import navigation_addresses
from webapp.catalogue.marks.kept import mark_on_paper
from webapp.common.errors import Conflict, DomainError, Forbidden, Invalid, NotFound, TooMany
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import tr
from webapp.common.text.money import Money
from webapp.common.timestamps import day_of
from webapp.common.web.dependencies import BaseUrl, CurrentSettings, Now, ReadingSession
from webapp.common.web.error_answers import answer
from webapp.common.web.templating import page
from webapp.quote.customer_page.answers import CustomerPage, answers_of
from webapp.quote.letters.orders import accepted_message, cancelled_message
from webapp.quote.letters.posting import Letters
from webapp.quote.lifecycle import transitions
from webapp.quote.lifecycle.action_checks import done_before
from webapp.quote.lifecycle.new_versions import form_hash_of
from webapp.quote.lifecycle.order_steps import Step, ask_to_cancel, cancels_at_once
from webapp.quote.lifecycle.order_steps import cancel as cancel_order
from webapp.quote.lifecycle.order_terms import OrderTerms
from webapp.quote.lifecycle.situation import situation_of
from webapp.quote.printing.handover import handover_pdf, handover_sheet
from webapp.quote.printing.pdf import Paper, quote_pdf
from webapp.quote.printing.sheet import sheet_page
from webapp.quote.printing.with_mail import quote_paper
from webapp.quote.states import State
from webapp.quote.storage.current_version import accepted_of
from webapp.quote.storage.read import QuoteView, quote_by_token, quote_of_link, view_of
from webapp.quote.tables import Quote
from webapp.rate_limits.dependencies import Counting, Limits
from webapp.rate_limits.rules import Share

router = APIRouter(include_in_schema=False)

# No limit of length here: a text that is too long is shown again, with an error.
Text = Annotated[str, Form()]

PAPERS: dict[str, Paper] = {"a4": "A4", "letter": "Letter"}
ANSWERING = Share(kind="answer by sender", what=tr("an answer to a quote"), times=30, seconds=3600)

# What belongs to one customer is kept by no cache and listed by no search engine. Its
# address is told to no other site by the policy of every answer; the stricter policy of
# sending no referrer at all would make browsers send forms without an origin, which are refused.
PRIVATE = {
    "Cache-Control": "private, no-store",
    "X-Robots-Tag": "noindex, nofollow",
}


@dataclass(frozen=True, kw_only=True)
class Visitor:
    """Somebody with a link: what was asked, where, and when."""

    token: str
    request: Request
    engine: Engine
    counting: Counting
    letters: Letters
    at: datetime


def _visit(
    *,
    token: str,
    request: Request,
    counting: Limits,
    base: BaseUrl,
    settings: CurrentSettings,
    at: Now,
) -> Visitor:
    return Visitor(
        token=token,
        request=request,
        engine=counting.engine,
        counting=counting,
        letters=Letters(sends_mail=settings.sends_mail, base=base),
        at=at,
    )


Visit = Annotated[Visitor, Depends(_visit)]


Deed = Callable[[Session, Quote, str | None], None]


def answered(
    visit: Visitor, key: str, deed: Deed, typed: dict[str, str], *, then: str = "talk"
) -> Response:
    """Do it once and show the quote, or show why not beside what was typed."""
    form_hash = form_hash_of(key, visit.request.url.path, *typed.values())
    try:
        visit.counting.count(visit.counting.of_sender(ANSWERING))
        with writing(visit.engine) as session:
            quote = quote_of_link(session, visit.token, locked=True)
            if not done_before(session, form_hash):
                deed(session, quote, form_hash)
    except (Invalid, Conflict, Forbidden, TooMany) as error:
        return shown_sheet(visit, error=error, typed=typed)
    except NotFound as error:
        return answer(visit.request, error.status, error.problems, PRIVATE)
    return RedirectResponse(f"/q/{quote.token}#{then}", 303, PRIVATE)


def shown_sheet(
    visit: Visitor, *, error: DomainError | None = None, typed: dict[str, str] | None = None
) -> Response:
    """The quote a link opens, with what the customer can do; or why something was not done."""
    try:
        with reading(visit.engine) as session:
            quote = quote_of_link(session, visit.token)
            view = view_of(session, quote, quote.sent_version)
            answers = answers_of(session, quote, view, at=visit.at, error=error, typed=typed)
    except NotFound as missing:
        return answer(visit.request, missing.status, missing.problems, PRIVATE)
    link = visit.letters.base + path_of(view)
    shown = CustomerPage(sheet=sheet_page(view, link=link, today=day_of(visit.at)), answers=answers)
    headers = dict(PRIVATE)
    if isinstance(error, TooMany):
        headers["Retry-After"] = str(error.retry_after)
    status = error.status if error else 200
    whole = "pages/quote/sheet.html"  # its partial is the sheet alone, without what can be done
    along = navigation_addresses(shown.sheet.build_address.removeprefix("/build/"))
    return page(
        visit.request,
        whole,
        shown,
        partial=whole,
        status=status,
        headers=headers,
        carried=along,
    )


def path_of(quote: QuoteView) -> str:
    """Where the customer's link leads."""
    return f"/q/{quote.token}"


def _ordering(address: Text = "", agreed: Text = "") -> OrderTerms:
    return OrderTerms(address=address, agreed=agreed == "yes")


Ordering = Annotated[OrderTerms, Depends(_ordering)]


@router.get("/q/{token}")
def sheet(visit: Visit) -> Response:
    """The quote a link opens, as a page, with what the customer can do."""
    return shown_sheet(visit)


@router.post("/q/{token}/accept")
def accept(
    visit: Visit,
    version: Annotated[int, Form(ge=1, le=10**6)],
    terms: Ordering,
    accepted_by: Text = "",
    key: Text = "",
) -> Response:
    """Order the version read: with a typed name, an address and agreement to the terms."""

    def deed(session: Session, quote: Quote, form_hash: str | None) -> None:
        view = view_of(session, quote, quote.sent_version)
        transitions.accept(
            session,
            quote,
            view.content,
            version=version,
            name=accepted_by,
            who=transitions.CUSTOMER,
            at=visit.at,
            form_hash=form_hash,
            terms=terms,
        )
        _mail_acceptance(visit, session, quote, view, name=accepted_by)

    agreed = "yes" if terms.agreed else ""
    typed = {"accepted_by": accepted_by, "address": terms.address, "agreed": agreed}
    return answered(visit, key, deed, typed, then="order")


def _mail_acceptance(
    visit: Visitor, session: Session, quote: Quote, view: QuoteView, *, name: str
) -> None:
    """The customer gets a receipt with the sheet they have accepted; the shop is told."""
    letters, key = visit.letters, f"accepted-{quote.number}-{view.version}"
    paper = quote_paper(quote.number, view.version)
    receipt = accepted_message(view, letters.link(quote), attached=paper)
    letters.to_customer(session, quote, receipt, key=key, at=visit.at)
    subject = tr("Order {number}: version {version} is accepted", number=quote.number,
                 version=view.version)  # fmt: skip
    letters.to_shop(session, quote, subject, name.strip(), key=key, at=visit.at)


@router.post("/q/{token}/question")
def question(visit: Visit, text: Text = "", key: Text = "") -> Response:
    """Ask the shop about the quote."""

    def deed(session: Session, quote: Quote, form_hash: str | None) -> None:
        who, at = transitions.CUSTOMER, visit.at
        said = transitions.say(session, quote, text=text, who=who, at=at, form_hash=form_hash)
        subject = tr("A question about {number}", number=quote.number)
        _tell_shop(visit, session, quote, subject=subject, text=said, form_hash=form_hash)

    return answered(visit, key, deed, {"text": text})


def _tell_shop(
    visit: Visitor,
    session: Session,
    quote: Quote,
    *,
    subject: str,
    text: str,
    form_hash: str | None,
) -> None:
    """Tell the shop what the customer did with a form, and what they wrote."""
    occasion = f"{quote.number}-{(form_hash or visit.at.isoformat())[:24]}"
    visit.letters.to_shop(session, quote, subject, text, key=occasion, at=visit.at)


@router.post("/q/{token}/decline")
def decline(visit: Visit, declined: Text = "", key: Text = "") -> Response:
    """Decline the quote, or a change of the order."""

    def deed(session: Session, quote: Quote, form_hash: str | None) -> None:
        who, at = transitions.CUSTOMER, visit.at
        transitions.decline(session, quote, reason=declined, who=who, at=at, form_hash=form_hash)
        subject = tr("{number} is declined", number=quote.number)
        words = declined.strip()
        _tell_shop(visit, session, quote, subject=subject, text=words, form_hash=form_hash)

    return answered(visit, key, deed, {"declined": declined})


@router.post("/q/{token}/cancel")
def cancel(visit: Visit, reason: Text = "", key: Text = "") -> Response:
    """Cancel the order; once something is paid or begun, ask the shop to cancel it."""

    def deed(session: Session, quote: Quote, form_hash: str | None) -> None:
        step = Step(who=transitions.CUSTOMER, at=visit.at, form_hash=form_hash)
        if cancels_at_once(situation_of(session, quote, step.day)):
            accepted = view_of(session, quote, accepted_of(quote))
            nothing = Money(0, accepted.content.price.gross.currency)
            money = cancel_order(session, quote, step, reason=reason, kept=nothing)
            link = visit.letters.link(quote)
            told = cancelled_message(accepted, link, reason=reason.strip(), money=money)
            key = f"cancel-{quote.number}"
            visit.letters.to_customer(session, quote, told, key=key, at=visit.at)
            subject = tr("Order {number} is cancelled", number=quote.number)
        else:
            ask_to_cancel(session, quote, step, reason=reason)
            subject = tr("Order {number}: the customer asks to cancel", number=quote.number)
        words = reason.strip()
        _tell_shop(visit, session, quote, subject=subject, text=words, form_hash=form_hash)

    return answered(visit, key, deed, {"reason": reason}, then="order")


@router.get("/q/{token}/hand-over.pdf")
def hand_over_on_paper(token: str, request: Request, session: ReadingSession) -> Response:
    """The hand-over sheet, once the bike is handed over."""
    try:
        quote = quote_of_link(session, token)
        if quote.state not in (State.HANDED_OVER, State.CLOSED):
            remedy = tr("it is here once the bike is handed over")
            raise NotFound("hand-over", None, remedy)
        document = handover_pdf(handover_sheet(session, quote))
    except NotFound as error:
        return answer(request, error.status, error.problems, PRIVATE)
    disposition = f'inline; filename="hand-over-{quote.number}.pdf"'
    headers = PRIVATE | {"Content-Disposition": disposition}
    return Response(document, media_type="application/pdf", headers=headers)


@router.get("/q/{token}/sheet.pdf")
def sheet_on_paper(
    token: str,
    request: Request,
    session: ReadingSession,
    base: BaseUrl,
    paper: Literal["a4", "letter"] | None = None,
) -> Response:
    """The quote a link opens, as PDF; on the shop's own paper when none is named."""
    try:
        quote = quote_by_token(session, token)
    except NotFound as error:
        return answer(request, error.status, error.problems, PRIVATE)
    size = PAPERS[paper] if paper else quote.content.paper
    mark = mark_on_paper(session, quote.content.letterhead.mark)
    document = quote_pdf(quote, link=base + path_of(quote), paper=size, firm_mark=mark)
    name = f"quote-{quote.number}-version-{quote.version}.pdf"
    headers = PRIVATE | {"Content-Disposition": f'inline; filename="{name}"'}
    return Response(document, media_type="application/pdf", headers=headers)
