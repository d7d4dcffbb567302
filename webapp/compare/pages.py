"""The page *Side by side*."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlsplit

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from webapp.builds.choice.carried_build import carried_build_in, navigation_addresses
from webapp.builds.present_bike.reading import other_bikes
from webapp.catalogue.reading.load import list_models
from webapp.common.web.dependencies import BaseUrl, PublicSession, query_of_request
from webapp.common.web.templating import page
from webapp.compare.address import PATH, compare_address
from webapp.compare.load_builds import Comparison, read_comparison
from webapp.compare.page_context import side_by_side_page

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True, kw_only=True)
class MyBuildsPage:
    """The page of kept builds: only the address where they are compared."""

    compare_address: str = PATH


@router.get("/my-builds")
def my_builds(request: Request, session: PublicSession) -> HTMLResponse:
    """The builds kept in the reader's own browser, which shows them itself."""
    query = query_of_request(request)
    carried = navigation_addresses(carried_build_in(query), other_bikes(query, session))
    return page(request, "pages/compare/my_builds.html", MyBuildsPage(), carried=carried)


@router.get(PATH)
def side_by_side(request: Request, session: PublicSession, base: BaseUrl) -> HTMLResponse:
    """Up to four builds, what differs first."""
    sites = {request.url.netloc, urlsplit(base).netloc}
    comparison = read_comparison(session, query_of_request(request), sites=sites)
    shown = side_by_side_page(comparison, list_models(session))
    return page(
        request,
        "pages/compare/compare.html",
        shown,
        status=422 if shown.errors else 200,
        headers={"HX-Replace-Url": shown.address},
        carried=_carried(comparison),
    )


def _carried(comparison: Comparison) -> dict[str, str]:
    """Links carry the first build with those beside it."""
    view = comparison.view
    first, *beside = comparison.texts or ("",)
    found = navigation_addresses(first, view.others(beside))
    return found | {"side-by-side": compare_address(comparison.texts, view)} if found else {}
