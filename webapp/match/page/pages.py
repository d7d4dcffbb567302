"""The page *Match a position*: the present bike by tape, and the builds nearest to it."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse

from webapp.builds.choice.carried_build import (
    OtherBikes,
    beside_in,
    carried_build_in,
    fields_of,
    navigation_addresses,
)
from webapp.builds.present_bike.reading import carried_present
from webapp.catalogue.reading.load import load_catalogue, models_beside, models_on_offer
from webapp.common.errors import Invalid, Problem
from webapp.common.web.dependencies import PublicSession, query_of_request
from webapp.common.web.templating import page
from webapp.match.matching import match
from webapp.match.page.fitted import fitted_target
from webapp.match.page.page_context import FIXABLE, Taken, match_page
from webapp.match.page.typed_wish import read_wish
from webapp.rider.rider_input import read_rider

router = APIRouter(include_in_schema=False)


@router.get("/match")
def any_match(request: Request, session: PublicSession) -> RedirectResponse:
    """The builder's first model."""
    models = models_on_offer(session)
    query = f"?{request.url.query}" if request.url.query else ""
    return RedirectResponse(f"/match/{models[0].slug}{query}", 307)


@router.get("/match/{model}")
def one_match(model: str, request: Request, session: PublicSession) -> HTMLResponse:
    """One wish on one model; nothing of it is kept."""
    query = query_of_request(request)
    catalogue = load_catalogue(session, model)
    bike = carried_present(query, session)
    along = carried_build_in(query)
    known = read_rider(catalogue, fields_of(along)).rider
    others = OtherBikes(present=bike.text, beside=beside_in(query))
    rider = known if known.has_values else None
    taken = Taken(along=along, rider=rider, bike=bike, others=others)
    typed = read_wish(query, bike, fitted_target(catalogue, taken.rider), ("size", *FIXABLE))
    problems, found = typed.problems, None
    if typed.target is not None and not problems:
        try:
            found = match(catalogue, typed.wish)
        except Invalid as error:
            problems = tuple(_at_its_field(problem) for problem in error.problems)
    models = models_beside(session, catalogue)
    context = match_page(catalogue, models, taken, typed, found=found, problems=problems)
    return page(
        request,
        "pages/match/match.html",
        context,
        status=422 if problems else 200,
        carried=navigation_addresses(along, others),
    )


def _at_its_field(problem: Problem) -> Problem:
    """A problem of a fixed part, at the list it was chosen from."""
    field = problem.field.removeprefix("fixed.").replace("fixed", "size")
    return Problem(field, problem.value, problem.remedy)
