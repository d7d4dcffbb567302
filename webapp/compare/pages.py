"""The page *Side by side*."""

from __future__ import annotations

from urllib.parse import urlsplit

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from webapp.catalogue.reading.load import list_models
from webapp.common.web.dependencies import BaseUrl, PublicSession, query_of_request
from webapp.common.web.templating import page
from webapp.compare.address import PATH
from webapp.compare.load_builds import read_comparison
from webapp.compare.page_context import side_by_side_page

router = APIRouter(include_in_schema=False)


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
    )
