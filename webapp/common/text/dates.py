"""Days and moments as people write them, in the language of the service."""

from __future__ import annotations

from datetime import date, datetime

from babel.dates import format_date

from webapp.common.text.language import language_code, locale_of, tr
from webapp.common.timestamps import local


def day_in_words(day: date) -> str:
    """A day with its month by name, the same wherever the service runs.

    >>> day_in_words(date(2026, 3, 1))
    '1 March 2026'
    """
    return format_date(day, "d MMMM y", locale=locale_of(language_code()))


def moment_in_words(moment: datetime) -> str:
    """A moment by the shop's clock, with the zone that the clock is in.

    >>> moment_in_words(datetime(2026, 3, 1, 9, 5))
    '1 March 2026, 09:05 UTC'
    """
    at = local(moment)
    return tr("{day}, {clock} {zone}", day=day_in_words(at), clock=f"{at:%H:%M}", zone=at.tzname())
