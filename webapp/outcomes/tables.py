"""Database rows of outcomes: what riders said of their bikes, and apart from it their bodies.

What was ridden and said stays as the shop's experience. The measurements stand in a row of
their own, with neither name nor address; they are there only while the rider agrees, and go
when the person of the quote is erased.
"""

from __future__ import annotations

from datetime import date
from typing import Any, ClassVar

from sqlalchemy import JSON, CheckConstraint, Text, UniqueConstraint, text
from sqlmodel import Field, SQLModel

AFTER_RIDE, AFTER_MONTHS = "after_ride", "after_months"
MOMENTS = (AFTER_RIDE, AFTER_MONTHS)
_LISTED = ", ".join(f"'{moment}'" for moment in MOMENTS)


class Outcome(SQLModel, table=True):
    """One bike as it was ridden, and what its rider said.

    ``build`` is the canonical query of the bike as it stood when it was judged, without a
    rider; ``bike`` is its place in the quote, the first being 1. ``length`` is -1 too short,
    0 right, 1 too long; ``height`` of the grips likewise, -1 too low, None where nothing was
    said. ``quote_number`` is None for the demo's own.
    """

    __tablename__: ClassVar[Any] = "outcome"
    __table_args__ = (
        UniqueConstraint("quote_number", "bike", "moment"),
        CheckConstraint(f"moment IN ({_LISTED})", name="moment"),
        CheckConstraint("length IN (-1, 0, 1)", name="length"),
        CheckConstraint("height IS NULL OR height IN (-1, 0, 1)", name="height"),
    )

    id: int | None = Field(default=None, primary_key=True)
    quote_number: str | None = Field(default=None, max_length=20)
    bike: int = Field(default=1, sa_column_kwargs={"server_default": text("1")})
    moment: str = Field(max_length=20)
    recorded_on: date
    who: str = Field(max_length=120)
    model: str = Field(max_length=60, index=True)
    revision: int
    style: str = Field(max_length=60)
    size_ridden: str = Field(max_length=60)
    size_bought: str = Field(default="", max_length=60)
    build: str = Field(sa_type=Text)
    length: int
    height: int | None = None


class OutcomeBody(SQLModel, table=True):
    """Measurements behind an outcome, which the rider agreed to, and what was foretold by them.

    ``rider`` are the fields of a build's address that tell of the body. ``foretold`` is the
    size named first with its chance of being chosen, and the chances of the three verdicts.
    """

    __tablename__: ClassVar[Any] = "outcome_body"

    outcome_id: int = Field(primary_key=True, foreign_key="outcome.id")
    agreed_on: date
    rider: dict[str, Any] = Field(sa_type=JSON)
    foretold: dict[str, Any] = Field(sa_type=JSON)
