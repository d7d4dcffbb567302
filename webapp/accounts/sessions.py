"""Signing in and out: a random token in the browser, its hash in the database."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import delete
from sqlmodel import Session, col, select

from webapp.accounts.passwords import is_right
from webapp.accounts.people import Person, account_id, find_account, note, person_of
from webapp.accounts.tables import Account, AccountSession
from webapp.common.errors import Forbidden
from webapp.common.security.tokens import TOKEN_BYTES, token_hash
from webapp.common.text.language import tr
from webapp.common.timestamps import utc

IDLE = timedelta(hours=12)  # a working day and its breaks
WHOLE = timedelta(days=14)  # then the password is asked for again, however busy the counter
NOTED_EVERY = timedelta(minutes=5)  # how fine it is kept when a session was last used


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
    account = find_account(session, mail)
    if account is None or not account.active:
        return Kept()
    return Kept(account.id, account.password_hash)


def check_password(kept: Kept, password: str) -> int:
    """The number of the account, if the password is its own.

    Raises
    ------
    Forbidden
        The same, and after the same work, for an unknown address, a wrong
        password, and an account that is switched off.
    """
    right = is_right(password, kept.password_hash)
    if kept.account is None or not right:
        raise Forbidden("mail", None, tr("this address and password do not belong together"))
    return kept.account


def open_session(session: Session, account: Account, *, at: datetime) -> str:
    """Open a session for an account.

    Returns
    -------
    str
        Its token, new at every sign-in; only its hash is kept.
    """
    session.exec(
        delete(AccountSession).where(
            col(AccountSession.account_id) == account_id(account),
            col(AccountSession.last_seen_at) < at - IDLE,
        )
    )
    token = secrets.token_urlsafe(TOKEN_BYTES)
    session.add(
        AccountSession(
            account_id=account_id(account),
            token_hash=token_hash(token),
            created_at=at,
            last_seen_at=at,
        )
    )
    note(session, account, who=account.name, what=tr("signed in"), at=at)
    return token


def signed_in(session: Session, token: str, *, at: datetime) -> tuple[Person, bool] | None:
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
    if quiet > IDLE or age > WHOLE:
        return None
    return person_of(account), quiet > NOTED_EVERY


def used(session: Session, token: str, *, at: datetime) -> None:
    """Note that a session was used; it stays open for another `IDLE`."""
    row = session.exec(
        select(AccountSession).where(AccountSession.token_hash == token_hash(token))
    ).first()
    if row is not None:
        row.last_seen_at = at
        session.add(row)


def sign_out(session: Session, token: str) -> None:
    """Close the session of a token; nothing happens for any other token."""
    session.exec(delete(AccountSession).where(col(AccountSession.token_hash) == token_hash(token)))


def sign_out_everywhere(session: Session, account: Account, *, who: str, at: datetime) -> int:
    """Close all sessions of an account; gives how many there were."""
    closed = session.exec(
        delete(AccountSession).where(col(AccountSession.account_id) == account_id(account))
    )
    note(session, account, who=who, what=tr("signed out everywhere"), at=at)
    return int(closed.rowcount)


def count_sessions(session: Session, account_number: int) -> int:
    """How many browsers are signed in to an account, counting those that have gone quiet."""
    query = select(AccountSession.id).where(AccountSession.account_id == account_number)
    return len(session.exec(query).all())
