"""The page on which a reminder is edited and sent."""

from __future__ import annotations

from dataclasses import dataclass

from webapp.accounts.people import Person
from webapp.common.errors import DomainError, form_errors
from webapp.common.security.tokens import new_key
from webapp.common.text.language import tr
from webapp.counter.lists import address_of
from webapp.counter.messages import mail_link
from webapp.mail.outbox import Message


@dataclass(frozen=True, kw_only=True)
class ReminderPage:
    """A letter to be sent; ``mailed`` says whether the service sends it itself."""

    person: Person
    number: str
    back: str
    action: str
    key: str
    to: str
    subject: str
    text: str
    mailed: bool
    mail_link: str
    send_words: str
    errors: tuple[tuple[str, str], ...]
    field_errors: dict[str, str]


def reminder_page(
    number: str,
    letter: Message,
    person: Person,
    *,
    sends_mail: bool,
    error: DomainError | None = None,
) -> ReminderPage:
    """The page of one reminder.

    Parameters
    ----------
    number : str
        Of the quote.
    letter : Message
        As proposed, or as written.
    person : Person
    sends_mail : bool
        Whether a mail server is configured.
    error : DomainError, optional
        Why it was not sent.
    """
    errors, field_errors = form_errors(error)
    mailed = sends_mail and bool(letter.to_mail)
    return ReminderPage(
        person=person,
        number=number,
        back=address_of(number),
        action=f"{address_of(number)}/remind",
        key=new_key(),
        to=letter.to_mail or tr("no mail address"),
        subject=letter.subject,
        text=letter.body,
        mailed=mailed,
        mail_link=mail_link(letter) if letter.to_mail and not mailed else "",
        send_words=tr("Send the reminder") if mailed else tr("Note that they were reminded"),
        errors=errors,
        field_errors=field_errors,
    )
