"""Moments: always UTC, to the second."""

from __future__ import annotations

from datetime import UTC, datetime


def now() -> datetime:
    """This moment in UTC, to the second, as every row and sheet states it."""
    return datetime.now(UTC).replace(microsecond=0)


def utc(moment: datetime) -> datetime:
    """A moment as read from the database, in UTC.

    SQLite gives moments back without their time zone, PostgreSQL in the
    session's own.

    >>> utc(datetime(2026, 3, 1, 12)).isoformat()
    '2026-03-01T12:00:00+00:00'
    """
    return moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)
