"""Writing mails, and taking them out to be sent."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import Engine
from sqlmodel import Session, col, select

from webapp.common.storage.database import reading, writing
from webapp.mail.tables import FAILED, SENT, WAITING, Mail

# How long after each try the next one comes; after the last the mail is given up
# and the counter says so.
WAITS = tuple(
    timedelta(minutes=minutes) for minutes in (1, 5, 15, 60, 180, 360, 720, 1440, 1440, 1440)
)


@dataclass(frozen=True, kw_only=True)
class Message:
    """What a mail says, and to whom: to be sent, or shown to be copied."""

    to_name: str
    to_mail: str
    subject: str
    body: str


@dataclass(frozen=True, kw_only=True)
class Taken:
    """A mail taken out of the outbox to be sent."""

    id: int
    key: str
    attempts: int
    message: Message


@dataclass(frozen=True, kw_only=True)
class MailState:
    """How a mail stands, for the counter."""

    subject: str
    to_mail: str
    state: str
    moment: datetime
    error: str


def post(session: Session, message: Message, *, key: str, about: str, at: datetime) -> bool:
    """Put a mail into the outbox, in the same transaction as what it tells of.

    Parameters
    ----------
    session : Session
        A writing session.
    message : Message
    key : str
        Names the occasion; a second mail of the same key is not written.
    about : str
        What it belongs to.
    at : datetime

    Returns
    -------
    bool
        Whether it was written.
    """
    if session.exec(select(Mail.id).where(Mail.key == key)).first() is not None:
        return False
    session.add(
        Mail(
            key=key,
            about=about,
            to_name=message.to_name,
            to_mail=message.to_mail,
            subject=message.subject[:200],
            body=message.body,
            created_at=at,
            due_at=at,
        )
    )
    session.flush()
    return True


def take(engine: Engine, *, at: datetime) -> Taken | None:
    """Take the next mail that is due; None when there is none.

    Its next try is set before this one is made, in a transaction of its own.
    """
    due = select(Mail).where(Mail.state == WAITING, col(Mail.due_at) <= at)
    with reading(engine) as session:
        if session.exec(due.limit(1)).first() is None:
            return None
    with writing(engine) as session:
        query = due.order_by(col(Mail.due_at), col(Mail.id)).limit(1)
        mail = session.exec(query.with_for_update(skip_locked=True)).first()
        if mail is None or mail.id is None:
            return None
        mail.attempts += 1
        mail.due_at = at + WAITS[min(mail.attempts, len(WAITS)) - 1]
        session.add(mail)
        message = Message(
            to_name=mail.to_name, to_mail=mail.to_mail, subject=mail.subject, body=mail.body
        )
        return Taken(id=mail.id, key=mail.key, attempts=mail.attempts, message=message)


def sent(engine: Engine, taken: Taken, *, at: datetime) -> None:
    """Note that a mail was handed over."""
    with writing(engine) as session:
        mail = session.get(Mail, taken.id)
        if mail is not None:
            mail.state, mail.sent_at, mail.error = SENT, at, ""
            session.add(mail)


def not_sent(engine: Engine, taken: Taken, *, error: str, for_good: bool) -> None:
    """Note why a mail could not be handed over, and give it up for good or after the last try."""
    with writing(engine) as session:
        mail = session.get(Mail, taken.id)
        if mail is not None:
            given_up = for_good or taken.attempts >= len(WAITS)
            mail.state = FAILED if given_up else WAITING
            mail.error = error[:300]
            session.add(mail)


def mails_about(session: Session, about: str) -> tuple[MailState, ...]:
    """How the mails about something stand, newest first."""
    rows = session.exec(select(Mail).where(Mail.about == about).order_by(col(Mail.id).desc()))
    return tuple(
        MailState(
            subject=row.subject,
            to_mail=row.to_mail,
            state=row.state,
            moment=row.sent_at or row.created_at,
            error=row.error,
        )
        for row in rows.all()
    )
