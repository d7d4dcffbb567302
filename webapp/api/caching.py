"""Tables as data, kept by whoever asked until the catalogue changes."""

from __future__ import annotations

from typing import Any

from fastapi import Request
from sqlmodel import Session
from starlette.responses import Response

from webapp.table.etag import same, table_etag

KEPT: dict[int | str, dict[str, Any]] = {
    304: {"description": "what was kept under this ETag is still right"}
}


def kept_headers(request: Request, session: Session) -> dict[str, str]:
    """Headers that let an answer be kept, to be asked for again only if it changed."""
    etag = table_etag(session, request.url.path, request.url.query)
    return {"ETag": etag, "Cache-Control": "no-cache"}


def unchanged(request: Request, headers: dict[str, str]) -> Response | None:
    """Word that what is kept is still right; None when it is not."""
    if same(headers["ETag"], request.headers.get("if-none-match", "")):
        return Response(status_code=304, headers=headers)
    return None
