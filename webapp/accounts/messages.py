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
        ``password``, ``second step on`` or ``second step off``.
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
