"""Database rows of the register of serial numbers: one row for each frame that has one."""

from __future__ import annotations

from datetime import datetime
from typing import Any, ClassVar

from sqlalchemy import JSON, Column, DateTime, Text, text
from sqlmodel import Field, SQLModel

LONGEST_SERIAL = 60


class SerialNumber(SQLModel, table=True):
    """One frame by the number stamped into it.

    ``model`` and ``size`` are slugs, ``finish`` the slug of the finish, empty where it is not
    known. ``quote_id`` is the order it is built or kept for, None for a frame of nobody yet.
    Records of the bench name the same ``serial``. Nothing here tells of a person.
    """

    __tablename__: ClassVar[Any] = "serial_number"

    id: int | None = Field(default=None, primary_key=True)
    serial: str = Field(unique=True, max_length=LONGEST_SERIAL)
    model: str = Field(max_length=60)
    revision: int
    size: str = Field(max_length=60)
    finish: str = Field(default="", max_length=60, sa_column_kwargs={"server_default": text("''")})
    quote_id: int | None = Field(default=None, foreign_key="quote.id", index=True)
    who: str = Field(max_length=120)
    at: datetime = Field(sa_column=Column(DateTime(timezone=True), nullable=False))


class SerialCorrection(SQLModel, table=True):
    """One correction of an entry: who, when, why, and what stood there ``before``."""

    __tablename__: ClassVar[Any] = "serial_correction"

    id: int | None = Field(default=None, primary_key=True)
    frame_id: int = Field(foreign_key="serial_number.id", index=True)
    at: datetime = Field(sa_column=Column(DateTime(timezone=True), nullable=False))
    who: str = Field(max_length=120)
    why: str = Field(sa_type=Text)
    before: dict[str, Any] = Field(sa_type=JSON)
