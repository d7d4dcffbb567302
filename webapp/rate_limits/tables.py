"""Database rows of limits: one for each kind of request and each asker."""

from __future__ import annotations

from datetime import datetime
from typing import Any, ClassVar

from sqlalchemy import Column, DateTime
from sqlmodel import Field, SQLModel


class Limited(SQLModel, table=True):
    """One asker of one kind.

    ``key`` is a hash of both, so that nobody's mail address is kept here; ``who`` is
    what may be shown of the asker, a network address or nothing. ``until`` is when
    the share is whole again, or when the next try is let through.
    """

    __tablename__: ClassVar[Any] = "limited"

    key: str = Field(primary_key=True, max_length=64)
    kind: str = Field(max_length=40)
    who: str = Field(default="", max_length=60)
    tries: int = 0
    until: datetime = Field(sa_column=Column(DateTime(timezone=True), nullable=False))
    last_at: datetime = Field(sa_column=Column(DateTime(timezone=True), nullable=False, index=True))
    refused: int = 0
    refused_at: datetime | None = Field(
        default=None, sa_column=Column(DateTime(timezone=True), nullable=True, index=True)
    )
