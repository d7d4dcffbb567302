"""Static files under an address that changes when any of them does.

``/static/<hash of the whole folder>/css/base.css`` may be kept for ever. Since
the hash is a folder in the address, what a style sheet or a script refers to by
a relative address carries it too. An address without the hash, or with an old
one, is served as well, to be checked again each time.

``css/main.css`` names the sheets of the style; it is sent with them joined in,
so that a page needs one request for its style and not one for each sheet.
"""

from __future__ import annotations

import hashlib
import re
from functools import cache
from os import PathLike

from starlette.responses import Response
from starlette.staticfiles import StaticFiles
from starlette.types import Scope

from webapp.common.paths import STATIC

_HASH = re.compile(r"[0-9a-f]{16}")
JOINED = "css/main.css"
_IMPORT = re.compile(r'@import url\("([\w/-]+\.css)"\);\n?')
_COMMENT = re.compile(r"/\*.*?\*/\s*", re.DOTALL)


@cache
def fingerprint() -> str:
    """Hash of all static files, names and contents; taken once while the service runs."""
    whole = hashlib.sha256()
    for file in sorted(path for path in STATIC.rglob("*") if path.is_file()):
        whole.update(file.relative_to(STATIC).as_posix().encode() + b"\0")
        whole.update(hashlib.sha256(file.read_bytes()).digest())
    return whole.hexdigest()[:16]


@cache
def static(name: str) -> str:
    """Address of a static file, good to be kept for ever by browsers.

    Raises
    ------
    FileNotFoundError
        When there is no such file: a page must not link to nothing.
    """
    if not (STATIC / name).is_file():
        raise FileNotFoundError(f"static/{name} does not exist")
    return f"/static/{fingerprint()}/{name}"


@cache
def joined_style() -> str:
    """The whole style as one sheet, comments left out.

    Sheets below ``css/blocks`` must not refer to files by relative addresses:
    those would be taken from ``css``, where the joined sheet stands.
    """
    folder = STATIC / JOINED
    text = folder.read_text("utf-8")
    whole = _IMPORT.sub(lambda found: (folder.parent / found[1]).read_text("utf-8"), text)
    return _COMMENT.sub("", whole)


class StaticFolder(StaticFiles):
    """The static folder, with or without the hash in the address."""

    def __init__(self, directory: str | PathLike[str] = STATIC) -> None:
        super().__init__(directory=directory)

    async def get_response(self, path: str, scope: Scope) -> Response:
        """The file, and for how long it may be kept."""
        version, _, rest = path.partition("/")
        name = rest if _HASH.fullmatch(version) else path
        if name == JOINED and scope["method"] in ("GET", "HEAD"):
            response: Response = Response(joined_style(), media_type="text/css")
        else:
            response = await super().get_response(name, scope)
        kept = version == fingerprint()
        response.headers["Cache-Control"] = (
            "public, max-age=31536000, immutable" if kept else "no-cache"
        )
        return response
