"""What became of the mail with a version, as far as it is known."""

from __future__ import annotations

from collections.abc import Iterable

from webapp.common.text.dates import moment_in_words
from webapp.common.text.language import tr
from webapp.mail.outbox import MailState
from webapp.mail.tables import FAILED, SENT


def occasion(number: str, version: int, sendings: int) -> str:
    """A key for sending a version, so that two windows cannot send it twice.

    Parameters
    ----------
    number : str
        Of the quote.
    version : int
    sendings : int
        How often the quote was sent before, as whoever sends it saw.
    """
    return f"{_sending(number, version)}{sendings}"


def _sending(number: str, version: int) -> str:
    return f"sent-{number}-{version}-"


def mail_of(mails: Iterable[MailState], number: str, version: int) -> MailState | None:
    """The newest mail that went, or is to go, with a version."""
    asked = f"asked-{number}" if version == 1 else None
    beginning = _sending(number, version)
    return next((m for m in mails if m.key == asked or m.key.startswith(beginning)), None)


def mail_words(mail: MailState | None, version: int, *, sends_mail: bool, address: str) -> str:
    """What became of the mail with a version the customer has, in a sentence or two.

    Parameters
    ----------
    mail : MailState or None
        None when there is none.
    version : int
    sends_mail : bool
        Whether the service sends mail at all.
    address : str
        The customer's; empty when none is known.
    """
    if mail is None:
        return _without_mail(version, sends_mail=sends_mail, address=address)
    moment = moment_in_words(mail.moment)
    if mail.state == SENT:
        return tr(
            "Version {version} was mailed to {to_mail} on {moment}.",
            version=version,
            to_mail=mail.to_mail,
            moment=moment,
        )
    if mail.state == FAILED:
        return tr(
            (
                "The mail with version {version} to {to_mail} was given up: {error}. "
                "Give the customer the link another way, or put the address right and "
                "send it again."
            ),
            version=version,
            to_mail=mail.to_mail,
            error=mail.error,
        )
    if mail.error:
        return tr(
            "The mail with version {version} to {to_mail} is not sent yet. So far: {error}.",
            version=version,
            to_mail=mail.to_mail,
            error=mail.error,
        )
    return tr(
        "The mail with version {version} to {to_mail} is not sent yet.",
        version=version,
        to_mail=mail.to_mail,
    )


def _without_mail(version: int, *, sends_mail: bool, address: str) -> str:
    if not sends_mail:
        why = tr("this service sends no mail")
    elif not address:
        why = tr("the customer has no mail address")
    else:
        why = tr("it was made before mail was set up")
    return tr(
        (
            "No mail went with version {version}: {why}. "
            "Give the customer the link, or copy the message to them."
        ),
        version=version,
        why=why,
    )
