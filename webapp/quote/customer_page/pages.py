"""Pages of quotes: asking for one, the sheet, and the sheet on paper."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Literal

from fastapi import APIRouter, Depends, Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlalchemy import Engine
from sqlmodel import Session

from webapp.builds.choice.build_choice import ReadChoice, read_choice
from webapp.builds.choice.thread import places
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import (
    Conflict,
    DomainError,
    Forbidden,
    Invalid,
    NotFound,
    TooMany,
)
from webapp.common.query_strings import revision_in
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import tr
from webapp.common.timestamps import day_of
from webapp.common.web.dependencies import (
    BaseUrl,
    CurrentEngine,
    CurrentSettings,
    Now,
    ReadingSession,
    query_of_request,
)
from webapp.common.web.error_answers import answer
from webapp.common.web.templating import page
from webapp.limits.counting import Ask
from webapp.limits.dependencies import Counting, Limits
from webapp.limits.rules import Share
from webapp.mail.outbox import post
from webapp.quote.customer import read_customer
from webapp.quote.customer_page.answers import CustomerPage, answers_of
from webapp.quote.customer_page.messages import asked_message
from webapp.quote.customer_page.request_form import AskPage, TypedCustomer, ask_page
from webapp.quote.lifecycle import transitions
from webapp.quote.lifecycle.new_versions import form_hash_of
from webapp.quote.lifecycle.order_terms import OrderTerms
from webapp.quote.lifecycle.request import ask_for_quote, asking_key
from webapp.quote.lifecycle.standing_in_the_way import done_before
from webapp.quote.printing.pdf import Paper, quote_pdf
from webapp.quote.printing.sheet import sheet_page
from webapp.quote.storage.read import QuoteView, quote_by_token, quote_of_link, view_of
from webapp.quote.tables import Quote

router = APIRouter(include_in_schema=False)

ASKING = Share(kind="quote by sender", what=tr("a quote"), times=20, seconds=3600)
ASKING_FOR_MAIL = Share(
    kind="quote by mail", what=tr("a quote for this mail address"), times=10, seconds=3600
)
ANSWERING = Share(kind="answer by sender", what=tr("an answer to a quote"), times=30, seconds=3600)

# No length here: a text that is too long is shown again, with what would be right.
Text = Annotated[str, Form()]

# What belongs to one customer is kept by no cache and listed by no search engine. Its
# address is told to no other site by the policy of every answer; the stricter policy of
# telling it to nobody would have browsers send forms from nowhere, which are refused.
PRIVATE = {
    "Cache-Control": "private, no-store",
    "X-Robots-Tag": "noindex, nofollow",
}
# The form's page carries a key of its own; two visitors must never share one.
UNSHARED = {"Cache-Control": "private, no-store", "X-Robots-Tag": "noindex"}

ASKING_COOKIE = "asking"
ASKED_WITHIN = 24 * 3600  # s; the same asked for later is another request

PAPERS: dict[str, Paper] = {"a4": "A4", "letter": "Letter"}


def _typed(
    name: Annotated[str, Form()] = "",
    mail: Annotated[str, Form()] = "",
    note: Annotated[str, Form()] = "",
    key: Annotated[str, Form()] = "",
) -> TypedCustomer:
    return TypedCustomer(name=name, mail=mail, note=note, key=key)


InTheForm = Annotated[TypedCustomer, Depends(_typed)]


@router.get("/quote/{model}")
def form_for_quote(
    model: str, request: Request, session: ReadingSession, settings: CurrentSettings
) -> HTMLResponse:
    """The build, its price, and the form to ask for a quote of it.

    Its key stays in the browser for a while: whoever goes back and sends the same again
    gets the quote they have.
    """
    catalogue, read = _build_of(model, request, session)
    key = asking_key(request.cookies.get(ASKING_COOKIE, ""))
    shown = ask_page(catalogue, read, TypedCustomer(key=key), asked=request.url.query)
    answer = _form(request, shown)
    answer.set_cookie(
        ASKING_COOKIE,
        key,
        max_age=ASKED_WITHIN,
        path="/quote",
        secure=settings.behind_tls,
        httponly=True,
        samesite="lax",
    )
    return answer


@router.post("/quote/{model}")
def ask(
    *,
    model: str,
    request: Request,
    engine: CurrentEngine,
    typed: InTheForm,
    total: Text = "",
    question: Text = "",
    settings: CurrentSettings,
    counting: Limits,
    base: BaseUrl,
    at: Now,
) -> Response:
    """Make the quote and lead to it, or show the form again with what is wrong.

    Where mail is set up its link is mailed too, once, by the transaction that makes it.
    """
    with reading(engine) as session:
        catalogue, read = _build_of(model, request, session)
    try:
        customer = read_customer(name=typed.name, mail=typed.mail, note=typed.note)
        _count_asking(counting, customer.mail)
        asked, key = read.strict(), typed.key
        with writing(engine) as saving:
            made = ask_for_quote(
                saving,
                catalogue,
                asked,
                customer,
                form_key=key,
                total_shown=total,
                question=bool(question),
                at=at,
            )
            # The same form sent again, when the shop has worked on it since, tells no more.
            if settings.sends_mail and made.version == 1 and made.customer.mail:
                message = asked_message(
                    made,
                    base + _path(made),
                    confirmed=not catalogue.settings.confirm_before_order,
                )
                post(saving, message, key=f"asked-{made.number}", about=made.number, at=at)
    except (Invalid, TooMany) as error:
        shown = ask_page(catalogue, read, typed, asked=request.url.query, error=error)
        return _form(request, shown, error=error)
    return RedirectResponse(_path(made), 303, PRIVATE)


def _count_asking(counting: Counting, mail: str) -> None:
    """Count a quote asked for, by whoever sends the form and for the address that gets the mail."""
    of_mail = (Ask(ASKING_FOR_MAIL, mail.casefold()),) if mail else ()
    counting.count(counting.of_sender(ASKING), *of_mail)


@dataclass(frozen=True, kw_only=True)
class _Visit:
    """Somebody with a link: what was asked, where, and when."""

    token: str
    request: Request
    engine: Engine
    counting: Counting
    base: str
    at: datetime


def _visit(*, token: str, request: Request, counting: Limits, base: BaseUrl, at: Now) -> _Visit:
    engine = counting.engine
    return _Visit(token=token, request=request, engine=engine, counting=counting, base=base, at=at)


Visit = Annotated[_Visit, Depends(_visit)]


def _ordering(address: Text = "", agreed: Text = "") -> OrderTerms:
    return OrderTerms(address=address, agreed=agreed == "yes")


Ordering = Annotated[OrderTerms, Depends(_ordering)]


@router.get("/q/{token}")
def sheet(visit: Visit) -> Response:
    """The quote a link opens, as a page, with what the customer can do."""
    return _sheet(visit)


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
        transitions.accept(
            session,
            quote,
            view_of(session, quote, quote.sent_version).content,
            version=version,
            name=accepted_by,
            who=transitions.CUSTOMER,
            at=visit.at,
            form_hash=form_hash,
            terms=terms,
        )

    agreed = "yes" if terms.agreed else ""
    typed = {"accepted_by": accepted_by, "address": terms.address, "agreed": agreed}
    return _answered(visit, key, deed, typed)


@router.post("/q/{token}/question")
def question(visit: Visit, text: Text = "", key: Text = "") -> Response:
    """Ask the shop about the quote."""

    def deed(session: Session, quote: Quote, form_hash: str | None) -> None:
        who, at = transitions.CUSTOMER, visit.at
        transitions.say(session, quote, text=text, who=who, at=at, form_hash=form_hash)

    return _answered(visit, key, deed, {"text": text})


Deed = Callable[[Session, Quote, str | None], None]


def _answered(visit: _Visit, key: str, deed: Deed, typed: dict[str, str]) -> Response:
    """Do it once and show the quote, or say why not beside what was typed."""
    form_hash = form_hash_of(key, visit.request.url.path, *typed.values())
    try:
        visit.counting.count(visit.counting.of_sender(ANSWERING))
        with writing(visit.engine) as session:
            quote = quote_of_link(session, visit.token, locked=True)
            if not done_before(session, form_hash):
                deed(session, quote, form_hash)
    except (Invalid, Conflict, Forbidden, TooMany) as error:
        return _sheet(visit, error=error, typed=typed)
    except NotFound as error:
        return answer(visit.request, error.status, error.problems, PRIVATE)
    return RedirectResponse(f"/q/{quote.token}#talk", 303, PRIVATE)


def _sheet(
    visit: _Visit, *, error: DomainError | None = None, typed: dict[str, str] | None = None
) -> Response:
    try:
        with reading(visit.engine) as session:
            quote = quote_of_link(session, visit.token)
            view = view_of(session, quote, quote.sent_version)
            answers = answers_of(session, quote, view, at=visit.at, error=error, typed=typed)
    except NotFound as missing:
        return answer(visit.request, missing.status, missing.problems, PRIVATE)
    link = visit.base + _path(view)
    shown = CustomerPage(sheet=sheet_page(view, link=link, today=day_of(visit.at)), answers=answers)
    headers = dict(PRIVATE)
    if isinstance(error, TooMany):
        headers["Retry-After"] = str(error.retry_after)
    status = error.status if error else 200
    whole = "pages/quote/sheet.html"  # its partial is the sheet alone, without what can be done
    along = places(shown.sheet.build_address.removeprefix("/build/"))
    return page(
        visit.request,
        whole,
        shown,
        partial=whole,
        status=status,
        headers=headers,
        carried=along,
    )


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
    document = quote_pdf(quote, link=base + _path(quote), paper=size)
    name = f"quote-{quote.number}-version-{quote.version}.pdf"
    headers = PRIVATE | {"Content-Disposition": f'inline; filename="{name}"'}
    return Response(document, media_type="application/pdf", headers=headers)


def _build_of(model: str, request: Request, session: Session) -> tuple[Catalogue, ReadChoice]:
    query = query_of_request(request)
    catalogue = load_catalogue(session, model, revision_in(query))
    return catalogue, read_choice(catalogue, query)


def _form(request: Request, shown: AskPage, *, error: DomainError | None = None) -> HTMLResponse:
    refused = Invalid.status if shown.refusals and not shown.question else 200
    headers = dict(UNSHARED)
    if isinstance(error, TooMany):
        headers["Retry-After"] = str(error.retry_after)
    status = error.status if error else refused
    along = places(shown.build_address.removeprefix("/build/"))
    whole = "pages/quote/ask.html"
    return page(request, whole, shown, status=status, headers=headers, carried=along)


def _path(quote: QuoteView) -> str:
    return f"/q/{quote.token}"
