"""Database rows of customers: who they are, what they agreed to, and what was done to the entry.

A quote says for ever whom it was made for, as it was printed; the customer here is the
person as known today. A row goes whole when the person is erased.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Any, ClassVar

from sqlalchemy import JSON, Column, DateTime, Text, text
from sqlmodel import Field, SQLModel

_EMPTY = {"server_default": text("''")}


def _moment() -> Any:
    return Field(sa_column=Column(DateTime(timezone=True), nullable=False))


class CustomerRow(SQLModel, table=True):
    """One person or firm, as known today.

    ``mail_key`` is the address without regard to case and ``phone_digits`` the number as
    `webapp.customers.phone.phone_digits` makes it: both are what people are found by.
    ``price_group`` names the group of customers whose price list holds for them; empty for
    the one of everybody. ``found_by`` are the words an entry is found by, folded.
    """

    __tablename__: ClassVar[Any] = "customer"

    id: int | None = Field(default=None, primary_key=True)
    name: str = Field(max_length=120)
    mail: str = Field(default="", max_length=254, sa_column_kwargs=_EMPTY)
    mail_key: str = Field(default="", max_length=254, index=True, sa_column_kwargs=_EMPTY)
    phone: str = Field(default="", max_length=40, sa_column_kwargs=_EMPTY)
    phone_digits: str = Field(default="", max_length=20, index=True, sa_column_kwargs=_EMPTY)
    address: str = Field(default="", sa_type=Text, sa_column_kwargs=_EMPTY)
    country: str = Field(default="", max_length=2, sa_column_kwargs=_EMPTY)
    company: str = Field(default="", max_length=120, sa_column_kwargs=_EMPTY)
    tax_number: str = Field(default="", max_length=40, sa_column_kwargs=_EMPTY)
    price_group: str = Field(default="", max_length=60, sa_column_kwargs=_EMPTY)
    found_by: str = Field(default="", sa_type=Text, sa_column_kwargs=_EMPTY)
    created_at: datetime = _moment()


class CustomerConsent(SQLModel, table=True):
    """Something a customer agreed to: what, on which day, how; and since when no longer."""

    __tablename__: ClassVar[Any] = "customer_consent"

    id: int | None = Field(default=None, primary_key=True)
    customer_id: int = Field(foreign_key="customer.id", index=True)
    what: str = Field(max_length=200)
    how: str = Field(max_length=200)
    given_on: date
    withdrawn_on: date | None = None
    who: str = Field(max_length=120)


class CustomerEvent(SQLModel, table=True):
    """What was done to an entry: who, when, what; the former values of what was changed."""

    __tablename__: ClassVar[Any] = "customer_event"

    id: int | None = Field(default=None, primary_key=True)
    customer_id: int = Field(foreign_key="customer.id", index=True)
    at: datetime = _moment()
    who: str = Field(max_length=120)
    what: str = Field(max_length=40)
    detail: dict[str, Any] = Field(default_factory=dict, sa_type=JSON)
