"""Times: kept in UTC, to the second, and shown in the shop's time zone."""

from __future__ import annotations

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo


class _Zone:
    """The time zone in which times are shown."""

    name: str = "UTC"


def use_zone(name: str) -> None:
    """From now on show times in a time zone, such as ``Europe/Oslo``.

    One shop is served by a process, and it is asked before every page.
    """
    _Zone.name = name


def local(moment: datetime) -> datetime:
    """A moment as read from the database, by the shop's clock.

    >>> local(datetime(2026, 3, 1, 12)).tzname()
    'UTC'
    """
    return utc(moment).astimezone(ZoneInfo(_Zone.name))


def day_of(moment: datetime) -> date:
    """The day that a moment falls on, by the shop's clock.

    All that depends on a day uses it: how long a quote is valid, which prices hold.

    >>> day_of(datetime(2026, 3, 1, 23, 30))
    datetime.date(2026, 3, 1)
    """
    return local(moment).date()


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
