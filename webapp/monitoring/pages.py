"""For whatever watches the service: whether it lives, and whether it can work."""

from __future__ import annotations

from fastapi import APIRouter

from webapp.catalogue.reading.load import list_models
from webapp.catalogue.writing.shop import settings_data
from webapp.common.web.dependencies import ReadingSession

router = APIRouter(include_in_schema=False)


@router.get("/health")
async def is_alive() -> dict[str, str]:
    """The process answers. It waits for no thread and no database, however busy both are."""
    return {"status": "ok"}


@router.get("/ready")
def is_ready(session: ReadingSession) -> dict[str, str]:
    """The service can work: what a page is made of was read from the database.

    When it cannot be read, the answer is 503 and says why, as on every page.
    """
    settings_data(session)
    list_models(session)
    return {"status": "ready"}
