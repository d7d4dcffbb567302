"""No cache may keep the answer to an address that holds measures of a body."""

from __future__ import annotations

import re
from collections.abc import Iterable
from urllib.parse import unquote_plus

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

NO_STORE = "no-store"
_ABOUT_KEPT = (b"if-none-match", b"if-modified-since")
_MOST_LAYERS = 4  # how deep an address may be nested as a value within another


class Naming:
    """Finds queries that name one of some fields, at whatever depth.

    Parameters
    ----------
    fields : iterable of str

    Examples
    --------
    >>> naming = Naming(["weight"])
    >>> naming("size=m&weight=80"), naming("size=m")
    (True, False)
    """

    def __init__(self, fields: Iterable[str]) -> None:
        names = "|".join(map(re.escape, fields))
        self.named = re.compile(rf"(?:^|[?&;])\s*(?:{names})=", re.IGNORECASE)

    def __call__(self, query: str) -> bool:
        """Whether a query names one."""
        for _ in range(_MOST_LAYERS):
            if self.named.search(query):
                return True
            plainer = unquote_plus(query)
            if plainer == query:
                return False
            query = plainer
        return bool(self.named.search(query))


class Unkept:
    """Puts ``no-store`` on every answer to an address whose query names one of some fields.

    An address may stand within another, as a build does in a comparison; the
    fields are found there too. Its validators (``ETag``) are removed, since no cache may keep it.

    Parameters
    ----------
    app : ASGI application
    fields : iterable of str
        Names of the fields that hold measures of a body.
    """

    def __init__(self, app: ASGIApp, *, fields: Iterable[str]) -> None:
        self.app = app
        self.tells_of_a_body = Naming(fields)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, and mark its answer where its address holds a body's measures."""
        if scope["type"] != "http" or not self.tells_of_a_body(
            scope["query_string"].decode("latin-1")
        ):
            await self.app(scope, receive, send)
            return

        async def send_unkept(message: Message) -> None:
            if message["type"] == "http.response.start":
                head = MutableHeaders(scope=message)
                if NO_STORE not in head.get("cache-control", ""):
                    head["Cache-Control"] = f"private, {NO_STORE}"
                for name in ("etag", "last-modified", "expires"):
                    del head[name]
            await send(message)

        asked = [pair for pair in scope["headers"] if pair[0] not in _ABOUT_KEPT]
        await self.app({**scope, "headers": asked}, receive, send_unkept)
