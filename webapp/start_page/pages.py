"""The first screen's page."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from webapp.builds.choice.carried_build import carried_build_in, navigation_addresses
from webapp.builds.present_bike.reading import other_bikes
from webapp.catalogue.reading.load import load_catalogue, models_on_offer
from webapp.common.web.dependencies import PublicSession, query_of_request
from webapp.common.web.templating import page
from webapp.start_page.frames import frame_of
from webapp.start_page.page_context import start_page

router = APIRouter(include_in_schema=False)


@router.get("/")
def first_screen(request: Request, session: PublicSession) -> Response:
    """Every frame with its drawing, and the question that leads to a size."""
    models = models_on_offer(session)
    catalogues = [load_catalogue(session, model.slug) for model in models]
    query = query_of_request(request)
    along, others = carried_build_in(query), other_bikes(query, session)
    shown = start_page(
        [frame_of(catalogue) for catalogue in catalogues],
        welcome=catalogues[0].settings.welcome,
        along=along,
        others=others,
    )
    carried = navigation_addresses(along, others)
    return page(request, "pages/start_page/start.html", shown, carried=carried)
