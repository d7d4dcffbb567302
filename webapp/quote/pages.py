"""Pages of quotes: asking for one, the sheet, and the sheet on paper."""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import APIRouter, Depends, Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import Session

from webapp.build.choice import ReadChoice, read_choice
from webapp.catalogue.reading import load_catalogue
from webapp.catalogue.views import Catalogue
from webapp.ground.dependencies import BaseUrl, ReadingSession, WritingSession, query_of_request
from webapp.ground.errors import DomainError, Invalid, NotFound, TooMany
from webapp.ground.failures import answer
from webapp.ground.queries import revision_in
from webapp.ground.security import RateLimit
from webapp.ground.templating import page
from webapp.quote.ask_page import AskPage, Typed, ask_page
from webapp.quote.asking import ask_for_quote
from webapp.quote.customer import read_customer
from webapp.quote.finding import QuoteView, quote_by_token
from webapp.quote.keeping import now
from webapp.quote.printing import Paper, quote_pdf
from webapp.quote.sheet import sheet_page

router = APIRouter(include_in_schema=False)

asking_for_quotes = RateLimit("a quote", times=20, seconds=3600)

# What belongs to one customer is kept by no cache, listed by no search engine,
# and its address is told to no other site.
PRIVATE = {
    "Cache-Control": "private, no-store",
    "X-Robots-Tag": "noindex, nofollow",
    "Referrer-Policy": "no-referrer",
}
# The form's page carries a key of its own; two visitors must never share one.
UNSHARED = {"Cache-Control": "private, no-store", "X-Robots-Tag": "noindex"}

PAPERS: dict[str, Paper] = {"a4": "A4", "letter": "Letter"}


def _typed(
    name: Annotated[str, Form()] = "",
    mail: Annotated[str, Form()] = "",
    note: Annotated[str, Form()] = "",
    key: Annotated[str, Form()] = "",
) -> Typed:
    return Typed(name=name, mail=mail, note=note, key=key)


InTheForm = Annotated[Typed, Depends(_typed)]


@router.get("/quote/{model}")
def form_for_quote(model: str, request: Request, session: ReadingSession) -> HTMLResponse:
    """The build, its price, and the form to ask for a quote of it."""
    catalogue, read = _build_of(model, request, session)
    return _form(request, ask_page(catalogue, read, Typed(), asked=request.url.query))


@router.post("/quote/{model}")
def ask(
    model: str,
    request: Request,
    session: ReadingSession,
    writing: WritingSession,
    typed: InTheForm,
) -> Response:
    """Make the quote and lead to it, or show the form again with what is wrong."""
    catalogue, read = _build_of(model, request, session)
    try:
        asking_for_quotes(request)
        customer = read_customer(name=typed.name, mail=typed.mail, note=typed.note)
        made = ask_for_quote(writing, catalogue, read.strict(), customer, form_key=typed.key)
    except (Invalid, TooMany) as error:
        shown = ask_page(catalogue, read, typed, asked=request.url.query, error=error)
        return _form(request, shown, error=error)
    return RedirectResponse(_path(made), 303, PRIVATE)


@router.get("/q/{token}")
def sheet(token: str, request: Request, session: ReadingSession, base: BaseUrl) -> Response:
    """The quote a link opens, as a page."""
    try:
        quote = quote_by_token(session, token)
    except NotFound as error:
        return answer(request, error.status, error.problems, PRIVATE)
    shown = sheet_page(quote, link=base + _path(quote), today=now().date())
    return page(request, "pages/quote_sheet.html", shown, headers=PRIVATE)


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
    refused = Invalid.status if shown.refusals else 200
    headers = dict(UNSHARED)
    if isinstance(error, TooMany):
        headers["Retry-After"] = str(error.retry_after)
    status = error.status if error else refused
    return page(request, "pages/quote.html", shown, status=status, headers=headers)


def _path(quote: QuoteView) -> str:
    return f"/q/{quote.token}"
