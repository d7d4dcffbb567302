"""Signing in and out: a random token in the browser, its hash in the database."""

from __future__ import annotations

import secrets
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from sqlalchemy import delete
from sqlmodel import Session, col, select

from webapp.accounts.passwords import is_right
from webapp.accounts.people import Person, account_id, find_account, note, person_of
from webapp.accounts.second_step import is_on
from webapp.accounts.tables import Account, AccountSession
from webapp.common.errors import Forbidden
from webapp.common.security.tokens import TOKEN_BYTES, token_hash
from webapp.common.settings import Settings
from webapp.common.timestamps import utc

CONFIRMED_FOR = timedelta(minutes=10)  # then who it is has to be proved again
NOTED_EVERY = timedelta(minutes=5)  # how fine it is kept when a session was last used


@dataclass(frozen=True, kw_only=True)
class Ends:
    """When a session ends: after quiet hours, and after so many days however busy."""

    idle: timedelta = timedelta(hours=12)
    whole: timedelta = timedelta(days=14)


ENDS = Ends()


def ends_of(settings: Settings) -> Ends:
    """When sessions end by the settings of the service."""
    idle, whole = settings.session_idle_hours, settings.session_days
    return Ends(idle=timedelta(hours=idle), whole=timedelta(days=whole))


@dataclass(frozen=True)
class Kept:
    """What is kept of an account to check a password against; empty for an unknown one."""

    account: int | None = None
    password_hash: str | None = None


def kept_of(session: Session, mail: str) -> Kept:
    """What to check a password against.

    Parameters
    ----------
    session : Session
        A reading session. Close it before the password is checked: that takes a
        tenth of a second, and no connection should wait for it.
    mail : str
        As typed.

    Returns
    -------
    Kept
        Empty for an unknown address and for an account that is switched off.
    """
    return _kept(find_account(session, mail))


def kept_of_account(session: Session, number: int) -> Kept:
    """The same of an account's number."""
    return _kept(session.get(Account, number))


def _kept(account: Account | None) -> Kept:
    if account is None or not account.active:
        return Kept()
    return Kept(account.id, account.password_hash)


@dataclass(frozen=True)
class Checked(Kept):
    """What is kept of an account whose password was right."""

    account: int = field(kw_only=True)


def check_password(kept: Kept, password: str) -> Checked:
    """The account, if the password is its own.

    Raises
    ------
    Forbidden
        The same, and after the same work, for an unknown address, a wrong
        password, and an account that is switched off.
    """
    right = is_right(password, kept.password_hash)
    if kept.account is None or not right:
        raise Forbidden("mail", None, "this address and password do not belong together")
    return Checked(password_hash=kept.password_hash, account=kept.account)


def open_session(session: Session, account: Account, *, at: datetime, ends: Ends = ENDS) -> str:
    """Open a session for an account.

    Whoever has codes is asked for one more before what `confirm` guards; where there
    are none, the password just given is proof enough for a while.

    Returns
    -------
    str
        Its token, new at every sign-in; only its hash is kept.
    """
    session.exec(
        delete(AccountSession).where(
            col(AccountSession.account_id) == account_id(account),
            col(AccountSession.last_seen_at) < at - ends.idle,
        )
    )
    token = secrets.token_urlsafe(TOKEN_BYTES)
    session.add(
        AccountSession(
            account_id=account_id(account),
            token_hash=token_hash(token),
            created_at=at,
            last_seen_at=at,
            confirmed_at=None if is_on(session, account_id(account)) else at,
        )
    )
    note(session, account, who=account.name, what="signed in", at=at)
    return token


def signed_in(
    session: Session, token: str, *, at: datetime, ends: Ends = ENDS
) -> tuple[Person, bool] | None:
    """Who a token belongs to, if its session still stands.

    Parameters
    ----------
    session : Session
        A reading session.
    token : str
        From the cookie, whatever it holds.
    at : datetime

    Returns
    -------
    (Person, bool) or None
        With whether it is time to note that the session was used (`used`).
    """
    query = (
        select(AccountSession, Account)
        .join(Account, col(Account.id) == col(AccountSession.account_id))
        .where(AccountSession.token_hash == token_hash(token), col(Account.active))
    )
    found = session.exec(query).first()
    if found is None:
        return None
    row, account = found
    quiet, age = at - utc(row.last_seen_at), at - utc(row.created_at)
    if quiet > ends.idle or age > ends.whole:
        return None
    return person_of(account), abs(quiet) > NOTED_EVERY


def used(session: Session, token: str, *, at: datetime) -> None:
    """Note that a session was used; its quiet hours begin anew.

    One that a clock set wrong has opened in the future began now, so that it ends.
    """
    row = session.exec(
        select(AccountSession).where(AccountSession.token_hash == token_hash(token))
    ).first()
    if row is not None:
        row.last_seen_at, row.created_at = at, min(utc(row.created_at), at)
        session.add(row)


def confirm(session: Session, token: str, *, at: datetime) -> None:
    """Note that a session has proved again who it is."""
    row = session.exec(
        select(AccountSession).where(AccountSession.token_hash == token_hash(token))
    ).one()
    row.confirmed_at = at
    session.add(row)


def is_confirmed(session: Session, token: str, *, at: datetime) -> bool:
    """Whether a session has proved who it is a moment ago."""
    query = select(AccountSession.confirmed_at).where(
        AccountSession.token_hash == token_hash(token)
    )
    confirmed = session.exec(query).first()
    return confirmed is not None and abs(at - utc(confirmed)) <= CONFIRMED_FOR


def sign_out(session: Session, token: str) -> None:
    """Close the session of a token; nothing happens for any other token."""
    session.exec(delete(AccountSession).where(col(AccountSession.token_hash) == token_hash(token)))


def sign_out_everywhere(session: Session, account: Account, *, who: str, at: datetime) -> int:
    """Close all sessions of an account; gives how many there were."""
    closed = session.exec(
        delete(AccountSession).where(col(AccountSession.account_id) == account_id(account))
    )
    note(session, account, who=who, what="signed out everywhere", at=at)
    return int(closed.rowcount)


def count_sessions(session: Session, account_number: int) -> int:
    """How many browsers are signed in to an account, counting those that have gone quiet."""
    query = select(AccountSession.id).where(AccountSession.account_id == account_number)
    return len(session.exec(query).all())
