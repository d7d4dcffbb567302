"""One's own second step: setting it up, recovery codes, turning it off."""

from __future__ import annotations

from dataclasses import dataclass

import segno
from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from webapp.accounts import second_step
from webapp.accounts.confirmation import CONFIRMED
from webapp.accounts.dependencies import Staff
from webapp.accounts.messages import mail_about_change
from webapp.accounts.pages.forms import PRIVATE, Typed
from webapp.accounts.pages.one_field import OneFieldPage
from webapp.accounts.people import Person, account_of
from webapp.catalogue.reading.settings import settings_data
from webapp.common.errors import Invalid, form_errors
from webapp.common.settings import Settings
from webapp.common.storage.database import reading, writing
from webapp.common.web.dependencies import CurrentEngine, CurrentSettings, Now, WritingSession
from webapp.common.web.templating import page
from webapp.rate_limits.dependencies import Counting, Limits

router = APIRouter(include_in_schema=False)

SECOND_STEP = "/account/second-step"


@dataclass(frozen=True, kw_only=True)
class SetUpPage(OneFieldPage):
    """The square code, the secret in letters, and the form for the first code."""

    person: Person
    square: str
    secret: str


@dataclass(frozen=True, kw_only=True)
class RecoveryPage:
    """Recovery codes, shown once."""

    person: Person
    codes: tuple[str, ...]


@router.post(SECOND_STEP, dependencies=[CONFIRMED])
def begin(person: Staff, session: WritingSession, at: Now) -> Response:
    """Make a secret and lead to the page that shows it."""
    second_step.begin(session, account_of(session, person.id), at=at)
    return RedirectResponse(SECOND_STEP, 303)


@router.get(SECOND_STEP)
def set_up(
    request: Request, person: Staff, engine: CurrentEngine, settings: CurrentSettings
) -> Response:
    """The secret, until its first code was typed; afterwards it is shown to nobody."""
    return _set_up(request, person, engine, settings)


def _set_up(
    request: Request,
    person: Person,
    engine: CurrentEngine,
    settings: Settings,
    error: Invalid | None = None,
) -> Response:
    with reading(engine) as session:
        found = second_step.second_step_of(session, person.id)
        firm = settings_data(session).letterhead.name
    if found is None or found.confirmed_at is not None:
        return RedirectResponse("/account", 303)
    secret = second_step.secret_of(settings.secret(), found.salt)
    address = second_step.address_for_app(secret, mail=person.mail, firm=firm)
    context = SetUpPage(
        person=person,
        square=segno.make(address, error="m").svg_data_uri(scale=5, border=4),
        secret=" ".join(secret[at : at + 4] for at in range(0, len(secret), 4)),
        errors=form_errors(error)[0],
    )
    status = error.status if error else 200
    return page(request, "pages/accounts/second_step.html", context, status=status, headers=PRIVATE)


@router.post(SECOND_STEP + "/on")
def turn_on(
    *,
    request: Request,
    person: Staff,
    settings: CurrentSettings,
    counting: Limits,
    code: Typed = "",
) -> Response:
    """Take the first code; from now on codes are asked for."""
    try:
        codes = _turned_on(person, settings, counting, code)
    except Invalid as error:
        return _set_up(request, person, counting.engine, settings, error)
    return _recovery(request, person, codes)


def _turned_on(
    person: Person, settings: Settings, counting: Counting, code: str
) -> tuple[str, ...]:
    at = counting.at
    with writing(counting.engine) as session:
        account = account_of(session, person.id)
        codes = second_step.turn_on(session, account, code, key=settings.secret(), at=at)
        mail_about_change(session, settings, account, "second step on", at=at)
    return codes


@router.post(SECOND_STEP + "/codes", dependencies=[CONFIRMED])
def new_codes(request: Request, person: Staff, session: WritingSession, at: Now) -> HTMLResponse:
    """New recovery codes in the place of those before."""
    account = account_of(session, person.id)
    return _recovery(request, person, second_step.new_recovery_codes(session, account, at=at))


@router.post(SECOND_STEP + "/off", dependencies=[CONFIRMED])
def turn_off(
    person: Staff, session: WritingSession, settings: CurrentSettings, at: Now
) -> Response:
    """Ask for no codes any more."""
    account = account_of(session, person.id)
    if second_step.turn_off(session, account, who=person.name, at=at):
        mail_about_change(session, settings, account, "second step off", at=at)
    return RedirectResponse("/account?done=off", 303)


def _recovery(request: Request, person: Person, codes: tuple[str, ...]) -> HTMLResponse:
    context = RecoveryPage(person=person, codes=codes)
    return page(request, "pages/accounts/recovery_codes.html", context, headers=PRIVATE)
