"""One number of a published table, with the unit that is written beside it."""

from __future__ import annotations

import re

from webapp.office.imported_tables.headings import UNIT_WORDS

_MINUTES = re.compile(
    r"""(\d{1,3})\s*[°º]\s*(\d{1,2}(?:[.,]\d+)?)\s*['\u2032\u2019]\s*(?:(\d{1,2})\s*["\u2033\u201d])?"""
)
_FRACTION = re.compile(r"(\d+)(?:\s+|-)(\d+)/(\d+)\s*(.*)")
_NUMBER = re.compile(r"([-+\u2212]?\d+(?:[.,]\d+)?)\s*(.*)")


def read_value(text: str) -> tuple[float, str] | None:
    """A number and its unit, empty where none is written; none for what is no number.

    Examples
    --------
    >>> read_value("43,5 cm"), read_value("73°30'"), read_value('21 1/4"'), read_value("n/a")
    ((43.5, 'cm'), (73.5, 'deg'), (21.25, 'in'), None)
    """
    plain = text.strip().replace("\u00a0", " ")
    if found := _MINUTES.fullmatch(plain):
        minutes = float(found[2].replace(",", ".")) + float(found[3] or 0) / 60
        return float(found[1]) + minutes / 60, "deg"
    if found := _FRACTION.fullmatch(plain):
        unit = _unit(found[4])
        if unit is None or int(found[3]) == 0:
            return None
        return int(found[1]) + int(found[2]) / int(found[3]), unit
    if found := _NUMBER.fullmatch(plain):
        unit = _unit(found[2])
        number = float(found[1].replace("\u2212", "-").replace(",", "."))
        return None if unit is None else (number, unit)
    return None


def _unit(words: str) -> str | None:
    plain = words.strip().strip(".").casefold().replace("\u201d", "″").replace("º", "°")
    return "" if not plain else UNIT_WORDS.get(plain)
