"""Layers around every request: its number, and a limit to how many wait at once."""

from __future__ import annotations

import time
from collections.abc import Callable

from starlette.datastructures import MutableHeaders
from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from webapp.common.current_request import Current, current
from webapp.common.errors import Unavailable
from webapp.monitoring.figures import Figures
from webapp.monitoring.logs import log_request

# Asked by what watches the service, and answered however busy it is.
WATCHED = frozenset({"/health", "/ready", "/metrics"})
# Anything else that somebody may send as a method is told as one, or it would fill the memory.
METHODS = frozenset({"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"})


class Numbered:
    """Gives every request a number of its own, told in its answer, and writes what became of it.

    Parameters
    ----------
    app : ASGIApp
    figures : Figures
        Where requests are counted.
    """

    def __init__(self, app: ASGIApp, *, figures: Figures) -> None:
        self.app = app
        self.figures = figures

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on under its number."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        answering = Current()
        current.set(answering)  # of this request's task alone, and kept for its failure page
        status, begun = 500, time.perf_counter()  # for an error that no layer answers

        async def send_numbered(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
                MutableHeaders(scope=message)["X-Request-Id"] = answering.number
            await send(message)

        try:
            with self.figures.under_way():
                await self.app(scope, receive, send_numbered)
        finally:
            self._write(scope, status, time.perf_counter() - begun)

    def _write(self, scope: Scope, status: int, seconds: float) -> None:
        method = scope["method"] if scope["method"] in METHODS else "other"
        route = route_of(scope)
        self.figures.note(method=method, route=route, status=status, seconds=seconds)
        log_request(method=method, route=route, status=status, seconds=seconds)


def route_of(scope: Scope) -> str:
    """The route that answered, without anything of the address: ``/q/{token}``."""
    path = getattr(scope.get("route"), "path", None)
    if path is not None:
        return str(path)
    return "/static" if scope["path"].startswith("/static/") else "none"


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
