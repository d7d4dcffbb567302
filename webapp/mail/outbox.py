"""Writing mails into the outbox, and taking each out to be sent once.

A try has two parts. Until the mail is handed to the server (`hand_over`), a try that failed or
died is repeated. After that the server may have accepted the mail, and it is tried again only
if the server refused it: where it is unknown whether it was accepted, the mail is given up with
that reason, and somebody of the shop decides.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import ColumnElement, Engine, and_, or_, update
from sqlmodel import Session, col, func, select

from webapp.common.storage.database import reading, writing
from webapp.common.text.language import tr
from webapp.mail.tables import FAILED, SENT, WAITING, Mail

# How long after each try the next one comes; after the last the mail is given up
# and the counter says so.
WAITS = tuple(
    timedelta(minutes=minutes) for minutes in (1, 5, 15, 60, 180, 360, 720, 1440, 1440, 1440)
)

CLAIM = timedelta(minutes=15)
"""Time after which a try that neither ended nor failed is taken to have died."""

UNKNOWN = tr("the mail server did not say whether it took the mail; it may have arrived or not")

GivenUp = Callable[[Session, str, datetime], None]
"""Called, in the same transaction, with what a mail that was given up was about, and when."""


def nobody(_session: Session, _about: str, _at: datetime) -> None:
    """Do nothing."""


def about_shop(about: str) -> str:
    """The subject key of mails to the shop itself, which sets them apart from those to a customer.

    >>> about_shop("2026-0001")
    '2026-0001 to the shop'
    """
    return f"{about} to the shop"


@dataclass(frozen=True, kw_only=True)
class Message:
    """What a mail says, and to whom: to be sent, or shown to be copied.

    ``attached`` names the document that goes with it, empty where none does.
    """

    to_name: str
    to_mail: str
    subject: str
    body: str
    attached: str = ""

    @property
    def to_whom(self) -> str:
        """The address it goes to, in words."""
        return self.to_mail or tr("no mail address")


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

    key: str
    subject: str
    to_mail: str
    state: str
    moment: datetime
    due_at: datetime
    error: str


def post(session: Session, message: Message, *, key: str, about: str, at: datetime) -> bool:
    """Put a mail into the outbox, in the same transaction as the change it reports.

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
            attached=message.attached,
            created_at=at,
            due_at=at,
        )
    )
    session.flush()
    return True


def take(engine: Engine, *, at: datetime) -> Taken | None:
    """Take the next mail that is due; None when there is none.

    It is reserved for the taker during `CLAIM`, by a transaction of its own before the try.
    """
    # A time later than any delay allows was set by a wrong clock: the mail is due now.
    due_now = or_(col(Mail.due_at) <= at, col(Mail.due_at) > at + max(WAITS))
    due = select(Mail).where(Mail.state == WAITING, due_now, col(Mail.handed_at).is_(None))
    with reading(engine) as session:
        if session.exec(due.limit(1)).first() is None:
            return None
    with writing(engine) as session:
        query = due.order_by(col(Mail.due_at), col(Mail.id)).limit(1)
        mail = session.exec(query.with_for_update(skip_locked=True)).first()
        if mail is None or mail.id is None:
            return None
        mail.attempts += 1
        mail.due_at = at + CLAIM
        session.add(mail)
        message = Message(
            to_name=mail.to_name,
            to_mail=mail.to_mail,
            subject=mail.subject,
            body=mail.body,
            attached=mail.attached,
        )
        return Taken(id=mail.id, key=mail.key, attempts=mail.attempts, message=message)


def _still_held(taken: Taken) -> ColumnElement[bool]:
    """The condition that no later try has taken the mail over."""
    return and_(
        col(Mail.id) == taken.id,
        col(Mail.attempts) == taken.attempts,
        col(Mail.state) == WAITING,
    )


def hand_over(engine: Engine, taken: Taken, *, at: datetime) -> bool:
    """Note that a server is about to be given a mail; False when another try has it now.

    However long a try took, only one of all tries may go on.
    """
    claim = update(Mail).where(_still_held(taken), col(Mail.handed_at).is_(None))
    with writing(engine) as session:
        done = session.connection().execute(claim.values(handed_at=at, due_at=at + CLAIM))
        return done.rowcount == 1


def sent(engine: Engine, taken: Taken, *, at: datetime) -> None:
    """Note that a server took a mail."""
    with writing(engine) as session:
        mail = session.get(Mail, taken.id)
        if mail is not None:
            mail.state, mail.sent_at, mail.error = SENT, at, ""
            session.add(mail)


def not_sent(
    engine: Engine,
    taken: Taken,
    *,
    at: datetime,
    error: str,
    for_good: bool,
    given_up: GivenUp = nobody,
) -> None:
    """Note why no server took a mail, and give it up for good or after the last try."""
    with writing(engine) as session:
        mail = session.exec(select(Mail).where(_still_held(taken))).first()
        if mail is None:
            return
        mail.error, mail.handed_at = error[:300], None
        mail.due_at = at + WAITS[min(mail.attempts, len(WAITS)) - 1]
        session.add(mail)
        if for_good or mail.attempts >= len(WAITS):
            _give_up(session, mail, at=at, given_up=given_up)


def give_up_unknown(engine: Engine, *, at: datetime, given_up: GivenUp = nobody) -> int:
    """Give up mails of which it can no longer be known whether a server took them.

    Returns
    -------
    int
        How many there were.
    """
    lost = select(Mail).where(
        Mail.state == WAITING, col(Mail.due_at) <= at, col(Mail.handed_at).is_not(None)
    )
    with reading(engine) as session:
        if session.exec(lost.limit(1)).first() is None:
            return 0
    with writing(engine) as session:
        mails = session.exec(lost.with_for_update(skip_locked=True)).all()
        for mail in mails:
            mail.error = UNKNOWN
            _give_up(session, mail, at=at, given_up=given_up)
        return len(mails)


def _give_up(session: Session, mail: Mail, *, at: datetime, given_up: GivenUp) -> None:
    mail.state = FAILED
    session.add(mail)
    session.flush()
    given_up(session, mail.about, at)


def mails_about(session: Session, about: str) -> tuple[MailState, ...]:
    """How the mails about something stand, newest first."""
    rows = session.exec(select(Mail).where(Mail.about == about).order_by(col(Mail.id).desc()))
    return tuple(
        MailState(
            key=row.key,
            subject=row.subject,
            to_mail=row.to_mail,
            state=row.state,
            moment=row.sent_at or row.created_at,
            due_at=row.due_at,
            error=row.error,
        )
        for row in rows.all()
    )


def given_up_about(session: Session, about: list[str]) -> dict[str, str]:
    """Why the newest mail about each of these was given up; those not given up are left out."""
    newest = select(func.max(Mail.id)).where(col(Mail.about).in_(about)).group_by(col(Mail.about))
    query = select(Mail.about, Mail.error).where(col(Mail.id).in_(newest), Mail.state == FAILED)
    return dict(session.exec(query).all())
