"""Database rows of the drawing office: bikes that were measured on the bench."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any, ClassVar

from sqlalchemy import JSON, Column, DateTime, Text
from sqlmodel import Field, SQLModel


class BenchRecord(SQLModel, table=True):
    """One bike as it was measured: which, what was read, and what that said then.

    ``build`` is the canonical query of the build it was held against, ``readings``
    what was read with which spread, ``report`` what was found, frozen.
    """

    __tablename__: ClassVar[Any] = "bench_record"

    id: int | None = Field(default=None, primary_key=True)
    serial: str = Field(max_length=60, index=True)
    batch: str = Field(default="", max_length=60, index=True)
    model: str = Field(max_length=60)
    revision: int
    size: str = Field(max_length=60)
    build: str = Field(sa_type=Text)
    state: str = Field(max_length=20)
    quote_number: str = Field(default="", max_length=20)
    measured_on: date
    at: datetime = Field(
        default_factory=lambda: datetime.now(UTC),
        sa_column=Column(DateTime(timezone=True), nullable=False),
    )
    who: str = Field(max_length=120)
    note: str = Field(default="", sa_type=Text)
    readings: list[dict[str, Any]] = Field(sa_type=JSON)
    report: dict[str, Any] = Field(sa_type=JSON)


class BenchCorrection(SQLModel, table=True):
    """One correction of a bench record: who, when, why, and what stood there ``before``."""

    __tablename__: ClassVar[Any] = "bench_correction"

    id: int | None = Field(default=None, primary_key=True)
    bench_id: int = Field(foreign_key="bench_record.id", index=True)
    at: datetime = Field(sa_column=Column(DateTime(timezone=True), nullable=False))
    who: str = Field(max_length=120)
    why: str = Field(sa_type=Text)
    before: dict[str, Any] = Field(sa_type=JSON)
