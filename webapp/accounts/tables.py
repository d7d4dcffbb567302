"""Database rows of accounts: people of the shop, their sessions and one-time links.

Of every token only its hash is kept, so that whoever reads the database can
neither take over a session nor use a link.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any, ClassVar

from sqlalchemy import BigInteger, CheckConstraint, Column, DateTime
from sqlmodel import Field, SQLModel

STAFF, BUILDER = "staff", "builder"
ROLES = (STAFF, BUILDER)


def _moment(*, nullable: bool = False, index: bool = False) -> Any:
    return Field(
        default=None,
        sa_column=Column(DateTime(timezone=True), nullable=nullable, index=index),
    )


class Account(SQLModel, table=True):
    """One person of the shop; without a password hash nobody can sign in as them."""

    __tablename__: ClassVar[Any] = "account"
    __table_args__ = (CheckConstraint(f"role IN ('{STAFF}', '{BUILDER}')", name="role"),)

    id: int | None = Field(default=None, primary_key=True)
    mail: str = Field(unique=True, max_length=254)
    name: str = Field(max_length=120)
    role: str = Field(max_length=20)
    password_hash: str | None = Field(default=None, max_length=200)
    active: bool = True
    created_at: datetime = _moment()


class AccountSession(SQLModel, table=True):
    """One signed-in browser; ``confirmed_at`` is when it last proved again who it is."""

    __tablename__: ClassVar[Any] = "account_session"

    id: int | None = Field(default=None, primary_key=True)
    account_id: int = Field(foreign_key="account.id", index=True)
    token_hash: str = Field(unique=True, max_length=64)
    created_at: datetime = _moment()
    last_seen_at: datetime = _moment()
    confirmed_at: datetime | None = _moment(nullable=True)


class AccountLink(SQLModel, table=True):
    """A link that lets its holder set the account's password, once."""

    __tablename__: ClassVar[Any] = "account_link"

    id: int | None = Field(default=None, primary_key=True)
    account_id: int = Field(foreign_key="account.id", index=True)
    token_hash: str = Field(unique=True, max_length=64)
    created_at: datetime = _moment()
    expires_at: datetime = _moment()
    used_at: datetime | None = _moment(nullable=True)


class AccountNewMail(SQLModel, table=True):
    """Another address that somebody wants to sign in with, until a link sent there proves it."""

    __tablename__: ClassVar[Any] = "account_new_mail"

    account_id: int = Field(foreign_key="account.id", primary_key=True)
    mail: str = Field(default="", max_length=254)
    token_hash: str = Field(default="", unique=True, max_length=64)
    expires_at: datetime = _moment()


class SecondStep(SQLModel, table=True):
    """What an account's one-time codes come from, together with the service's own key.

    It counts once ``confirmed_at`` is set; ``last_step`` is the time step of the last
    code that passed, so that no code passes twice.
    """

    __tablename__: ClassVar[Any] = "account_second_step"

    account_id: int = Field(foreign_key="account.id", primary_key=True)
    salt: str = Field(max_length=64)
    made_at: datetime = _moment()
    confirmed_at: datetime | None = _moment(nullable=True)
    last_step: int = Field(default=0, sa_type=BigInteger)


class RecoveryCode(SQLModel, table=True):
    """A code that opens an account once in the place of a one-time code."""

    __tablename__: ClassVar[Any] = "account_recovery_code"

    id: int | None = Field(default=None, primary_key=True)
    account_id: int = Field(foreign_key="account.id", index=True)
    code_hash: str = Field(unique=True, max_length=64)
    used_at: datetime | None = _moment(nullable=True)


class AccountEvent(SQLModel, table=True):
    """What happened to an account: who did it, when."""

    __tablename__: ClassVar[Any] = "account_event"

    id: int | None = Field(default=None, primary_key=True)
    account_id: int = Field(foreign_key="account.id", index=True)
    at: datetime = _moment()
    who: str = Field(max_length=120)
    what: str = Field(max_length=40)
