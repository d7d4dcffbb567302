"""Shared by all ways of signing in: how they end, and how their attempts are counted."""

from __future__ import annotations

from datetime import datetime

from fastapi import Request
from fastapi.responses import RedirectResponse, Response

from webapp.accounts import limits, sessions
from webapp.accounts.dependencies import known_cookie, set_cookie, set_known_cookie
from webapp.common.settings import Settings
from webapp.rate_limits.counting import Ask
from webapp.rate_limits.dependencies import Counting


def signed_in(account: int, token: str, settings: Settings, address: str, at: datetime) -> Response:
    """Give the browser its session, remember it for this account, and redirect."""
    answer = RedirectResponse(address, 303)
    set_cookie(answer, token, behind_tls=settings.behind_tls, ends=sessions.ends_of(settings))
    mark = limits.browser_mark(settings.secret(), account, at=at)
    set_known_cookie(answer, account, mark, behind_tls=settings.behind_tls)
    return answer


def known(request: Request, settings: Settings, account: int | None, at: datetime) -> str | None:
    """The number of this browser when the account knows it."""
    mark = request.cookies.get(known_cookie(account, behind_tls=settings.behind_tls), "")
    return limits.known_browser(settings.secret(), account, mark, at=at)


def password_asks(
    request: Request, settings: Settings, counting: Counting, mail: str, account: int | None
) -> tuple[Ask, ...]:
    """The limits that an attempt with a password counts towards."""
    browser = known(request, settings, account, counting.at)
    return limits.asks_of_sign_in(mail, counting.of_sender(limits.SENDER), browser)
