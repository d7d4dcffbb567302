"""Days as people write them, in the language of the service."""

from __future__ import annotations

from datetime import date

from babel.dates import format_date

from webapp.common.text.language import language_code, locale_of


def day_in_words(day: date) -> str:
    """A day with its month by name, the same wherever the service runs.

    >>> day_in_words(date(2026, 3, 1))
    '1 March 2026'
    """
    return format_date(day, "d MMMM y", locale=locale_of(language_code()))
