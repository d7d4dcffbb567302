"""Who is asking: dependencies that let the right people in and send others to sign in.

A page for staff takes a ``person: Staff`` argument, one for the builder
``person: Builder``; nothing else is needed to guard it. Somebody who is not
signed in is led to the sign-in page and back again; under /api the answer is 401.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated
from urllib.parse import quote, urlsplit

from fastapi import Depends, HTTPException, Request
from starlette.responses import Response

from webapp.accounts import sessions
from webapp.accounts.limits import KNOWN_FOR
from webapp.accounts.people import Person
from webapp.accounts.tables import BUILDER, STAFF
from webapp.common.errors import Forbidden
from webapp.common.security.layers import SAFE_METHODS
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import tr
from webapp.common.web.dependencies import CurrentEngine, CurrentSettings, Now
from webapp.common.web.templating import wants_partial

SIGN_IN = "/sign-in"
AFTER_SIGN_IN = "/counter"
API = "/api/"


def cookie_name(*, behind_tls: bool) -> str:
    """Name of the session's cookie; behind TLS browsers keep this name to https and one host."""
    return "__Host-session" if behind_tls else "session"


def set_cookie(
    response: Response, token: str, *, behind_tls: bool, ends: sessions.Ends = sessions.ENDS
) -> None:
    """Give the browser its session."""
    response.set_cookie(
        cookie_name(behind_tls=behind_tls),
        token,
        max_age=int(ends.whole.total_seconds()),
        path="/",
        secure=behind_tls,
        httponly=True,
        samesite="lax",
    )


def drop_cookie(response: Response, *, behind_tls: bool) -> None:
    """Take the session from the browser."""
    response.delete_cookie(
        cookie_name(behind_tls=behind_tls),
        path="/",
        secure=behind_tls,
        httponly=True,
        samesite="lax",
    )


def known_cookie(account: int | None, *, behind_tls: bool) -> str:
    """Name of the cookie by which an account knows a browser."""
    return f"{'__Host-' if behind_tls else ''}known-{account}"


def set_known_cookie(response: Response, account: int, mark: str, *, behind_tls: bool) -> None:
    """Mark the browser as known to an account it has signed in to; signing out keeps the mark."""
    response.set_cookie(
        known_cookie(account, behind_tls=behind_tls),
        mark,
        max_age=int(KNOWN_FOR.total_seconds()),
        path="/",
        secure=behind_tls,
        httponly=True,
        samesite="lax",
    )


def session_token(request: Request, settings: CurrentSettings) -> str:
    """The session's token as the browser sent it; empty without one."""
    return request.cookies.get(cookie_name(behind_tls=settings.behind_tls), "")


Token = Annotated[str, Depends(session_token)]


def who_is_asking(
    token: Token, at: Now, engine: CurrentEngine, settings: CurrentSettings
) -> Person | None:
    """The person whose session this is, or None."""
    if not token:
        return None
    with reading(engine) as session:
        found = sessions.signed_in(session, token, at=at, ends=sessions.ends_of(settings))
    if found is None:
        return None
    person, to_note = found
    if to_note:
        with writing(engine) as session:
            sessions.used(session, token, at=at)
    return person


Asking = Annotated[Person | None, Depends(who_is_asking)]


def _only(*roles: str) -> Callable[[Request, Asking], Person]:
    def person_of_role(request: Request, asking: Asking) -> Person:
        if asking is None:
            raise _sign_in_first(request)
        if asking.role not in roles:
            raise Forbidden(
                "request", None, tr("this is for the {roles}", roles=" or the ".join(roles))
            )
        return asking

    return person_of_role


_staff, _builder = _only(STAFF, BUILDER), _only(BUILDER)

Staff = Annotated[Person, Depends(_staff)]
"""Anybody of the shop."""

Builder = Annotated[Person, Depends(_builder)]
"""The builder alone."""

STAFF_ONLY, BUILDER_ONLY = Depends(_staff), Depends(_builder)
"""For a whole router: ``APIRouter(dependencies=[STAFF_ONLY])``; checked once a request."""


def _sign_in_first(request: Request) -> HTTPException:
    if request.url.path.startswith(API):
        return HTTPException(401, tr("sign in first"))
    address = f"{SIGN_IN}?next={quote(_page_asked_for(request), safe='')}"
    if wants_partial(request):
        return HTTPException(401, tr("sign in first"), {"HX-Redirect": address})
    return HTTPException(303, tr("sign in first"), {"Location": address})


def _page_asked_for(request: Request) -> str:
    """The page to come back to: this one, or for a form the page it stands on."""
    if request.method in SAFE_METHODS and not wants_partial(request):
        return request.url.path + (f"?{request.url.query}" if request.url.query else "")
    try:
        came_from = urlsplit(request.headers.get("referer", ""))
    except ValueError:  # the sender was no browser
        return AFTER_SIGN_IN
    if came_from.netloc != request.headers.get("host"):
        return AFTER_SIGN_IN
    return safe_next(came_from.path + (f"?{came_from.query}" if came_from.query else ""))


def safe_next(address: str) -> str:
    """An address of this very service to go to after signing in; the counter for any other.

    >>> safe_next("/counter/quotes/2026-0001?v=2")
    '/counter/quotes/2026-0001?v=2'
    >>> [safe_next(a) for a in ("https://evil.example", "//evil.example", "/\\\\evil.example", "x")]
    ['/counter', '/counter', '/counter', '/counter']
    """
    plain = address.isascii() and address.isprintable() and not set(address) & set('\\"<> ')
    inside = address.startswith("/") and not address.startswith("//")
    return address if plain and inside and len(address) < 2000 else AFTER_SIGN_IN  # noqa: PLR2004
