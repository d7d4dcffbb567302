"""Pages of accounts: signing in and out, one's own account, setting a password by a link."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlmodel import Session

from webapp.accounts import limits, links, passwords, second_step, sessions
from webapp.accounts.dependencies import (
    AFTER_SIGN_IN,
    SIGN_IN,
    Asking,
    Staff,
    Token,
    drop_cookie,
    safe_next,
)
from webapp.accounts.messages import mail_about_change
from webapp.accounts.pages.forms import PRIVATE, Typed
from webapp.accounts.pages.one_field import OneFieldPage
from webapp.accounts.pages.sign_in_code import ask_for_code
from webapp.accounts.pages.sign_in_common import password_asks, signed_in
from webapp.accounts.people import LONGEST_MAIL, Person, account_of, person_of
from webapp.catalogue.reading.shop_name import PROGRAM, shop_face
from webapp.common.errors import DomainError, Forbidden, Invalid, TooMany, form_errors
from webapp.common.settings import Settings
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import tr
from webapp.common.web.dependencies import (
    CurrentEngine,
    CurrentSettings,
    Now,
    ReadingSession,
    WritingSession,
)
from webapp.common.web.templating import page
from webapp.rate_limits.dependencies import Counting, Limits

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True, kw_only=True)
class SignInPage(OneFieldPage):
    """The sign-in form."""

    mail: str
    next: str


@dataclass(frozen=True, kw_only=True)
class LinkPage:
    """The form that sets a password."""

    name: str
    mail: str
    action: str
    shortest: int
    errors: tuple[tuple[str, str], ...]
    field_errors: dict[str, str]


@dataclass(frozen=True, kw_only=True)
class AccountFacts:
    """What the page says about one's account: its sessions and how they end, its second step."""

    sessions: int
    idle_hours: str
    days: str
    second_step: bool
    codes_left: int


@dataclass(frozen=True, kw_only=True)
class AccountPage:
    """One's own account."""

    person: Person
    facts: AccountFacts
    shortest: int
    errors: tuple[tuple[str, str], ...]
    field_errors: dict[str, str]
    done: str


@router.get(SIGN_IN)
def sign_in_form(request: Request, asking: Asking, next: str = AFTER_SIGN_IN) -> Response:  # noqa: A002  # the field's name
    """The form; somebody signed in is led on."""
    if asking is not None:
        return RedirectResponse(safe_next(next), 303)
    context = SignInPage(mail="", next=safe_next(next), errors=())
    return page(request, "pages/accounts/sign_in.html", context, headers=PRIVATE)


@router.post(SIGN_IN)
def sign_in(
    *,
    request: Request,
    engine: CurrentEngine,
    settings: CurrentSettings,
    counting: Limits,
    at: Now,
    mail: Typed = "",
    password: Typed = "",
    next: Typed = AFTER_SIGN_IN,  # noqa: A002  # the field's name
) -> Response:
    """Open a session, or show the form again without saying which of the two was wrong."""
    try:
        kept = _account_signing_in(request, settings, counting, mail, password)
    except (Forbidden, TooMany) as error:
        errors, _ = form_errors(error)
        context = SignInPage(mail=mail[:LONGEST_MAIL], next=safe_next(next), errors=errors)
        wait = {"Retry-After": str(error.retry_after)} if isinstance(error, TooMany) else {}
        status = error.status if wait else Invalid.status
        return page(
            request, "pages/accounts/sign_in.html", context, status=status, headers=PRIVATE | wait
        )
    with reading(engine) as session:
        by_code = second_step.is_on(session, kept.account)
    if by_code:
        return ask_for_code(request, settings, kept, safe_next(next), at)
    with writing(engine) as session:
        account = account_of(session, kept.account)
        token = sessions.open_session(session, account, at=at, ends=sessions.ends_of(settings))
    return signed_in(kept.account, token, settings, safe_next(next), at)


def _account_signing_in(
    request: Request, settings: Settings, counting: Counting, mail: str, password: str
) -> sessions.Checked:
    """The account whose address and password these are; wrong ones are counted."""
    with reading(counting.engine) as session:
        kept = sessions.kept_of(session, mail)
    asks = password_asks(request, settings, counting, mail, kept.account)
    counting.count(*asks)
    checked = sessions.check_password(kept, password)
    counting.forgive(*asks)
    return checked


@router.post("/sign-out")
def sign_out(session: WritingSession, settings: CurrentSettings, token: Token) -> Response:
    """Close this session; harmless without one."""
    sessions.sign_out(session, token)
    answer = RedirectResponse(SIGN_IN, 303)
    drop_cookie(answer, behind_tls=settings.behind_tls)
    return answer


@router.get("/account")
def account(
    request: Request,
    person: Staff,
    session: ReadingSession,
    settings: CurrentSettings,
    done: str = "",
) -> Response:
    """One's own account."""
    return _account(request, person, _facts(session, person.id, settings), done=_DONE.get(done, ""))


BEGIN = "/office/shop"
"""Where a builder begins whose shop has no name yet."""

_DONE = {
    "password": tr("Your password is changed; other browsers are signed out."),
    "address": tr("You sign in with the new address from now on."),
    "off": tr("The second step is off: signing in takes the password alone."),
}


def _facts(session: Session, number: int, settings: Settings) -> AccountFacts:
    return AccountFacts(
        sessions=sessions.count_sessions(session, number),
        idle_hours=f"{settings.session_idle_hours:g}",
        days=f"{settings.session_days:g}",
        second_step=second_step.is_on(session, number),
        codes_left=second_step.codes_left(session, number),
    )


def _account(
    request: Request,
    person: Staff,
    facts: AccountFacts,
    *,
    error: DomainError | None = None,
    done: str = "",
) -> HTMLResponse:
    errors, field_errors = form_errors(error)
    context = AccountPage(
        person=person,
        facts=facts,
        shortest=passwords.SHORTEST,
        errors=errors,
        field_errors=field_errors,
        done=done,
    )
    status = error.status if error else 200
    return page(request, "pages/accounts/own_account.html", context, status=status, headers=PRIVATE)


@router.post("/account/password")
def change_password(
    *,
    request: Request,
    person: Staff,
    engine: CurrentEngine,
    settings: CurrentSettings,
    counting: Limits,
    at: Now,
    present: Typed = "",
    password: Typed = "",
    again: Typed = "",
) -> Response:
    """Change one's own password, knowing the present one."""
    with reading(engine) as session:
        kept = sessions.kept_of(session, person.mail)
        facts = _facts(session, person.id, settings)
    asks = password_asks(request, settings, counting, person.mail, person.id)
    counting.count(*asks)
    try:
        if not passwords.is_right(present, kept.password_hash):
            raise Invalid("present", None, tr("this is not your present password"))
        counting.forgive(*asks)
        passwords.check_new(password, again, mail=person.mail, name=person.name)
    except Invalid as error:
        return _account(request, person, facts, error=error)
    new = passwords.hash_password(password)
    with writing(engine) as session:
        own = account_of(session, person.id)
        ends = sessions.ends_of(settings)
        token = links.set_password(session, own, password_hash=new, at=at, ends=ends)
        mail_about_change(session, settings, own, "password", at=at)
    return signed_in(person.id, token, settings, "/account?done=password", at)


@router.post("/account/sign-out-everywhere")
def sign_out_everywhere(
    person: Staff, session: WritingSession, settings: CurrentSettings, at: Now
) -> Response:
    """Close every session of one's own, this one too."""
    own = account_of(session, person.id)
    sessions.sign_out_everywhere(session, own, who=person.name, at=at)
    answer = RedirectResponse(SIGN_IN, 303)
    drop_cookie(answer, behind_tls=settings.behind_tls)
    return answer


@router.get("/account/link/{token}")
def password_form(token: str, request: Request, session: ReadingSession, at: Now) -> Response:
    """The form behind a one-time link; opening it does not use it up."""
    found = person_of(links.account_of_link(session, token, at=at))
    return _link_page(request, token, found)


@router.post("/account/link/{token}")
def set_password(
    *,
    token: str,
    request: Request,
    engine: CurrentEngine,
    settings: CurrentSettings,
    counting: Limits,
    at: Now,
    password: Typed = "",
    again: Typed = "",
) -> Response:
    """Set the password, use the link up, and sign in."""
    counting.count(counting.of_sender(limits.LINK))
    with reading(engine) as session:
        found = person_of(links.account_of_link(session, token, at=at))
    try:
        passwords.check_new(password, again, mail=found.mail, name=found.name)
    except Invalid as error:
        return _link_page(request, token, found, error)
    new = passwords.hash_password(password)
    with writing(engine) as session:
        ends = sessions.ends_of(settings)
        opened = links.use_link(session, token, password_hash=new, at=at, ends=ends)
        mail_about_change(session, settings, account_of(session, found.id), "password", at=at)
        begun = shop_face(session).name != PROGRAM
    after = AFTER_SIGN_IN if begun or not found.is_builder else BEGIN
    return signed_in(found.id, opened, settings, after, at)


def _link_page(
    request: Request, token: str, person: Person, error: DomainError | None = None
) -> HTMLResponse:
    errors, field_errors = form_errors(error)
    context = LinkPage(
        name=person.name,
        mail=person.mail,
        action=links.PATH + token,
        shortest=passwords.SHORTEST,
        errors=errors,
        field_errors=field_errors,
    )
    status = error.status if error else 200
    return page(
        request, "pages/accounts/set_password.html", context, status=status, headers=PRIVATE
    )
