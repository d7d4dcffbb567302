"""The page that asks again who somebody is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Depends, FastAPI, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from webapp.accounts import limits, passwords, second_step, sessions
from webapp.accounts.confirmation import (
    CONFIRM,
    OWN,
    ConfirmFirst,
    SessionStanding,
    Standing,
    text_fields,
)
from webapp.accounts.dependencies import AFTER_SIGN_IN, Staff, Token, safe_next
from webapp.accounts.pages.forms import PRIVATE
from webapp.accounts.pages.one_field import OneFieldPage
from webapp.accounts.people import Person, account_of
from webapp.common.errors import DomainError, Forbidden, Invalid, TooMany, form_errors
from webapp.common.settings import Settings
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import tr
from webapp.common.web.dependencies import CurrentSettings
from webapp.common.web.templating import page
from webapp.rate_limits.counting import Ask
from webapp.rate_limits.dependencies import Counting, Limits

router = APIRouter(include_in_schema=False)

SENDING = "send"  # a form is sent on afterwards; otherwise a page is opened


@dataclass(frozen=True, kw_only=True)
class ConfirmPage(OneFieldPage):
    """What is asked, and what is sent on once it is right."""

    person: Person
    by_code: bool
    then: str
    how: str
    carried: tuple[tuple[str, str], ...]


@router.get(CONFIRM, name="confirm_form")
def confirm_form(
    request: Request, person: Staff, standing: SessionStanding, next: str = AFTER_SIGN_IN  # noqa: A002  # the field's name
) -> HTMLResponse:  # fmt: skip
    """The form, before a page or a file is opened."""
    own = {f"{OWN}then": next}
    return _form(request, person, standing, own)


def confirm_first(request: Request, asked: ConfirmFirst) -> HTMLResponse:
    """The form, in the place of the answer to a form that needs a proof."""
    own = {f"{OWN}then": request.url.path, f"{OWN}how": SENDING}
    return _form(request, asked.person, asked.standing, asked.fields | own, status=403)


def add_confirmation(app: FastAPI) -> None:
    """Have the application ask where a route needs it."""
    app.add_exception_handler(ConfirmFirst, confirm_first)  # type: ignore[arg-type]


@router.post(CONFIRM)
def confirm(
    *,
    request: Request,
    person: Staff,
    token: Token,
    standing: SessionStanding,
    settings: CurrentSettings,
    counting: Limits,
    fields: Annotated[dict[str, str], Depends(text_fields)],
) -> Response:
    """Take the proof, and go on with what was asked for."""
    ask = Ask(limits.CODE, f"{person.id} signed in")
    try:
        counting.count(ask)
        _prove(person, standing, settings, counting, fields.get(f"{OWN}proof", ""))
    except (Forbidden, TooMany) as error:
        return _form(request, person, standing, fields, error=error)
    counting.forgive(ask)
    with writing(counting.engine) as session:
        sessions.confirm(session, token, at=counting.at)
    # 307 has the browser send the same form once more, to where it was meant to go.
    sending = fields.get(f"{OWN}how") == SENDING
    return RedirectResponse(safe_next(fields.get(f"{OWN}then", "")), 307 if sending else 303)


def _prove(
    person: Person, standing: Standing, settings: Settings, counting: Counting, proof: str
) -> None:
    if standing.by_code:
        with writing(counting.engine) as session:
            account = account_of(session, person.id)
            key = settings.secret()
            second_step.pass_second_step(session, account, proof, key=key, at=counting.at)
        return
    with reading(counting.engine) as session:
        kept = sessions.kept_of_account(session, person.id)
    if not passwords.is_right(proof, kept.password_hash):
        raise Forbidden("password", None, tr("this is not your password"))


def _form(
    request: Request,
    person: Person,
    standing: Standing,
    fields: Mapping[str, str],
    *,
    error: DomainError | None = None,
    status: int = 200,
) -> HTMLResponse:
    context = ConfirmPage(
        person=person,
        by_code=standing.by_code,
        then=safe_next(fields.get(f"{OWN}then", "")),
        how=fields.get(f"{OWN}how", ""),
        carried=tuple(pair for pair in fields.items() if not pair[0].startswith(OWN)),
        errors=tuple((f"{OWN}proof", words) for _, words in form_errors(error)[0]),
    )
    headers = dict(PRIVATE)
    if isinstance(error, TooMany):
        headers["Retry-After"] = str(error.retry_after)
    return page(
        request,
        "pages/accounts/confirm.html",
        context,
        status=max(error.status, Invalid.status) if error else status,
        headers=headers,
    )
