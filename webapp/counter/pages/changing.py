"""Changing a quote: its build, its terms, and both changes of two people merged."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Path, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from webapp.accounts.dependencies import Staff
from webapp.accounts.people import Person
from webapp.catalogue.reading.load import list_models, list_revisions
from webapp.catalogue.reading.settings import settings_data
from webapp.catalogue.tables import PUBLISHED
from webapp.common.errors import DomainError, Invalid
from webapp.common.storage.database import reading
from webapp.common.timestamps import day_of
from webapp.common.web.dependencies import CurrentEngine, Now, ReadingSession
from webapp.common.web.templating import page
from webapp.counter.build_page import counter_build_page
from webapp.counter.builds import build_field, rider_of, without_bike
from webapp.counter.changing import (
    Collision,
    change_quote,
    fields_of_version,
    priced_for_quote,
    proposed_version,
)
from webapp.counter.lists import address_of
from webapp.counter.pages.forms import PRIVATE, Bike, Fields, bike_in, number_in
from webapp.counter.pages.making import build_answer, computed
from webapp.counter.quote_page import version_first
from webapp.counter.terms.preview import terms_preview, terms_refused
from webapp.counter.terms.terms_page import terms_page
from webapp.quote.freezing.bikes import MOST_BIKES
from webapp.quote.storage.people import buyer_of_quote
from webapp.quote.storage.read import QuoteView, next_version, quote_by_number, view_of

router = APIRouter()

TODAY = "today"
"""How an address asks for the prices of the day on every line."""

QUOTE = "/counter/quotes/{number}"


@router.get(QUOTE + "/build")
def change_build(
    *,
    number: str,
    request: Request,
    person: Staff,
    session: ReadingSession,
    at: Now,
    model: str = "",
    prices: str = "",
    bike: Bike = 1,
) -> HTMLResponse:
    """A build of the quote, to be changed or added; at its own prices, or ``prices`` of today."""
    quote = quote_by_number(session, number)
    view = view_of(session, quote)
    bikes = len(view.content.further) + 1
    bike = min(bike, bikes + 1)
    slug = model or view.bikes[min(bike, bikes) - 1].content.build.model_slug
    buyer = buyer_of_quote(session, quote)
    catalogue, read, result = computed(session, slug, request, rider_of(view, bike), buyer)
    anew = prices == TODAY
    made, trouble = None, ""
    if result is not None and not read.problems:
        try:
            result, made = priced_for_quote(
                session, view, result, on=day_of(at), prices_today=anew, bike=bike
            )
        except Invalid as error:
            trouble = "; ".join(problem.remedy for problem in error.problems)
    address = f"{address_of(number)}/build"
    other = f"&bike={bike}" if bike > 1 else ""
    newest = next((r.number for r in list_revisions(session, slug) if r.state == PUBLISHED), 0)
    newer = newest not in (0, catalogue.revision.number)
    query = "&".join(
        part
        for part in request.url.query.split("&")
        if not part.startswith(("rev=", "model=", "bike="))
    )
    shown = counter_build_page(
        catalogue,
        read,
        result,
        person=person,
        address=address,
        measure=f"{address_of(number)}/fit",
        number=view.number,
        version=view.version,
        bike=bike,
        added=bike > bikes,
        next_version=next_version(session, quote),
        made=made,
        prices_today=anew,
        trouble=trouble,
        other_models=tuple(
            (m.name, f"{address}?model={m.slug}{other}")
            for m in list_models(session)
            if m.slug != slug
        ),
        newer_revision=f"{address}?model={slug}&rev={newest}{other}&{query}" if newer else "",
    )
    return build_answer(request, shown, read)


@router.post(QUOTE + "/build")
def put_build(
    *,
    number: str,
    request: Request,
    person: Staff,
    engine: CurrentEngine,
    fields: Fields,
    at: Now,
) -> Response:
    """Make a version with another build, or one more bike, under the same terms."""
    bike = bike_in(fields)
    typed = {build_field(bike): fields.get("build", "")}
    return _changed(
        request=request,
        engine=engine,
        person=person,
        number=number,
        fields=fields,
        typed=typed,
        at=at,
        prices_today=fields.get("prices") == TODAY,
        total_shown=fields.get("total", ""),
    )


@router.post(QUOTE + "/bikes/{bike}/take-out")
def take_out(
    *,
    number: str,
    bike: Annotated[int, Path(ge=1, le=MOST_BIKES)],
    request: Request,
    person: Staff,
    engine: CurrentEngine,
    fields: Fields,
    at: Now,
) -> Response:
    """Make a version without one of its bikes."""
    with reading(engine) as session:
        view = view_of(session, quote_by_number(session, number))
    kept = fields_of_version(view)
    typed = dict.fromkeys(kept, "") | without_bike(kept, bike)
    return _changed(
        request=request,
        engine=engine,
        person=person,
        number=number,
        fields=fields,
        typed=typed,
        at=at,
    )


@router.get(QUOTE + "/terms")
def change_terms(
    *, number: str, request: Request, person: Staff, session: ReadingSession, at: Now
) -> HTMLResponse:
    """Everything agreed with the customer, to be changed."""
    view = view_of(session, quote_by_number(session, number))
    try:
        preview = terms_preview(view, proposed_version(session, view, {}, on=day_of(at)))
    except Invalid as error:
        preview = terms_refused(error)
    shop = settings_data(session)
    shown = terms_page(view, shop, person, today=day_of(at), preview=preview)
    return page(request, "pages/counter/terms.html", shown, headers=PRIVATE)


@router.post(QUOTE + "/terms/preview")
def preview_terms(
    *,
    number: str,
    request: Request,
    person: Staff,
    session: ReadingSession,
    fields: Fields,
    at: Now,
) -> HTMLResponse:
    """What a version under the terms typed would come to; nothing is written."""
    view = view_of(session, quote_by_number(session, number))
    error = None
    try:
        proposed = proposed_version(session, view, fields, on=day_of(at))
        preview = terms_preview(view, proposed)
    except Invalid as refused:
        error, preview = refused, terms_refused(refused)
    shown = terms_page(
        view,
        settings_data(session),
        person,
        today=day_of(at),
        typed=fields,
        preview=preview,
        error=error,
    )
    return page(
        request,
        "pages/counter/terms.html",
        shown,
        partial="partials/counter/terms_previewed.html",
        status=error.status if error else 200,
        headers=PRIVATE,
    )


@router.post(QUOTE + "/terms")
def put_terms(
    *,
    number: str,
    request: Request,
    person: Staff,
    engine: CurrentEngine,
    fields: Fields,
    at: Now,
) -> Response:
    """Make a version with other terms; after a merge, with another build too."""
    return _changed(
        request=request,
        engine=engine,
        person=person,
        number=number,
        fields=fields,
        typed=fields,
        at=at,
    )


def _changed(
    *,
    request: Request,
    engine: CurrentEngine,
    person: Person,
    number: str,
    fields: Fields,
    typed: dict[str, str],
    at: Now,
    prices_today: bool = False,
    total_shown: str = "",
) -> Response:
    try:
        made = change_quote(
            engine,
            number,
            seen=number_in(fields, "seen"),
            typed=typed,
            who=person.name,
            at=at,
            form_key=fields.get("key", ""),
            prices_today=prices_today,
            total_shown=total_shown,
        )
    except Collision as collision:
        return _terms(request, engine, person, collision.theirs, at, collision=collision)
    except Invalid as error:
        with reading(engine) as session:
            view = view_of(session, quote_by_number(session, number))
        return _terms(request, engine, person, view, at, typed=typed, error=error)
    with reading(engine) as session:
        shown = version_first(quote_by_number(session, number))
    # Where a version was accepted, the quote's page opens with that and not with the new one.
    only = f"?version={made}" if made != shown else ""
    return RedirectResponse(f"{address_of(number)}{only}", 303)


def _terms(
    request: Request,
    engine: CurrentEngine,
    person: Person,
    view: QuoteView,
    at: Now,
    *,
    typed: dict[str, str] | None = None,
    error: DomainError | None = None,
    collision: Collision | None = None,
) -> HTMLResponse:
    with reading(engine) as session:
        shop = settings_data(session)
    shown = terms_page(
        view,
        shop,
        person,
        today=day_of(at),
        typed=typed,
        preview=terms_refused(error) if isinstance(error, Invalid) else None,
        error=error,
        collision=collision,
    )
    status = 409 if collision else error.status if error else 200
    return page(request, "pages/counter/terms.html", shown, status=status, headers=PRIVATE)
