"""Database rows of orders: what was agreed on after the acceptance, and what was paid.

The state of an order is the state of its quote. Amounts are whole minor units of the
currency that the accepted version is in.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Any, ClassVar

from sqlalchemy import JSON, BigInteger, CheckConstraint, Column, DateTime, text
from sqlmodel import Field, SQLModel

PAID_BY = ("transfer", "card", "cash", "other")


class QuoteOrder(SQLModel, table=True):
    """One order, beside its quote.

    ``promised_on`` is the day the bike is promised for. ``deposit_due_on`` is by when the
    deposit was asked for. ``kept_minor`` is what the shop keeps of the money of an order that
    was cancelled. ``built`` is the bike as built (see `webapp.quote.order.built_bike`).
    """

    __tablename__: ClassVar[Any] = "quote_order"

    quote_id: int = Field(
        primary_key=True, foreign_key="quote.id", sa_column_kwargs={"autoincrement": False}
    )
    promised_on: date | None = Field(default=None, index=True)
    deposit_due_on: date | None = None
    kept_minor: int = Field(
        default=0, sa_type=BigInteger, sa_column_kwargs={"server_default": text("0")}
    )
    built: dict[str, Any] | None = Field(default=None, sa_type=JSON)


class Payment(SQLModel, table=True):
    """One amount that a customer paid, or got back where it is negative; never changed."""

    __tablename__: ClassVar[Any] = "payment"
    __table_args__ = (
        CheckConstraint("minor <> 0", name="minor"),
        CheckConstraint("paid_by IN ('transfer', 'card', 'cash', 'other')", name="paid_by"),
    )

    id: int | None = Field(default=None, primary_key=True)
    quote_id: int = Field(foreign_key="quote.id", index=True)
    paid_on: date
    minor: int = Field(sa_type=BigInteger)
    currency: str = Field(max_length=3)
    paid_by: str = Field(max_length=20)
    who: str = Field(max_length=120)
    at: datetime = Field(sa_column=Column(DateTime(timezone=True), nullable=False))
