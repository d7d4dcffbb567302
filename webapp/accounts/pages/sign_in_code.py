"""The second page of signing in, for accounts that ask for one-time codes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import HTMLResponse, Response
from sqlalchemy import Engine

from webapp.accounts import limits, second_step, sessions
from webapp.accounts.dependencies import AFTER_SIGN_IN, SIGN_IN, safe_next
from webapp.accounts.pages.forms import PRIVATE, Typed
from webapp.accounts.pages.one_field import OneFieldPage
from webapp.accounts.pages.sign_in_common import known, signed_in
from webapp.accounts.people import account_of
from webapp.common.errors import DomainError, Forbidden, Invalid, TooMany, form_errors
from webapp.common.security.tokens import read_signed, signed, token_hash
from webapp.common.settings import Settings
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import tr
from webapp.common.web.dependencies import CurrentEngine, CurrentSettings, Now
from webapp.common.web.templating import page
from webapp.rate_limits.counting import Ask
from webapp.rate_limits.dependencies import Limits

router = APIRouter(include_in_schema=False)

CODE = f"{SIGN_IN}/code"
WAITS = timedelta(minutes=10)  # between the password and the code
_PURPOSE = "password was right"
_TOO_LATE = tr("it took too long, or the password has changed; sign in again")


@dataclass(frozen=True, kw_only=True)
class CodePage(OneFieldPage):
    """The form for the code; ``passed`` is the signed word that the password was right."""

    passed: str
    next: str


def ask_for_code(
    request: Request, settings: Settings, kept: sessions.Checked, next_page: str, at: datetime
) -> Response:
    """The form, for somebody whose password was right."""
    text = f"{kept.account}.{_fingerprint(kept)}.{int(at.timestamp())}"
    return _form(request, signed(settings.secret(), _PURPOSE, text), next_page)


def _fingerprint(kept: sessions.Kept) -> str:
    return token_hash(kept.password_hash or "")[:16]


def _form(
    request: Request, passed: str, next_page: str, error: DomainError | None = None
) -> HTMLResponse:
    context = CodePage(passed=passed, next=next_page, errors=form_errors(error)[0])
    headers = dict(PRIVATE)
    if isinstance(error, TooMany):
        headers["Retry-After"] = str(error.retry_after)
    status = 200 if error is None else max(error.status, Invalid.status)
    return page(
        request, "pages/accounts/sign_in_code.html", context, status=status, headers=headers
    )


@router.post(CODE)
def sign_in_by_code(
    *,
    request: Request,
    engine: CurrentEngine,
    settings: CurrentSettings,
    counting: Limits,
    at: Now,
    passed: Typed = "",
    code: Typed = "",
    next: Annotated[str, Form(max_length=2000)] = AFTER_SIGN_IN,  # noqa: A002  # the field's name
) -> Response:
    """Open a session for whoever knows the password and has the codes."""
    number = _account_of(engine, settings, passed, at)
    browser = known(request, settings, number, at)
    ask = Ask(limits.CODE, f"{number} {browser}" if browser else str(number))
    try:
        counting.count(ask)
        with writing(engine) as session:
            account = account_of(session, number)
            second_step.pass_second_step(session, account, code, key=settings.secret(), at=at)
            token = sessions.open_session(session, account, at=at, ends=sessions.ends_of(settings))
    except (Forbidden, TooMany) as error:
        return _form(request, passed, safe_next(next), error)
    counting.forgive(ask)
    return signed_in(number, token, settings, safe_next(next), at)


def _account_of(engine: Engine, settings: Settings, passed: str, at: datetime) -> int:
    """The account whose password was right a moment ago."""
    text = read_signed(settings.secret(), _PURPOSE, passed)
    if text is None:
        raise Invalid("code", None, _TOO_LATE)
    number, fingerprint, since = text.split(".")
    with reading(engine) as session:
        kept = sessions.kept_of_account(session, int(number))
        on = second_step.is_on(session, int(number))
    age = abs(at.timestamp() - int(since))
    if not on or age > WAITS.total_seconds() or fingerprint != _fingerprint(kept):
        raise Invalid("code", None, _TOO_LATE)
    return int(number)
