"""Measuring a rider at the counter: for a new quote, or for one that is there."""

from __future__ import annotations

from functools import partial
from typing import Annotated
from urllib.parse import parse_qs

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from webapp.accounts.dependencies import Staff
from webapp.accounts.people import Person
from webapp.builds.choice.build_choice import Query as BuildQuery
from webapp.builds.choice.build_choice import read_choice
from webapp.catalogue.reading.load import list_models, load_catalogue, models_on_offer
from webapp.common.errors import Invalid, Problem
from webapp.common.query_strings import revision_in
from webapp.common.web.dependencies import ReadingSession, RowAsked, query_of_request
from webapp.common.web.templating import page
from webapp.counter.customers.chosen import ChosenCustomer, chosen_customer
from webapp.counter.lists import DESK, address_of
from webapp.counter.measuring.measure_page import measure_page
from webapp.counter.pages.forms import PRIVATE
from webapp.fit.advice import every_model, fit
from webapp.fit.answer import FitAnswer
from webapp.fit.page_context import fit_page
from webapp.quote.quoted_rider import with_kept_rider
from webapp.quote.storage.read import quote_by_number, view_of
from webapp.rider.rider_input import read_rider, still_typing

router = APIRouter()

NEW = f"{DESK}/new"

Model = Annotated[str, Query(max_length=60)]


@router.get(NEW)
def measure_for_new(
    *,
    request: Request,
    person: Staff,
    session: ReadingSession,
    model: Model = "",
    customer: RowAsked = 0,
) -> HTMLResponse:
    """Whom a new quote is for, and on which model: the first step to a quote."""
    query = query_of_request(request)
    models = models_on_offer(session)
    return _measured(
        session, request, person, model or models[0].slug, query,
        address=NEW, builds=NEW + "/{model}?", chosen=chosen_customer(session, customer),
    )  # fmt: skip


@router.get(DESK + "/quotes/{number}/fit")
def measure_for_quote(
    *, number: str, request: Request, person: Staff, session: ReadingSession, model: Model = ""
) -> HTMLResponse:
    """The customer of a quote measured, or measured again, on the build that is quoted."""
    view = view_of(session, quote_by_number(session, number))
    build = view.content.build
    query = query_of_request(request)
    kept = parse_qs(build.query) if model in ("", build.model_slug) else {}
    query = with_kept_rider(kept | query, view.customer)
    address = address_of(number)
    return _measured(
        session, request, person, model or build.model_slug, query, number=number,
        address=f"{address}/fit", builds=address + "/build?model={model}&",
    )  # fmt: skip


def _measured(
    session: Session,
    request: Request,
    person: Person,
    model: str,
    query: BuildQuery,
    *,
    address: str,
    builds: str,
    number: str = "",
    chosen: ChosenCustomer | None = None,
) -> HTMLResponse:
    catalogue = load_catalogue(session, model, revision_in(query))
    rider = read_rider(catalogue, query)
    if request.headers.get("HX-Request-Type") == "partial":
        rider = still_typing(rider)
    read = read_choice(catalogue, query, also=("pose", "model", "customer"))
    answer: FitAnswer | None = None
    failed: tuple[Problem, ...] = ()
    if rider.rider.known:
        try:
            answer = fit(catalogue, rider.rider, read.choice, others=partial(every_model, session))
        except Invalid as error:
            failed = error.problems
    problems = (*rider.problems, *failed)
    hidden = {name: values for name, values in query.items() if name not in ("model", "customer")}
    told = fit_page(
        catalogue,
        rider,
        answer,
        reference=read.choice,
        query=hidden,
        models=list_models(session),
        problems=problems,
    )
    shown = measure_page(
        told, catalogue, person=person, address=address, builds=builds, number=number, chosen=chosen
    )
    return page(
        request,
        "pages/counter/measure.html",
        shown,
        partial="partials/counter/measured.html",
        status=422 if problems else 200,
        headers=PRIVATE | {"HX-Replace-Url": shown.here},
    )
