"""Pages of quotes: asking for one, the sheet, and the sheet on paper."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated

from fastapi import APIRouter, Depends, Form, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import Session

from webapp.builds.choice.build_choice import ReadChoice, read_choice
from webapp.builds.choice.carried_build import (
    OTHERS_KEYS,
    OtherBikes,
    beside_in,
    navigation_addresses,
    present_in,
    without_others,
)
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import (
    DomainError,
    Invalid,
    TooMany,
)
from webapp.common.query_strings import revision_in
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import tr
from webapp.common.web.dependencies import (
    BaseUrl,
    CurrentEngine,
    CurrentSettings,
    Now,
    ReadingSession,
    query_of_request,
)
from webapp.common.web.templating import page
from webapp.mail.outbox import post
from webapp.quote.customer import read_customer
from webapp.quote.customer_page import link_pages
from webapp.quote.customer_page.link_pages import PRIVATE, path_of
from webapp.quote.customer_page.messages import asked_message
from webapp.quote.customer_page.request_form import AskPage, TypedCustomer, ask_page
from webapp.quote.letters.posting import Letters
from webapp.quote.lifecycle.request import ask_for_quote, asking_key
from webapp.quote.printing.pdf import Paper
from webapp.quote.storage.read import QuoteView, quote_by_number
from webapp.rate_limits.counting import Ask
from webapp.rate_limits.dependencies import Counting, Limits
from webapp.rate_limits.rules import Share

router = APIRouter(include_in_schema=False)
router.include_router(link_pages.router)

ASKING = Share(kind="quote by sender", what=tr("a quote"), times=20, seconds=3600)
ASKING_FOR_MAIL = Share(
    kind="quote by mail", what=tr("a quote for this mail address"), times=10, seconds=3600
)

# No limit of length here: a text that is too long is shown again, with an error.
Text = Annotated[str, Form()]

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

    Its key stays in the browser for a while: sending the same form again leads to the existing
    quote.
    """
    catalogue, read = _build_of(model, request, session)
    key = asking_key(request.cookies.get(ASKING_COOKIE, ""))
    shown = ask_page(catalogue, read, TypedCustomer(key=key), asked=_asked(request))
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
            # The same form sent again after the shop has worked on the quote gets no more than
            # this.
            if settings.sends_mail and made.version == 1 and made.customer.mail:
                message = asked_message(
                    made,
                    base + path_of(made),
                    confirmed=not catalogue.settings.confirm_before_order,
                )
                post(saving, message, key=f"asked-{made.number}", about=made.number, at=at)
            if made.version == 1:
                _tell_shop(saving, made, Letters(sends_mail=settings.sends_mail, base=base), at)
    except (Invalid, TooMany) as error:
        shown = ask_page(catalogue, read, typed, asked=_asked(request), error=error)
        return _form(request, shown, error=error)
    return RedirectResponse(path_of(made), 303, PRIVATE)


def _tell_shop(session: Session, made: QuoteView, letters: Letters, at: datetime) -> None:
    """Tell the shop that somebody has asked for a quote."""
    quote = quote_by_number(session, made.number)
    subject = tr("New request {number}", number=made.number)
    text, key = made.customer.note, f"asked-{made.number}"
    letters.to_shop(session, quote, subject, text, key=key, at=at)


def _count_asking(counting: Counting, mail: str) -> None:
    """Count a quote asked for, by whoever sends the form and for the address that gets the mail."""
    of_mail = (Ask(ASKING_FOR_MAIL, mail.casefold()),) if mail else ()
    counting.count(counting.of_sender(ASKING), *of_mail)


def _build_of(model: str, request: Request, session: Session) -> tuple[Catalogue, ReadChoice]:
    query = query_of_request(request)
    catalogue = load_catalogue(session, model, revision_in(query))
    return catalogue, read_choice(catalogue, query, also=OTHERS_KEYS)


def _asked(request: Request) -> str:
    """The build as it was asked for, whatever of it can be used."""
    return without_others(request.url.query)


def _form(request: Request, shown: AskPage, *, error: DomainError | None = None) -> HTMLResponse:
    refused = Invalid.status if shown.refusals and not shown.question else 200
    headers = dict(UNSHARED)
    if isinstance(error, TooMany):
        headers["Retry-After"] = str(error.retry_after)
    status = error.status if error else refused
    query, whole = query_of_request(request), "pages/quote/ask.html"
    others = OtherBikes(present=present_in(query), beside=beside_in(query))
    along = navigation_addresses(shown.build_address.removeprefix("/build/"), others)
    context = others.in_links(shown, but=("without_rider",))
    return page(request, whole, context, status=status, headers=headers, carried=along)
