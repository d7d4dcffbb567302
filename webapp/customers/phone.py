"""Telephone numbers: kept as typed, compared by their digits."""

from __future__ import annotations

import re
import unicodedata

from webapp.common.errors import Invalid
from webapp.common.text.language import tr

LONGEST_PHONE = 40
FEWEST_DIGITS, MOST_DIGITS = 4, 15  # 15: the longest international number, ITU-T E.164 [M]

_TRUNK = re.compile(r"\(0\)")
_WRITTEN = re.compile(r"[+0-9()/. -]+")


def phone_digits(typed: str) -> str:
    """The digits of a telephone number, as numbers are compared and found.

    What only says how to dial is left out: the ``+`` or ``00`` before a country's code, and
    the ``(0)`` after it, which is not dialled from abroad.

    Parameters
    ----------
    typed : str
        As written anywhere.

    Returns
    -------
    str
        Digits alone; empty where there are none.

    Examples
    --------
    >>> phone_digits("+44 (0)20 7946-0018"), phone_digits("0044 20 79460018")
    ('442079460018', '442079460018')
    >>> phone_digits("020 7946 0018"), phone_digits("none")
    ('02079460018', '')
    """
    flat = unicodedata.normalize("NFKC", typed)
    digits = "".join(c for c in _TRUNK.sub("", flat) if c in "0123456789")
    return digits.removeprefix("00")


def dialled(typed: str) -> bool:
    """Whether this is written as a telephone number is: digits and what stands between them."""
    return bool(_WRITTEN.fullmatch(unicodedata.normalize("NFKC", typed).strip()))


def read_phone(typed: str) -> str:
    """A telephone number as it is kept: tidied, or empty.

    Raises
    ------
    Invalid
        For anything that cannot be dialled.

    Examples
    --------
    >>> read_phone("  +47  22 33 44 55 ")
    '+47 22 33 44 55'
    """
    tidy = " ".join(unicodedata.normalize("NFKC", typed).split())
    number = phone_digits(tidy)
    can_be = dialled(tidy) and FEWEST_DIGITS <= len(number) <= MOST_DIGITS
    if tidy and (not can_be or len(tidy) > LONGEST_PHONE):
        remedy = tr("digits with spaces between them, such as +47 22 33 44 55")
        raise Invalid("phone", typed, remedy)
    return tidy
