"""The units a reader has chosen by a button, or has typed: remembered in a cookie."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, get_args
from urllib.parse import urlsplit

from fastapi import APIRouter, Form, Request
from fastapi.responses import RedirectResponse
from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from webapp.common.text.reader import Units, chosen
from webapp.common.web.dependencies import CurrentSettings

router = APIRouter(include_in_schema=False)

COOKIE = "units"
KEPT_FOR = 365 * 24 * 3600  # s
FOR_PROGRAMS = "/api/"


@router.post("/units")
def choose_units(
    request: Request, settings: CurrentSettings, units: Annotated[Units, Form()]
) -> RedirectResponse:
    """Remember the units pressed, and go back to the page they were pressed on."""
    came_from = urlsplit(request.headers.get("referer", ""))
    here = came_from.netloc == request.url.netloc and came_from.path.startswith("/")
    back = f"{came_from.path}?{came_from.query}".rstrip("?") if here else "/"
    answer = RedirectResponse(back if not back.startswith("//") else "/", 303)
    answer.set_cookie(
        COOKIE,
        units,
        max_age=KEPT_FOR,
        secure=settings.behind_tls,
        httponly=True,
        samesite="lax",
    )
    return answer


class ReaderUnits:
    """Finds out the reader's units before the answer is made.

    Units typed with a value count most and are remembered; the button's choice counts until
    then. Neither says anything about a person.

    Parameters
    ----------
    app : ASGI application
    typed : callable
        The units that a query was typed in; None where it does not say.
    """

    def __init__(self, app: ASGIApp, *, typed: Callable[[str], Units | None]) -> None:
        self.app = app
        self.typed = typed

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, the reader's units set."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        if scope["path"].startswith(FOR_PROGRAMS):
            await self._metric(scope, receive, send)
            return
        pressed = _pressed(scope)
        typed = self.typed(scope["query_string"].decode("latin-1"))
        token = chosen.set(typed or pressed)
        try:
            await self.app(
                scope, receive, send if typed in (None, pressed) else _setting_cookie(send, typed)
            )
        finally:
            chosen.reset(token)

    async def _metric(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Programs always get metric units."""
        token = chosen.set("metric")
        try:
            await self.app(scope, receive, send)
        finally:
            chosen.reset(token)


def cookies_of(scope: Scope) -> list[str]:
    """Every cookie that came with a request, as it was sent."""
    sent = b";".join(value for name, value in scope["headers"] if name == b"cookie")
    return [each.strip() for each in sent.decode("latin-1").split(";") if each.strip()]


def is_of_units(cookie: str) -> bool:
    """Whether a cookie holds the reader's units and nothing else.

    >>> is_of_units("units=metric"), is_of_units("session=a"), is_of_units("units=furlongs")
    (True, False, False)
    """
    name, _, value = cookie.partition("=")
    return name == COOKIE and value in get_args(Units)


def _pressed(scope: Scope) -> Units | None:
    said = next(filter(is_of_units, cookies_of(scope)), "").partition("=")[2]
    return next((each for each in get_args(Units) if each == said), None)


def _setting_cookie(send: Send, units: Units) -> Send:
    async def with_cookie(message: Message) -> None:
        if message["type"] == "http.response.start":
            cookie = f"{COOKIE}={units}; Path=/; Max-Age={KEPT_FOR}; HttpOnly; SameSite=lax"
            MutableHeaders(scope=message).append("Set-Cookie", cookie)
        await send(message)

    return with_cookie
