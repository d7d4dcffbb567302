"""Making a quote at the counter: its build, the customer's name."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import Session

from webapp.accounts.dependencies import Staff
from webapp.builds.choice.build_choice import ReadChoice, read_choice
from webapp.builds.evaluation import BuildResult, compute
from webapp.catalogue.reading.load import list_models, load_catalogue
from webapp.catalogue.reading.prices import EVERYBODY, Buyer
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import DomainError, Invalid
from webapp.common.query_strings import revision_in
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import tr
from webapp.common.timestamps import day_of
from webapp.common.web.dependencies import (
    CurrentEngine,
    Now,
    ReadingSession,
    RowAsked,
    query_of_request,
)
from webapp.common.web.templating import page
from webapp.counter.build_page import CounterBuildPage, counter_build_page
from webapp.counter.customers.chosen import (
    ChosenCustomer,
    along_with,
    chosen_customer,
    customer_typed,
)
from webapp.counter.lists import address_of
from webapp.counter.pages.forms import PRIVATE, Fields
from webapp.counter.pages.measuring import NEW
from webapp.quote.agreed_terms.deal import Deal
from webapp.quote.customer import Customer, read_customer
from webapp.quote.customer_page.request_form import TypedCustomer
from webapp.quote.freezing.content import Pricing
from webapp.quote.freezing.pricing import refuse_other_total
from webapp.quote.lifecycle.new_versions import content_of_build, form_hash_of, new_quote
from webapp.quote.quoted_rider import rideable, with_kept_rider
from webapp.quote.storage.read import latest_number

router = APIRouter()


@router.get(NEW + "/{model}")
def new_build(
    model: str, request: Request, person: Staff, session: ReadingSession, customer: RowAsked = 0
) -> HTMLResponse:
    """The build of a new quote."""
    chosen = chosen_customer(session, customer)
    catalogue, read, result = computed(session, model, request, buyer=_buyer(chosen))
    shown = counter_build_page(
        catalogue,
        read,
        result,
        person=person,
        address=f"{NEW}/{model}",
        measure=NEW,
        other_models=_others(session, model, chosen),
        latest=latest_number(session),
        chosen=chosen,
    )
    return build_answer(request, shown, read)


@router.post(NEW + "/{model}")
def make(
    *,
    model: str,
    request: Request,
    person: Staff,
    engine: CurrentEngine,
    fields: Fields,
    at: Now,
    customer: RowAsked = 0,
) -> Response:
    """Make the quote, as a draft; a failed check is printed on it.

    Who is known by the name and mail address typed is quoted at their own prices.
    """
    typed = TypedCustomer(
        **{name: fields.get(name, "") for name in ("name", "mail", "note", "key")}
    )
    with reading(engine) as session:
        chosen = chosen_customer(session, customer)
        chosen = chosen or customer_typed(session, name=typed.name, mail=typed.mail)
        catalogue, read, result = computed(session, model, request, buyer=_buyer(chosen))
        others, latest = _others(session, model, chosen), latest_number(session)
    try:
        choice = read.strict()
        whom = chosen or typed
        quoted = read_customer(name=whom.name, mail=whom.mail, note=typed.note, mail_needed=False)
        content = content_of_build(catalogue, choice, Deal(), on=day_of(at))
        if chosen and not customer:
            _refuse_other_prices(content.price, fields.get("total", ""), catalogue, chosen)
        refuse_other_total(content.price, fields.get("total", ""))
    except Invalid as error:
        shown = counter_build_page(
            catalogue,
            read,
            result,
            person=person,
            address=f"{NEW}/{model}",
            measure=NEW,
            other_models=others,
            latest=latest,
            chosen=chosen,
            typed=typed,
            error=error,
        )
        return build_answer(request, shown, read, error=error)
    with writing(engine) as session:
        made = new_quote(
            session,
            catalogue,
            choice,
            content,
            quoted,
            who=person.name,
            at=at,
            form_hash=form_hash_of(typed.key, "new", typed.name, request.url.query),
            person=chosen.number if chosen else None,
        )
        number = made.number
    return RedirectResponse(address_of(number), 303)


def _buyer(chosen: ChosenCustomer | None) -> Buyer:
    return chosen.buyer if chosen else EVERYBODY


def _others(
    session: Session, present: str, chosen: ChosenCustomer | None
) -> tuple[tuple[str, str], ...]:
    along = f"?{along_with(chosen)}".rstrip("?&")
    models = list_models(session)
    return tuple((m.name, f"{NEW}/{m.slug}{along}") for m in models if m.slug != present)


def _refuse_other_prices(
    made: Pricing, shown: str, catalogue: Catalogue, known: ChosenCustomer
) -> None:
    """Refuse a quote for somebody known only now, whose prices are not those on the page."""
    if known.buyer == EVERYBODY or not shown or shown == made.gross.printed:
        return
    remedy = tr(
        "the price list {list} applies to {name}: the total is {total}, not {shown}; check it "
        "and decide again",
        name=known.name, list=catalogue.price_list, total=made.gross.printed, shown=shown,
    )  # fmt: skip
    raise Invalid("total", shown, remedy)


def computed(
    session: Session,
    model: str,
    request: Request,
    customer: Customer | None = None,
    buyer: Buyer = EVERYBODY,
) -> tuple[Catalogue, ReadChoice, BuildResult | None]:
    """The build of a request, with what is wrong with it; for a quote's customer, if given."""
    query = query_of_request(request)
    catalogue = load_catalogue(session, model, revision_in(query), buyer=buyer)
    if customer is not None:
        query = rideable(with_kept_rider(query, customer), customer, catalogue)
    read = read_choice(catalogue, query, also=("model", "prices", "bike", "customer"))
    try:
        return catalogue, read, compute(catalogue, read.choice)
    except Invalid as error:
        return catalogue, read.noting(error.problems), None


def build_answer(
    request: Request,
    shown: CounterBuildPage,
    read: ReadChoice,
    *,
    error: DomainError | None = None,
) -> HTMLResponse:
    """The build page at the counter, or what a changed choice changes on it."""
    status = error.status if error else 422 if read.problems else 200
    return page(
        request,
        "pages/counter/build.html",
        shown,
        partial="partials/counter/build_changed.html",
        status=status,
        headers=PRIVATE | {"HX-Replace-Url": f"{shown.address}?{shown.along}{shown.query}"},
    )
