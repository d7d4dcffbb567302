"""Database rows of quotes.

A quote is a number, a link and a state; what it says is in its versions, each
frozen when it was made (see `webapp.quote.content`). The customer stands apart
from what was quoted, so that a person's data can be erased while the accounts
keep their figures.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any, ClassVar

from sqlalchemy import JSON, CheckConstraint, Column, DateTime, Text, UniqueConstraint
from sqlmodel import Field, SQLModel

DRAFT, SENT, ACCEPTED = "draft", "sent", "accepted"
DECLINED, EXPIRED, WITHDRAWN = "declined", "expired", "withdrawn"
STATES = (DRAFT, SENT, ACCEPTED, DECLINED, EXPIRED, WITHDRAWN)

_LISTED_STATES = ", ".join(f"'{state}'" for state in STATES)


def _moment(*, index: bool = False) -> Any:
    return Field(sa_column=Column(DateTime(timezone=True), nullable=False, index=index))


def utc(moment: datetime) -> datetime:
    """A moment as read from the database, in UTC.

    SQLite gives moments back without their time zone, PostgreSQL in the
    session's own.

    >>> utc(datetime(2026, 3, 1, 12)).isoformat()
    '2026-03-01T12:00:00+00:00'
    """
    return moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)


class QuoteCounter(SQLModel, table=True):
    """The last number given in a year."""

    __tablename__: ClassVar[Any] = "quote_counter"

    year: int = Field(primary_key=True, sa_column_kwargs={"autoincrement": False})
    last: int


class Quote(SQLModel, table=True):
    """One quote through all its versions.

    ``token`` opens it to whoever has the link and is kept readable, so that the
    shop can send the link again; it is found by ``token_hash``, so that the time
    a search takes says nothing about it. ``form_hash`` knows the form it was
    asked with, so that sending a form twice makes one quote.
    """

    __tablename__: ClassVar[Any] = "quote"
    __table_args__ = (CheckConstraint(f"state IN ({_LISTED_STATES})", name="state"),)

    id: int | None = Field(default=None, primary_key=True)
    number: str = Field(unique=True, max_length=20)
    token: str = Field(unique=True, max_length=64)
    token_hash: str = Field(unique=True, max_length=64)
    form_hash: str | None = Field(default=None, unique=True, max_length=64)
    state: str = Field(default=SENT, max_length=20)
    created_at: datetime = _moment(index=True)
    customer_name: str = Field(max_length=120)
    customer_mail: str = Field(max_length=254)
    customer_note: str = Field(default="", sa_type=Text)
    current_version: int = 1


class QuoteVersion(SQLModel, table=True):
    """One version of a quote, never changed once written."""

    __tablename__: ClassVar[Any] = "quote_version"
    __table_args__ = (UniqueConstraint("quote_id", "number"),)

    id: int | None = Field(default=None, primary_key=True)
    quote_id: int = Field(foreign_key="quote.id")
    number: int
    created_at: datetime = _moment()
    created_by: str = Field(max_length=120)
    model: str = Field(max_length=60)
    build: str = Field(sa_type=Text)
    customer: dict[str, Any] = Field(sa_type=JSON)
    content: dict[str, Any] = Field(sa_type=JSON)


class QuoteEvent(SQLModel, table=True):
    """What happened to a quote: who, when, what, to which version."""

    __tablename__: ClassVar[Any] = "quote_event"

    id: int | None = Field(default=None, primary_key=True)
    quote_id: int = Field(foreign_key="quote.id", index=True)
    at: datetime = _moment()
    who: str = Field(max_length=120)
    what: str = Field(max_length=40)
    version: int | None = None
    detail: dict[str, Any] = Field(default_factory=dict, sa_type=JSON)
