"""The build page: one build, its drawing, its figures, its checks and its price."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse

from webapp.builds.choice.build_choice import ReadChoice, address_of, read_choice
from webapp.builds.choice.carried_build import (
    OTHERS_KEYS,
    OtherBikes,
    beside_in,
    carried_text,
    navigation_addresses,
)
from webapp.builds.evaluation import BuildResult, compute
from webapp.builds.page.context import build_page
from webapp.builds.page.drive.page import WISH_KEYS, drive_page
from webapp.builds.page.ghost import ghost_of
from webapp.builds.page.link_age import SEEN_KEY, link_age
from webapp.builds.page.state_links import STATE_KEY, state_in, with_state
from webapp.builds.present_bike.reading import carried_present, other_bikes
from webapp.catalogue.reading.load import load_beside_newest, load_catalogue, models_on_offer
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import Invalid
from webapp.common.query_strings import revision_in
from webapp.common.web.dependencies import PublicSession, query_of_request
from webapp.common.web.templating import page

router = APIRouter(include_in_schema=False)


@router.get("/build")
def any_build(request: Request, session: PublicSession) -> RedirectResponse:
    """The builder's first model, in its usual build."""
    models = models_on_offer(session)
    query = f"?{request.url.query}" if request.url.query else ""
    return RedirectResponse(f"/build/{models[0].slug}{query}", 307)


@router.get("/build/{model}")
def one_build(model: str, request: Request, session: PublicSession) -> HTMLResponse:
    """One build, at its one address."""
    query = query_of_request(request)
    catalogue, newest = load_beside_newest(session, model, revision_in(query))
    also = (STATE_KEY, SEEN_KEY, *OTHERS_KEYS)
    state, read = state_in(query, read_choice(catalogue, query, also=also))
    bike = carried_present(query, session)
    others = OtherBikes(present=bike.text, beside=beside_in(query))
    ghost = ghost_of(bike, read.choice, others)
    address = others.along(with_state(address_of(read.choice), state))
    read, result = _computed(catalogue, read)
    age = link_age(query, read.choice, result, newest=newest.revision.number)
    return page(
        request,
        "pages/builds/build.html",
        build_page(catalogue, read, result, state=state, age=age, ghost=ghost, others=others),
        partial="partials/builds/build_changed.html",
        status=422 if read.problems else 200,
        headers={"HX-Replace-Url": address},
        carried=navigation_addresses(carried_text(read.choice), others),
    )


@router.get("/build/{model}/drive")
def drive_of_build(model: str, request: Request, session: PublicSession) -> HTMLResponse:
    """Rings and sprockets of one build, by a wished chainstay or gear."""
    query = query_of_request(request)
    catalogue = load_catalogue(session, model, revision_in(query))
    others = other_bikes(query, session)
    also = (*WISH_KEYS, *OTHERS_KEYS)
    read, result = _computed(catalogue, read_choice(catalogue, query, also=also))
    found = drive_page(catalogue, read, result, query, others=others)
    return page(
        request,
        "pages/builds/drive.html",
        found,
        status=422 if found.errors else 200,
        carried=navigation_addresses(carried_text(read.choice), others),
    )


def _computed(catalogue: Catalogue, read: ReadChoice) -> tuple[ReadChoice, BuildResult | None]:
    """The build, or why its parts cannot stand together, noted among the problems."""
    try:
        return read, compute(catalogue, read.choice)
    except Invalid as error:
        return read.noting(error.problems), None
