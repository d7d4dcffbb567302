"""Layers around every request: its number, and its kind's share of the threads."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from starlette.datastructures import MutableHeaders
from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from webapp.common.current_request import Current, current
from webapp.common.errors import Unavailable
from webapp.monitoring.figures import Figures
from webapp.monitoring.logs import log_request

# Asked by what watches the service, and answered however busy it is.
WATCHED = frozenset({"/health", "/ready", "/metrics"})
# Any other method is counted under one name, or invented methods would fill the memory.
METHODS = frozenset({"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"})


class Numbered:
    """Gives every request its own number, sends it with the answer, and logs the outcome.

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


@dataclass(frozen=True, kw_only=True)
class Kind:
    """Requests that share threads with each other and with no other kind.

    Attributes
    ----------
    segments : frozenset of str
        How their paths begin; empty for whatever no other kind names.
    at_once : int
        How many are answered at once.
    most : int
        How many may be under way, those that wait their turn included.
    """

    segments: frozenset[str]
    at_once: int
    most: int


class _Share:
    """What one kind has under way."""

    def __init__(self, kind: Kind) -> None:
        self.kind = kind
        self.under_way = 0
        self.turns = asyncio.Semaphore(kind.at_once)


class NotTooMany:
    """Gives each kind of request its share, so that no kind keeps the others waiting.

    Whoever comes when too many of a kind are under way already is told to come back, at
    once and in words. Those that wait their turn hold neither thread nor connection.

    Parameters
    ----------
    app : ASGIApp
    kinds : sequence of Kind
        The last one takes what the others do not name.
    answer : callable
        Makes the refusal's page.
    """

    def __init__(
        self,
        app: ASGIApp,
        *,
        kinds: Sequence[Kind],
        answer: Callable[[Request, Unavailable], ASGIApp],
    ) -> None:
        self.app = app
        self.answer = answer
        self.shares = [_Share(kind) for kind in kinds]

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on in its turn, or refuse it."""
        if scope["type"] != "http" or scope["path"] in WATCHED:
            await self.app(scope, receive, send)
            return
        share = self._share_of(scope["path"])
        if share.under_way >= share.kind.most:
            await self.answer(Request(scope), _too_many())(scope, receive, send)
            return
        share.under_way += 1
        try:
            await self._in_turn(share.turns, scope, receive, send)
        finally:
            share.under_way -= 1

    async def _in_turn(
        self, turns: asyncio.Semaphore, scope: Scope, receive: Receive, send: Send
    ) -> None:
        """Answer in one of the turns, left with the answer's first byte: a slow reader has none."""
        await turns.acquire()
        left = False

        def leave() -> None:
            nonlocal left
            if not left:
                left = True
                turns.release()

        async def send_on(message: Message) -> None:
            leave()
            await send(message)

        try:
            await self.app(scope, receive, send_on)
        finally:
            leave()

    def _share_of(self, path: str) -> _Share:
        segment = path.strip("/").partition("/")[0]
        named = (share for share in self.shares if segment in share.kind.segments)
        return next(named, self.shares[-1])


def _too_many() -> Unavailable:
    remedy = "very many people are asking at this moment; nothing was done, try again in a moment"
    return Unavailable("request", None, remedy, retry_after=5)
