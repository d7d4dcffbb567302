"""The page *Your present bike*; nothing of it is kept on the server."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from webapp.builds.choice.carried_build import (
    OtherBikes,
    beside_in,
    carried_build_in,
    navigation_addresses,
)
from webapp.builds.present_bike.reading import read_present
from webapp.common.web.dependencies import PublicSession, query_of_request
from webapp.common.web.templating import page
from webapp.present_bike.page_context import PATH, present_page

router = APIRouter(include_in_schema=False)


@router.get(PATH)
def present_bike(request: Request, session: PublicSession) -> HTMLResponse:
    """The bike ridden now, in whichever way its rider knows it."""
    query = query_of_request(request)
    bike = read_present(query, session)
    along = carried_build_in(query)
    others = OtherBikes(present=bike.text, beside=beside_in(query))
    context = present_page(bike, along=along, others=others)
    return page(
        request,
        "pages/present_bike/present.html",
        context,
        partial="partials/present_bike/found.html",
        status=422 if bike.problems else 200,
        headers={"HX-Replace-Url": context.address, "Cache-Control": "no-store"},
        carried=navigation_addresses(along, others),
    )
