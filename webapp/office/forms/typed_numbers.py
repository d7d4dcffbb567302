"""Numbers as people type them, and as they stand in files."""

from __future__ import annotations

import re

from webapp.common.text.language import in_own_signs

_ONE_GROUP = re.compile(r"[-+]?[1-9][0-9]{0,2}([.,])[0-9]{3}")


def read_number(text: str) -> int | float | str:
    """A number as typed, with point or comma; the text itself when it is none.

    One group of three behind the sign that is not the shop's own for decimals, such as 1,250
    where numbers have a point, is a thousand to one and a decimal to another: no number either.

    >>> read_number("395,5"), read_number("\\N{MINUS SIGN}12"), read_number("about 40")
    (395.5, -12, 'about 40')
    >>> read_number("1.250"), read_number("1,250"), read_number("0,250")
    (1.25, '1,250', 0.25)
    """
    one_group = _ONE_GROUP.fullmatch(_plain(text))
    if one_group and one_group[1] != in_own_signs("."):
        return text
    return read_in_file(text)


def read_in_file(text: str) -> int | float | str:
    """A number as it stands in a file, whose decimal sign is not the shop's to choose.

    >>> read_in_file("1.250"), read_in_file("1,250"), read_in_file("1,250.5")
    (1.25, 1.25, '1,250.5')
    """
    plain = _plain(text)
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


def _plain(text: str) -> str:
    return text.strip().replace("\N{MINUS SIGN}", "-").replace("\u00a0", "")
