"""Database rows of quotes.

A quote is a number, a link and a state; what it says is in its versions, each
frozen when it was made (see `webapp.quote.freezing.content`). The customer stands apart
from what was quoted, so that a person's data can be erased while the accounts
keep their figures.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Any, ClassVar

from sqlalchemy import (
    JSON,
    BigInteger,
    CheckConstraint,
    Column,
    DateTime,
    Index,
    Text,
    UniqueConstraint,
    text,
)
from sqlmodel import Field, SQLModel

from webapp.quote.freezing.packing import Packed
from webapp.quote.states import QUOTE_STATES, State

_LISTED_STATES = ", ".join(f"'{state}'" for state in QUOTE_STATES)

_EMPTY = {"server_default": text("''")}


def _moment(*, index: bool = False, nullable: bool = False) -> Any:
    moment = Column(DateTime(timezone=True), nullable=nullable, index=index)
    return Field(default=None, sa_column=moment) if nullable else Field(sa_column=moment)


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

    ``state`` is the state of what the customer has: ``sent_version`` is what the
    link shows, and a newer ``current_version`` is the shop's own until it is sent.
    ``accepted_version`` is the one accepted last, and stays so while a later one is
    drafted or offered. ``waiting_since`` says that the customer waits for the shop,
    ``waiting_for`` why. Model, size, total and validity are those of the version
    that stands (see `webapp.quote.storage.current_version`), for lists; the customer's name and
    address are the newest. ``unapproved`` says that a rider asked for it on the web and
    that the shop has not confirmed it yet: until then it cannot be ordered. ``customer_id``
    is the person's entry among the customers; none once they are erased.
    """

    __tablename__: ClassVar[Any] = "quote"
    __table_args__ = (
        CheckConstraint(f"state IN ({_LISTED_STATES})", name="state"),
        Index("ix_quote_state_id", "state", "id"),
        Index("ix_quote_waiting_since_id", "waiting_since", "id"),
    )

    id: int | None = Field(default=None, primary_key=True)
    number: str = Field(unique=True, max_length=20)
    token: str = Field(unique=True, max_length=64)
    token_hash: str = Field(unique=True, max_length=64)
    form_hash: str | None = Field(default=None, unique=True, max_length=64)
    state: str = Field(default=State.SENT.value, max_length=20)
    created_at: datetime = _moment(index=True)
    customer_id: int | None = Field(default=None, foreign_key="customer.id", index=True)
    customer_name: str = Field(max_length=120)
    customer_mail: str = Field(max_length=254, index=True)
    customer_note: str = Field(default="", sa_type=Text)
    current_version: int = 1
    sent_version: int | None = None
    accepted_version: int | None = None
    model: str = Field(default="", max_length=120, sa_column_kwargs=_EMPTY)
    size: str = Field(default="", max_length=120, sa_column_kwargs=_EMPTY)
    gross_minor: int = Field(
        default=0, sa_type=BigInteger, sa_column_kwargs={"server_default": "0"}
    )
    currency: str = Field(default="", max_length=3, sa_column_kwargs=_EMPTY)
    valid_until: date | None = None
    waiting_since: datetime | None = _moment(nullable=True)
    waiting_for: str = Field(default="", max_length=40, sa_column_kwargs=_EMPTY)
    erased_at: datetime | None = _moment(nullable=True)
    unapproved: bool = Field(default=False, sa_column_kwargs={"server_default": text("false")})


class QuoteVersion(SQLModel, table=True):
    """One version of a quote, never changed once written.

    What it says is kept packed (see `webapp.quote.freezing.packing`) and read as plain values.
    """

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
    content: dict[str, Any] = Field(sa_type=Packed)


class QuoteEvent(SQLModel, table=True):
    """What happened to a quote: who, when, what, to which version.

    ``form_hash`` knows the form it was done with: sent twice, it is done once.
    """

    __tablename__: ClassVar[Any] = "quote_event"

    id: int | None = Field(default=None, primary_key=True)
    quote_id: int = Field(foreign_key="quote.id", index=True)
    at: datetime = _moment()
    who: str = Field(max_length=120)
    what: str = Field(max_length=40)
    version: int | None = None
    detail: dict[str, Any] = Field(default_factory=dict, sa_type=JSON)
    form_hash: str | None = Field(default=None, unique=True, max_length=64)
