"""Pages on which somebody of the shop changes the address they sign in with."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from webapp.accounts import own_address, passwords, sessions
from webapp.accounts.dependencies import Staff
from webapp.accounts.messages import mail_about_change, mail_to_prove
from webapp.accounts.pages.forms import PRIVATE, Typed
from webapp.accounts.pages.sign_in_common import password_asks
from webapp.accounts.people import LONGEST_MAIL, Person, account_of
from webapp.common.errors import DomainError, Invalid, form_errors
from webapp.common.storage.database import reading, writing
from webapp.common.text.language import tr
from webapp.common.web.dependencies import (
    BaseUrl,
    CurrentEngine,
    CurrentSettings,
    Now,
    ReadingSession,
)
from webapp.common.web.templating import page
from webapp.rate_limits.dependencies import Limits

router = APIRouter(include_in_schema=False)

ADDRESS = "/account/address"


@dataclass(frozen=True, kw_only=True)
class AddressPage:
    """The form; ``mailed`` says whether a link proves the address, ``sent`` to which it went."""

    person: Person
    mail: str
    mailed: bool
    sent: str
    errors: tuple[tuple[str, str], ...]
    field_errors: dict[str, str]

    @property
    def how_words(self) -> str:
        """How the address is changed."""
        if self.mailed:
            return tr(
                "We send a link to the new address. Until you open it you sign in with the "
                "present one, which gets a mail about the change."
            )
        return tr(
            "This service sends no mail, so the address is changed at once. Type it with care."
        )

    @property
    def send_words(self) -> str:
        """What the form does."""
        return tr("Send the link") if self.mailed else tr("Change the address")


@dataclass(frozen=True, kw_only=True)
class ProvedPage:
    """The page behind the link that was mailed."""

    mail: str
    action: str
    done: str


@router.get(ADDRESS)
def address_form(request: Request, person: Staff, settings: CurrentSettings) -> HTMLResponse:
    """The form: the new address, and the password."""
    return _form(request, person, mailed=settings.sends_mail)


def _form(
    request: Request,
    person: Person,
    *,
    mailed: bool,
    mail: str = "",
    sent: str = "",
    error: DomainError | None = None,
) -> HTMLResponse:
    errors, field_errors = form_errors(error)
    shown = AddressPage(
        person=person,
        mail=mail[:LONGEST_MAIL],
        mailed=mailed,
        sent=sent,
        errors=errors,
        field_errors=field_errors,
    )
    status = error.status if error else 200
    return page(request, "pages/accounts/own_address.html", shown, status=status, headers=PRIVATE)


@router.post(ADDRESS)
def ask_for_address(
    *,
    request: Request,
    person: Staff,
    engine: CurrentEngine,
    settings: CurrentSettings,
    counting: Limits,
    base: BaseUrl,
    at: Now,
    mail: Typed = "",
    present: Typed = "",
) -> Response:
    """Mail a link to the new address; where no mail is sent, change it at once."""
    with reading(engine) as session:
        kept = sessions.kept_of(session, person.mail)
    asks = password_asks(request, settings, counting, person.mail, person.id)
    counting.count(*asks)
    try:
        if not passwords.is_right(present, kept.password_hash):
            raise Invalid("present", None, tr("this is not your present password"))
        counting.forgive(*asks)
        with writing(engine) as session:
            own = account_of(session, person.id)
            if settings.sends_mail:
                path = own_address.ask_for_address(session, own, mail, at=at)
                mail_to_prove(session, own, mail, f"{base}{path}", at=at)
            else:
                own_address.set_address(session, own, mail, at=at)
    except Invalid as error:
        return _form(request, person, mailed=settings.sends_mail, mail=mail, error=error)
    if settings.sends_mail:
        return _form(request, person, mailed=True, sent=mail.strip())
    return RedirectResponse("/account?done=address", 303)


@router.get(own_address.PATH + "{token}")
def prove(token: str, request: Request, session: ReadingSession, at: Now) -> HTMLResponse:
    """The page behind the link; opening it changes nothing, for some mail programs open links."""
    asked = own_address.address_of_link(session, token, at=at)
    return _proved(
        request, ProvedPage(mail=asked.mail, action=f"{own_address.PATH}{token}", done="")
    )


@router.post(own_address.PATH + "{token}")
def use_address(
    *, token: str, request: Request, engine: CurrentEngine, settings: CurrentSettings, at: Now
) -> HTMLResponse:
    """Sign in with the new address from now on; the old one is told."""
    with writing(engine) as session:
        asked = own_address.address_of_link(session, token, at=at)
        mail_about_change(session, settings, asked.account, "address", at=at)
        own_address.set_address(session, asked.account, asked.mail, at=at)
        mail = asked.mail
    done = tr("From now on you sign in with {mail}.", mail=mail)
    return _proved(request, ProvedPage(mail=mail, action="", done=done))


def _proved(request: Request, shown: ProvedPage) -> HTMLResponse:
    return page(request, "pages/accounts/address_proved.html", shown, headers=PRIVATE)
