"""Layers around every request: its number, and a limit to how many wait at once."""

from __future__ import annotations

from collections.abc import Callable

from starlette.datastructures import MutableHeaders
from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from webapp.common.current_request import Current, current
from webapp.common.errors import Unavailable

# Asked by what watches the service, and answered however busy it is.
WATCHED = frozenset({"/health", "/ready", "/metrics"})


class Numbered:
    """Gives every request a number of its own, told in its answer and in the log."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on under its number."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        answering = Current()
        current.set(answering)  # of this request's task alone, and kept for its failure page

        async def send_numbered(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message)["X-Request-Id"] = answering.number
            await send(message)

        await self.app(scope, receive, send_numbered)


class NotTooMany:
    """Tells whoever comes when too many wait already to come back, at once and in words.

    Parameters
    ----------
    app : ASGIApp
    most : int
        Requests that may be under way in this process.
    answer : callable
        Makes the refusal's page.
    """

    def __init__(
        self, app: ASGIApp, *, most: int, answer: Callable[[Request, Unavailable], ASGIApp]
    ) -> None:
        self.app = app
        self.most = most
        self.answer = answer
        self.under_way = 0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, or refuse it."""
        if scope["type"] != "http" or scope["path"] in WATCHED:
            await self.app(scope, receive, send)
            return
        if self.under_way >= self.most:
            await self.answer(Request(scope), _too_many())(scope, receive, send)
            return
        self.under_way += 1
        try:
            await self.app(scope, receive, send)
        finally:
            self.under_way -= 1


def _too_many() -> Unavailable:
    remedy = "very many people are asking at this moment; nothing was done, try again in a moment"
    return Unavailable("request", None, remedy, retry_after=5)
