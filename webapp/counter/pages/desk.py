"""The desk: inbox and search."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse

from webapp.accounts.dependencies import Staff
from webapp.common.web.dependencies import Now, ReadingSession
from webapp.common.web.templating import page
from webapp.counter.desk import desk_page
from webapp.counter.lists import DESK
from webapp.counter.pages.forms import PRIVATE

router = APIRouter()

Key = Annotated[int, Query(ge=0, le=2**53)]


@router.get(DESK)
def desk(
    *,
    request: Request,
    person: Staff,
    session: ReadingSession,
    at: Now,
    q: str = "",
    before: Key = 0,
    after: Key = 0,
) -> HTMLResponse:
    """Who waits, and the quotes looked for."""
    shown = desk_page(session, person, query=q[:200], before=before, after=after, at=at)
    return page(
        request,
        "pages/counter/desk.html",
        shown,
        partial="partials/counter/found.html",
        headers=PRIVATE,
    )
