"""What makes every page the shop's own: its mark, and a sheet with its colour."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Path
from fastapi.responses import Response

from webapp.catalogue.marks.kept import read_mark
from webapp.common.text.colours import tones
from webapp.common.web.dependencies import PublicSession

router = APIRouter(prefix="/shop", include_in_schema=False)

_FOR_EVER = "public, max-age=31536000, immutable"  # both addresses name what they hold
_MARK_HEADERS = {
    "Cache-Control": _FOR_EVER,
    # Opened by itself, a drawing is a document: nothing in it may run, load or be framed.
    "Content-Security-Policy": "default-src 'none'; sandbox; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
}


@router.get("/mark/{fingerprint}")
def mark(fingerprint: str, session: PublicSession) -> Response:
    """A firm's mark."""
    found = read_mark(session, fingerprint)
    return Response(found.content, media_type=found.media_type, headers=_MARK_HEADERS)


@router.get("/colour/{accent}.css")
def colour(accent: Annotated[str, Path(pattern="^[0-9a-f]{6}$")]) -> Response:
    """The style sheet with the shop's accent colour, in its own cascade layer."""
    deep, wash = tones(f"#{accent}")
    text = (
        "@layer tokens { @media screen { :root { "
        f"--accent: #{accent}; --accent-deep: {deep}; --accent-wash: {wash}; "
        f"--line-b: #{accent}; }} }} }}\n"
    )
    return Response(text, media_type="text/css", headers={"Cache-Control": _FOR_EVER})
