"""Another mail address to sign in with, asked for by its owner and proved by a link sent to it."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlmodel import Session, select

from webapp.accounts.people import account_id, check_mail, find_account, note
from webapp.accounts.tables import Account, AccountNewMail
from webapp.common.errors import Invalid, NotFound
from webapp.common.security.tokens import TOKEN_BYTES, token_hash
from webapp.common.text.language import tr
from webapp.common.timestamps import utc

VALID = timedelta(hours=24)
PATH = "/account/link/address/"


@dataclass(frozen=True, kw_only=True)
class AskedFor:
    """Another address that was asked for: whose, and which."""

    account: Account
    mail: str


def free_address(session: Session, account: Account, typed: str) -> str:
    """An address as it is kept, if this account may have it.

    Raises
    ------
    Invalid
        For what is no address, the present one, or one that somebody else signs in with.
    """
    mail = check_mail(typed)
    if mail == account.mail:
        raise Invalid("mail", mail, tr("another address than the one you have"))
    if find_account(session, mail) is not None:
        raise Invalid("mail", mail, tr("an address that nobody else signs in with"))
    return mail


def ask_for_address(session: Session, account: Account, typed: str, *, at: datetime) -> str:
    """Keep what was asked for; gives the path of the link that proves it, told once.

    One asked for before no longer works.

    Raises
    ------
    Invalid
        As `free_address`.
    """
    mail = free_address(session, account, typed)
    number = account_id(account)
    token = secrets.token_urlsafe(TOKEN_BYTES)
    row = session.get(AccountNewMail, number) or AccountNewMail(account_id=number)
    row.mail, row.token_hash, row.expires_at = mail, token_hash(token), at + VALID
    session.add(row)
    note(session, account, who=account.name, what="other address asked", at=at)
    return PATH + token


def address_of_link(session: Session, token: str, *, at: datetime) -> AskedFor:
    """What a link proves.

    Raises
    ------
    NotFound
        The same for a link that never was, was used, or is too old.
    """
    query = select(AccountNewMail).where(AccountNewMail.token_hash == token_hash(token))
    row = session.exec(query.with_for_update()).first()
    account = session.get(Account, row.account_id) if row else None
    if row is None or account is None or not account.active or at >= utc(row.expires_at):
        remedy = tr("a link works once and for a day; ask for the change again")
        raise NotFound("link", None, remedy)
    return AskedFor(account=account, mail=row.mail)


def set_address(session: Session, account: Account, mail: str, *, at: datetime) -> None:
    """Have an account sign in with another address; what was asked for is done with.

    Raises
    ------
    Invalid
        As `free_address`: somebody may have taken it since.
    """
    account.mail = free_address(session, account, mail)
    session.add(account)
    asked = session.get(AccountNewMail, account_id(account))
    if asked is not None:
        session.delete(asked)
    note(session, account, who=account.name, what="address changed", at=at)
