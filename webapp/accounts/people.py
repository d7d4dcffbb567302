"""People of the shop: invited, listed, switched off; every change is remembered."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime

from sqlmodel import Session, col, select

from webapp.accounts.tables import BUILDER, ROLES, Account, AccountEvent
from webapp.common.errors import Conflict, Gathering, Invalid, NotFound
from webapp.common.text.dates import moment_in_words
from webapp.common.text.language import tr

LONGEST_NAME = 120
LONGEST_MAIL = 254  # RFC 5321 section 4.5.3.1.3
_MAIL = re.compile(r"[^@\s,;<>()\[\]\\\"]+@[^@\s,;<>()\[\]\\\"]+\.[^@\s,;<>()\[\]\\\".]+")


@dataclass(frozen=True, kw_only=True)
class Person:
    """One person of the shop as the rest of the service knows them."""

    id: int
    name: str
    mail: str
    role: str

    @property
    def is_builder(self) -> bool:
        """Whether the drawing office is open to them too."""
        return self.role == BUILDER

    @property
    def role_words(self) -> str:
        """What the person is called here."""
        return role_in_words(self.role)


def role_in_words(role: str) -> str:
    """A role as people call it."""
    return tr("builder") if role == BUILDER else tr("staff")


@dataclass(frozen=True, kw_only=True)
class ListedPerson:
    """One person in the builder's list."""

    id: int
    name: str
    mail: str
    role: str
    active: bool
    has_password: bool

    @property
    def role_words(self) -> str:
        """What the person is called here."""
        return role_in_words(self.role)


def tidy_mail(mail: str) -> str:
    """A mail address as it is kept and compared.

    >>> tidy_mail(" Edda@Shop.Example ")
    'edda@shop.example'
    """
    return mail.strip().casefold()


def check_mail(typed: str) -> str:
    """A mail address as it is kept.

    Raises
    ------
    Invalid
        For anything that is none.
    """
    tidy = tidy_mail(typed)
    if len(tidy) > LONGEST_MAIL or not _MAIL.fullmatch(tidy):
        remedy = tr("a mail address, such as name@example.org")
        raise Invalid("mail", typed[:LONGEST_MAIL], remedy)
    return tidy


def account_id(account: Account) -> int:
    """The number of a saved account."""
    if account.id is None:
        raise ValueError("this account is not saved")
    return account.id


def person_of(account: Account) -> Person:
    """An account as a value."""
    return Person(id=account_id(account), name=account.name, mail=account.mail, role=account.role)


def note(session: Session, account: Account, *, who: str, what: str, at: datetime) -> None:
    """Remember what happened to an account."""
    session.add(AccountEvent(account_id=account_id(account), at=at, who=who, what=what))
    session.flush()


def put_person(
    session: Session, *, name: str, mail: str, role: str, who: str, at: datetime
) -> Account:
    """Make an account, without a password yet.

    Parameters
    ----------
    session : Session
        A writing session.
    name, mail, role : str
        As typed; the role is ``staff`` or ``builder``.
    who : str
        Who invites.
    at : datetime

    Returns
    -------
    Account

    Raises
    ------
    Invalid
        With every field that cannot be used.
    Conflict
        When there is an account with this address.
    """
    gathering = Gathering()
    tidy_name, tidy = " ".join(name.split()), tidy_mail(mail)
    if not 0 < len(tidy_name) <= LONGEST_NAME or not tidy_name.isprintable():
        gathering.add(
            "name",
            name[:LONGEST_NAME],
            tr("a name of 1 to {longest_name} characters", longest_name=LONGEST_NAME),
        )
    gathering.take(lambda: check_mail(mail))
    if role not in ROLES:
        gathering.add("role", role[:20], tr("one of {choices}", choices=", ".join(ROLES)))
    gathering.finish()
    if find_account(session, tidy) is not None:
        raise Conflict(
            "mail", tidy, tr("there is an account with this address; issue a link for it")
        )
    account = Account(mail=tidy, name=tidy_name, role=role, created_at=at)
    session.add(account)
    session.flush()
    note(session, account, who=who, what="invited", at=at)
    return account


def find_account(session: Session, mail: str) -> Account | None:
    """The account of a mail address, whatever its state."""
    return session.exec(select(Account).where(Account.mail == tidy_mail(mail))).first()


def account_of(session: Session, number: int) -> Account:
    """The account of a number.

    Raises
    ------
    NotFound
        When there is none.
    """
    found = session.get(Account, number)
    if found is None:
        raise NotFound("account", number, tr("one of the people listed"))
    return found


def list_people(session: Session) -> tuple[ListedPerson, ...]:
    """Everybody of the shop, those switched off last."""
    rows = session.exec(select(Account).order_by(col(Account.active).desc(), Account.name)).all()
    return tuple(
        ListedPerson(
            id=account_id(row),
            name=row.name,
            mail=row.mail,
            role=row.role,
            active=row.active,
            has_password=row.password_hash is not None,
        )
        for row in rows
    )


def switch(session: Session, account: Account, *, active: bool, who: Person, at: datetime) -> None:
    """Switch an account on or off; one's own stays on, so that somebody keeps the keys.

    Raises
    ------
    Invalid
        For one's own account.
    """
    if account.id == who.id:
        raise Invalid(
            "account", account.name, tr("somebody else's account; you cannot switch off your own")
        )
    account.active = active
    session.add(account)
    note(
        session,
        account,
        who=who.name,
        what="switched on" if active else "switched off",
        at=at,
    )


_EVENT_IN_WORDS = {
    "invited": tr("invited"),
    "link issued": tr("link issued"),
    "password set": tr("password set"),
    "signed in": tr("signed in"),
    "signed out everywhere": tr("signed out everywhere"),
    "switched on": tr("switched on"),
    "switched off": tr("switched off"),
    "second step on": tr("second step on"),
    "second step off": tr("second step off"),
    "recovery codes made": tr("recovery codes made"),
    "recovery code used": tr("recovery code used"),
}  # what is kept is the same in every language; it is translated when it is read


def latest_events(session: Session, most: int) -> tuple[str, ...]:
    """What happened to accounts lately, newest first, in sentences."""
    query = (
        select(AccountEvent, Account)
        .join(Account, col(Account.id) == col(AccountEvent.account_id))
        .order_by(col(AccountEvent.id).desc())
        .limit(most)
    )
    return tuple(
        tr(
            "{moment}: {name}, {what} (by {who})",
            moment=moment_in_words(event.at),
            name=account.name,
            what=_EVENT_IN_WORDS.get(event.what, event.what),
            who=event.who,
        )
        for event, account in session.exec(query).all()
    )
