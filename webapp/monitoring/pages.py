"""Health answers for monitoring: whether the service runs, and whether it can work."""

from __future__ import annotations

from hmac import compare_digest

from fastapi import APIRouter, Request
from starlette.exceptions import HTTPException
from starlette.responses import Response

from webapp.catalogue.reading.load import list_models
from webapp.catalogue.reading.settings import settings_data
from webapp.common.errors import NotFound
from webapp.common.web.dependencies import CurrentSettings, ReadingSession
from webapp.monitoring.figures import Figures

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


@router.get("/metrics")
async def figures(request: Request, settings: CurrentSettings) -> Response:
    """What was counted, for whoever brings the token; without such a setting there is nothing."""
    if settings.metrics_token is None:
        raise NotFound("address", None, "set METRICS_TOKEN to have figures here")
    given = request.headers.get("authorization", "")
    wanted = f"Bearer {settings.metrics_token.get_secret_value()}"
    if not compare_digest(given.encode(), wanted.encode()):
        raise HTTPException(401, "bring the token of METRICS_TOKEN", {"WWW-Authenticate": "Bearer"})
    counted: Figures = request.app.state.figures
    text, kind = counted.written(request.headers.get("accept", ""))
    return Response(text, media_type=kind, headers={"Cache-Control": "no-store"})
