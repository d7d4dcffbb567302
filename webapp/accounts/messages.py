"""Mails to an account's owner about what was done with it, so that misuse is noticed."""

from __future__ import annotations

from datetime import datetime

from sqlmodel import Session

from webapp.accounts.people import account_id
from webapp.accounts.tables import Account
from webapp.catalogue.reading.settings import settings_data
from webapp.common.settings import Settings
from webapp.common.text.dates import moment_in_words
from webapp.common.text.language import tr
from webapp.mail.outbox import Message, post

_SAID = {
    "password": tr(
        "The password of your account was changed, and every other browser was signed out."
    ),
    "address": tr("The mail address of your account was changed, and the new one was confirmed."),
    "second step on": tr("Your account now asks for a one-time code after the password."),
    "second step off": tr("Your account no longer asks for a one-time code after the password."),
}


def mail_about_change(
    session: Session, settings: Settings, account: Account, what: str, *, at: datetime
) -> None:
    """Write a mail about a change to its owner, where mail is set up.

    Parameters
    ----------
    session : Session
        The writing session of the change itself.
    settings : Settings
    account : Account
    what : str
        ``password``, ``address``, ``second step on`` or ``second step off``.
    at : datetime
    """
    if not settings.sends_mail:
        return
    shop = settings_data(session).letterhead
    paragraphs = (
        tr("Good day {name},", name=account.name),
        _SAID[what],
        tr("That was on {moment}.", moment=moment_in_words(at)),
        tr(
            "If this was you, there is nothing to do. If it was not, tell the builder at once: "
            "they can switch your account off and give you a new link, or write to {email}.",
            email=shop.email,
        ),
        f"{shop.name}\n{settings.base_url}",
    )
    message = Message(
        to_name=account.name,
        to_mail=account.mail,
        subject=tr("Your account at {name} was changed", name=shop.name),
        body="\n\n".join(paragraphs),
    )
    number = account_id(account)
    key = f"account-{number}-{what.replace(' ', '-')}-{int(at.timestamp())}"
    post(session, message, key=key, about=f"account {number}", at=at)


def mail_to_prove(
    session: Session, account: Account, mail: str, link: str, *, at: datetime
) -> None:
    """Write the mail whose link proves that an address is the account owner's.

    Parameters
    ----------
    session : Session
        The writing session in which it was asked for.
    account : Account
    mail : str
        The new address.
    link : str
        Told in this mail alone.
    at : datetime
    """
    shop = settings_data(session).letterhead
    paragraphs = (
        tr("Good day {name},", name=account.name),
        tr("open this link to sign in with {mail} from now on:\n{link}", mail=mail, link=link),
        tr("It works once and for a day. If you did not ask for it, there is nothing to do."),
        shop.name,
    )
    message = Message(
        to_name=account.name,
        to_mail=mail.strip(),
        subject=tr("Your new address at {name}", name=shop.name),
        body="\n\n".join(paragraphs),
    )
    number = account_id(account)
    key = f"account-{number}-prove-{int(at.timestamp())}"
    post(session, message, key=key, about=f"account {number}", at=at)
