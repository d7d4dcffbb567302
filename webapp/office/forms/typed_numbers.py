"""Numbers as people type them."""

from __future__ import annotations


def read_number(text: str) -> int | float | str:
    """A number as typed, with point or comma; the text itself when it is none.

    >>> read_number("395,5"), read_number("\\N{MINUS SIGN}12"), read_number("about 40")
    (395.5, -12, 'about 40')
    """
    plain = text.strip().replace("\N{MINUS SIGN}", "-").replace("\u00a0", "")
    if plain.count(",") == 1 and "." not in plain:
        plain = plain.replace(",", ".")
    try:
        value = float(plain)
    except ValueError:
        return text
    if value != value or value in {float("inf"), float("-inf")}:  # noqa: PLR0124  # NaN
        return text
    whole = value.is_integer() and "." not in plain and "e" not in plain.lower()
    return int(value) if whole else value
