"""One quote at the counter: reading it, printing it, and what becomes of it."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, Literal

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import Session

from webapp.accounts.dependencies import Staff
from webapp.catalogue.marks.kept import mark_on_paper
from webapp.common.storage.database import reading, writing
from webapp.common.timestamps import day_of
from webapp.common.web.dependencies import (
    BaseUrl,
    CurrentEngine,
    CurrentSettings,
    Now,
    ReadingSession,
)
from webapp.common.web.templating import page
from webapp.counter.changing import copied
from webapp.counter.compare_page import compare_page
from webapp.counter.lists import address_of
from webapp.counter.mail_words import occasion
from webapp.counter.messages import answer_message, approved_message, quote_message
from webapp.counter.pages.doing import Doing
from webapp.counter.pages.forms import PRIVATE, Bike, Fields, number_in
from webapp.counter.quote_page import quote_page, version_first
from webapp.counter.workshop_page import workshop_page
from webapp.mail.outbox import post
from webapp.quote.letters.orders import accepted_message
from webapp.quote.lifecycle import transitions
from webapp.quote.lifecycle.new_versions import form_hash_of
from webapp.quote.lifecycle.once import refuse_sent_meanwhile
from webapp.quote.lifecycle.throwing_away import throw_away
from webapp.quote.printing.pdf import Paper, quote_pdf
from webapp.quote.printing.with_mail import quote_paper
from webapp.quote.states import State
from webapp.quote.storage.people import buyer_of_quote
from webapp.quote.storage.read import QuoteView, quote_by_number, versions_of, view_of
from webapp.quote.storage.write import put_quote
from webapp.quote.tables import Quote

router = APIRouter()

QUOTE = "/counter/quotes/{number}"
PAPERS: dict[str, Paper] = {"a4": "A4", "letter": "Letter"}

Version = Annotated[int | None, Query(ge=1, le=10**6)]


@router.get(QUOTE)
def one_quote(
    *,
    number: str,
    request: Request,
    person: Staff,
    session: ReadingSession,
    base: BaseUrl,
    settings: CurrentSettings,
    at: Now,
    version: Version = None,
) -> HTMLResponse:
    """A quote: its sheet, versions, what happened, what can be done."""
    quote = quote_by_number(session, number)
    shown = quote_page(
        session,
        quote,
        person,
        version=version,
        link=_link(base, quote),
        at=at,
        sends_mail=settings.sends_mail,
    )
    return page(request, "pages/counter/quote.html", shown, headers=PRIVATE)


def _link(base: str, quote: Quote) -> str:
    return f"{base}/q/{quote.token}"


@router.get(QUOTE + "/compare")
def compare(
    *, number: str, request: Request, person: Staff, session: ReadingSession, a: int, b: int
) -> HTMLResponse:
    """Two versions of a quote, compared in words."""
    quote = quote_by_number(session, number)
    before, after = view_of(session, quote, a), view_of(session, quote, b)
    shown = compare_page(person, before, after, versions=versions_of(session, quote))
    return page(request, "pages/counter/compare.html", shown, headers=PRIVATE)


@router.get(QUOTE + "/sheet.pdf")
def on_paper(
    *,
    number: str,
    session: ReadingSession,
    base: BaseUrl,
    version: Version = None,
    paper: Literal["a4", "letter"] | None = None,
    copy: Literal["customer", "workshop"] = "customer",
    bike: Bike = 1,
) -> Response:
    """A version on paper, as the customer or the workshop gets it."""
    quote = quote_by_number(session, number)
    view = view_of(session, quote, version or version_first(quote))
    size = PAPERS[paper] if paper else view.content.paper
    document = quote_pdf(
        view,
        link=_link(base, quote),
        paper=size,
        firm_mark=mark_on_paper(session, view.content.letterhead.mark),
        copy=copy,
        bike=bike,
    )
    draft = "-draft" if view.standing.draft else ""
    which = f"-bike-{bike}" if bike > 1 else ""
    name = f"quote-{view.number}-version-{view.version}{draft}-{copy}{which}.pdf"
    headers = PRIVATE | {"Content-Disposition": f'inline; filename="{name}"'}
    return Response(document, media_type="application/pdf", headers=headers)


@router.get(QUOTE + "/workshop")
def for_workshop(
    *,
    number: str,
    request: Request,
    person: Staff,
    session: ReadingSession,
    version: Version = None,
    bike: Bike = 1,
) -> HTMLResponse:
    """A bike of a version as the workshop reads it, on the screen by the bench."""
    quote = quote_by_number(session, number)
    shown = workshop_page(view_of(session, quote, version or version_first(quote)), person, bike)
    return page(request, "pages/counter/workshop.html", shown, headers=PRIVATE)


@router.post(QUOTE + "/send")
def send(number: str, doing: Doing) -> Response:
    """Make the current version the one the customer sees, and mail it where mail is set up."""

    def deed(session: Session, quote: Quote, view: QuoteView, form_hash: str | None) -> None:
        who, at = doing.person.name, doing.at
        sendings = number_in(doing.fields, "sendings")
        refuse_sent_meanwhile(session, quote, seen=sendings)
        transitions.send(
            session,
            quote,
            view.content,
            who=who,
            at=at,
            confirmed=doing.confirmed(),
            form_hash=form_hash,
        )
        if doing.letters.sends_mail and view.customer.mail:
            key = occasion(quote.number, view.version, sendings)
            paper = quote_paper(quote.number, view.version)
            message = replace(quote_message(view, doing.letters.link(quote)), attached=paper)
            post(session, message, key=key, about=quote.number, at=at)

    return doing.do(number, "send", deed)


@router.post(QUOTE + "/approve")
def approve(number: str, doing: Doing) -> Response:
    """Let what was asked for on the web be ordered, and tell the customer where mail is set up."""

    def deed(session: Session, quote: Quote, _view: QuoteView, form_hash: str | None) -> None:
        transitions.approve(session, quote, who=doing.person.name, at=doing.at, form_hash=form_hash)
        offered = view_of(session, quote, quote.sent_version)
        if doing.letters.sends_mail and offered.customer.mail:
            paper = quote_paper(quote.number, offered.version)
            message = replace(approved_message(offered, doing.letters.link(quote)), attached=paper)
            key = f"approved-{quote.number}-{offered.version}"
            post(session, message, key=key, about=quote.number, at=doing.at)

    return doing.do(number, "approve", deed)


@router.post(QUOTE + "/accept")
def accept(number: str, doing: Doing) -> Response:
    """Note that the customer has accepted, here at the counter."""

    def deed(session: Session, quote: Quote, view: QuoteView, form_hash: str | None) -> None:
        sent = quote.sent_version or 0
        offered = view_of(session, quote, sent) if sent else view
        transitions.accept(
            session,
            quote,
            offered.content,
            version=sent,
            name=doing.fields.get("accepted_by", ""),
            who=doing.person.name,
            at=doing.at,
            form_hash=form_hash,
        )
        paper, link = quote_paper(quote.number, sent), doing.letters.link(quote)
        receipt = accepted_message(offered, link, attached=paper)
        key = f"accepted-{quote.number}-{sent}"
        doing.letters.to_customer(session, quote, receipt, key=key, at=doing.at)

    return doing.do(number, "accept", deed, then="#order")


@router.post(QUOTE + "/confirm")
def confirm(number: str, doing: Doing) -> Response:
    """Confirm that items no longer offered are still available for this quote."""

    def deed(session: Session, quote: Quote, _view: QuoteView, form_hash: str | None) -> None:
        who, at, keys = doing.person.name, doing.at, doing.confirmed()
        transitions.confirm(session, quote, confirmed=keys, who=who, at=at, form_hash=form_hash)

    return doing.do(number, "confirm", deed)


@router.post(QUOTE + "/decline")
def decline(number: str, doing: Doing) -> Response:
    """Note that the customer declines the quote."""

    def deed(session: Session, quote: Quote, _view: QuoteView, form_hash: str | None) -> None:
        who, at, reason = doing.person.name, doing.at, doing.text()
        transitions.decline(session, quote, reason=reason, who=who, at=at, form_hash=form_hash)

    return doing.do(number, "decline", deed)


@router.post(QUOTE + "/withdraw")
def withdraw(number: str, doing: Doing) -> Response:
    """Take the quote back."""

    def deed(session: Session, quote: Quote, _view: QuoteView, form_hash: str | None) -> None:
        who, at, reason = doing.person.name, doing.at, doing.text()
        transitions.withdraw(session, quote, reason=reason, who=who, at=at, form_hash=form_hash)

    return doing.do(number, "withdraw", deed)


@router.post(QUOTE + "/throw-away")
def throw_version_away(number: str, doing: Doing) -> Response:
    """Take out the newest version, which the customer has not seen."""

    def deed(session: Session, quote: Quote, _view: QuoteView, form_hash: str | None) -> None:
        throw_away(session, quote, who=doing.person.name, at=doing.at, form_hash=form_hash)

    return doing.do(number, "throw-away", deed)


@router.post(QUOTE + "/settle")
def settle(number: str, doing: Doing) -> Response:
    """Take the quote out of the inbox."""

    def deed(session: Session, quote: Quote, _view: QuoteView, form_hash: str | None) -> None:
        who, at = doing.person.name, doing.at
        transitions.settle(session, quote, who=who, at=at, form_hash=form_hash)

    return doing.do(number, "settle", deed)


@router.post(QUOTE + "/answer")
def answer(number: str, doing: Doing) -> Response:
    """Answer the customer; shown with the quote, and mailed where mail is set up."""

    def deed(session: Session, quote: Quote, view: QuoteView, form_hash: str | None) -> None:
        who, at = doing.person.name, doing.at
        said = transitions.say(
            session, quote, text=doing.text(), who=who, at=at, form_hash=form_hash
        )
        if doing.letters.sends_mail and view.customer.mail and quote.sent_version:
            key = f"answer-{quote.number}-{(form_hash or at.isoformat())[:16]}"
            message = answer_message(view, doing.letters.link(quote), said)
            post(session, message, key=key, about=quote.number, at=at)

    return doing.do(number, "answer", deed)


@router.post(QUOTE + "/copy")
def copy_quote(
    *, number: str, person: Staff, engine: CurrentEngine, fields: Fields, at: Now
) -> Response:
    """A new draft of the same bikes and terms, at today's prices."""
    form_hash = form_hash_of(fields.get("key", ""), "copy", number)
    with reading(engine) as session:
        quote = quote_by_number(session, number)
        buyer = buyer_of_quote(session, quote)
        change = copied(session, view_of(session, quote), on=day_of(at), buyer=buyer)
        customer = quote.customer_id
    with writing(engine) as session:
        made = put_quote(
            session,
            change.content,
            change.customer,
            who=person.name,
            at=at,
            form_hash=form_hash,
            state=State.DRAFT,
            person=customer,
        ).number
    return RedirectResponse(address_of(made), 303)
