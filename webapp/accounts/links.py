"""One-time links that let somebody set their password.

The builder's first one is printed when the service starts; after that the
builder issues them, to people invited and to people who forgot theirs.
"""

from __future__ import annotations

import secrets
from datetime import datetime, timedelta

from sqlalchemy import delete
from sqlmodel import Session, col, select

from webapp.accounts.people import account_id, note, put_person
from webapp.accounts.second_step import turn_off
from webapp.accounts.sessions import ENDS, Ends, open_session, sign_out_everywhere
from webapp.accounts.tables import BUILDER, Account, AccountLink
from webapp.common.errors import NotFound
from webapp.common.security.tokens import TOKEN_BYTES, token_hash
from webapp.common.text.language import tr
from webapp.common.timestamps import utc

VALID = timedelta(hours=48)
PATH = "/account/link/"
FIRST_NAME = tr("Builder")


def issue_link(session: Session, account: Account, *, who: str, at: datetime) -> str:
    """A new link for an account; those issued before no longer work.

    Parameters
    ----------
    session : Session
        A writing session.
    account : Account
    who : str
        Who issues it.
    at : datetime

    Returns
    -------
    str
        Its address from the site's root, told once and kept nowhere.
    """
    session.exec(delete(AccountLink).where(col(AccountLink.account_id) == account_id(account)))
    token = secrets.token_urlsafe(TOKEN_BYTES)
    session.add(
        AccountLink(
            account_id=account_id(account),
            token_hash=token_hash(token),
            created_at=at,
            expires_at=at + VALID,
        )
    )
    note(session, account, who=who, what="link issued", at=at)
    return PATH + token


def account_of_link(session: Session, token: str, *, at: datetime) -> Account:
    """The account a link is for.

    Raises
    ------
    NotFound
        The same for a link that never was, was used, or is too old.
    """
    query = (
        select(AccountLink, Account)
        .join(Account, col(Account.id) == col(AccountLink.account_id))
        .where(AccountLink.token_hash == token_hash(token), col(Account.active))
    )
    found = session.exec(query).first()
    if found is not None:
        link, account = found
        if link.used_at is None and at < utc(link.expires_at):
            return account
    raise _no_such_link()


def _no_such_link() -> NotFound:
    remedy = tr("a link works once and for two days; ask the builder for a new one")
    return NotFound("link", None, remedy)


def use_link(
    session: Session, token: str, *, password_hash: str, at: datetime, ends: Ends = ENDS
) -> str:
    """Set a password with a link, close all sessions, and open one.

    It turns the second step off: a link is the way back for whoever has lost phone and
    recovery codes, and is given by the builder to somebody they know.

    Parameters
    ----------
    session : Session
        A writing session.
    token : str
        The link's.
    password_hash : str
        Of a password that `webapp.accounts.passwords.check_new` has let pass.
    at : datetime

    Returns
    -------
    str
        Token of the new session.

    Raises
    ------
    NotFound
        As `account_of_link`; of two who use a link at once one is refused.
    """
    account = account_of_link(session, token, at=at)
    link = session.exec(
        select(AccountLink)
        .where(AccountLink.token_hash == token_hash(token))
        .with_for_update()
        .execution_options(populate_existing=True)
    ).one()
    if link.used_at is not None:
        raise _no_such_link()
    link.used_at = at
    session.add(link)
    turn_off(session, account, who=account.name, at=at)
    return set_password(session, account, password_hash=password_hash, at=at, ends=ends)


def set_password(
    session: Session,
    account: Account,
    *,
    password_hash: str,
    at: datetime,
    ends: Ends = ENDS,
) -> str:
    """Keep a new password, close all sessions, and open one; gives its token."""
    account.password_hash = password_hash
    session.add(account)
    note(session, account, who=account.name, what="password set", at=at)
    sign_out_everywhere(session, account, who=account.name, at=at)
    return open_session(session, account, at=at, ends=ends)


def link_for_builder(
    session: Session, *, mail: str, at: datetime, anew: bool = False
) -> str | None:
    """The builder's own link, while no builder can sign in yet.

    Parameters
    ----------
    session : Session
        A writing session.
    mail : str
        Address of the builder's account, made when there is none.
    at : datetime
    anew : bool
        Whether to issue one even though a builder can sign in, for whoever has
        the machine but not the password.

    Returns
    -------
    str or None
        Address of the link from the site's root; None when none is needed.
    """
    query = select(Account).where(Account.role == BUILDER, col(Account.active))
    builders = session.exec(query.order_by(col(Account.id))).all()
    if not anew and any(builder.password_hash for builder in builders):
        return None
    builder = builders[0] if builders else None
    if builder is None:
        builder = put_person(
            session, name=FIRST_NAME, mail=mail, role=BUILDER, who=tr("first start"), at=at
        )
    return issue_link(session, builder, who="console", at=at)
