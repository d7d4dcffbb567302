"""The fit page: which size, how sure, and the rider on the bike."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse

from webapp.builds.choice.build_choice import BuildChoice, ReadChoice, read_choice
from webapp.builds.choice.carried_build import (
    OTHERS_KEYS,
    OtherBikes,
    beside_in,
    carried_text,
    navigation_addresses,
)
from webapp.builds.present_bike.reading import carried_present
from webapp.catalogue.reading.load import load_catalogue, models_beside, models_on_offer
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import Invalid, Problem
from webapp.common.query_strings import revision_in
from webapp.common.web.dependencies import PublicSession, query_of_request
from webapp.common.web.templating import page
from webapp.fit.advice import every_model, fit
from webapp.fit.answer import FitAnswer
from webapp.fit.page_context import fit_page
from webapp.fit.run import right_position
from webapp.rider.rider_input import RIDER_KEYS, ReadRider, read_rider, still_typing

router = APIRouter(include_in_schema=False)


@router.get("/fit")
def any_fit(request: Request, session: PublicSession) -> RedirectResponse:
    """The builder's first model."""
    models = models_on_offer(session)
    query = f"?{request.url.query}" if request.url.query else ""
    return RedirectResponse(f"/fit/{models[0].slug}{query}", 307)


@router.get("/fit/{model}")
def one_fit(model: str, request: Request, session: PublicSession) -> HTMLResponse:
    """One rider on one model; nothing of it is kept."""
    query = query_of_request(request)
    catalogue = load_catalogue(session, model, revision_in(query))
    rider = read_rider(catalogue, query)
    if request.headers.get("HX-Request-Type") == "partial":
        rider = still_typing(rider)
    read = read_choice(catalogue, query, also=("pose", *OTHERS_KEYS))
    bike = carried_present(query, session)
    others = OtherBikes(present=bike.text, beside=beside_in(query))
    find = partial(fit, others=partial(every_model, session), right=right_position(bike))
    answer, failed = _answered(catalogue, rider, read, find)
    problems = (*rider.problems, *_of_the_build(read), *failed)
    context = fit_page(
        catalogue,
        rider,
        answer,
        reference=read.choice,
        query=query,
        models=models_beside(session, catalogue),
        problems=problems,
        others=others,
    )
    return page(
        request,
        "pages/fit/fit.html",
        context,
        partial="partials/fit/fit_changed.html",
        status=422 if problems else 200,
        headers={"HX-Replace-Url": context.address},
        carried=navigation_addresses(
            carried_text(_taken_along(read.choice, answer, drawn=context.size)), others
        ),
    )


def _taken_along(choice: BuildChoice, answer: FitAnswer | None, *, drawn: str) -> BuildChoice:
    """The build that links carry: of the size drawn, or else of the size advised."""
    named = answer.named if answer else None
    return choice if drawn or named is None else named.choice


def _answered(
    catalogue: Catalogue, rider: ReadRider, read: ReadChoice, find: Callable[..., FitAnswer]
) -> tuple[FitAnswer | None, tuple[Problem, ...]]:
    """The answer from what could be read, or why there is none."""
    if not rider.rider.known:
        return None, ()
    try:
        return find(catalogue, rider.rider, read.choice), ()
    except Invalid as error:
        return None, error.problems


def _of_the_build(read: ReadChoice) -> tuple[Problem, ...]:
    return tuple(problem for problem in read.problems if problem.field not in RIDER_KEYS)
