"""Names in addresses, made from the names people give."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Container

_LONGEST = 50
_LETTERS = str.maketrans({"ø": "o", "Ø": "O", "æ": "ae", "Æ": "AE", "ß": "ss", "ł": "l", "đ": "d"})


def slug_of(name: str, *, taken: Container[str] = (), otherwise: str = "item") -> str:
    """A name for addresses that is not taken.

    Parameters
    ----------
    name : str
        As shown.
    taken : container of str
        Those in use; a number is put behind until it is none of them.
    otherwise : str
        What to begin with where the name has no Latin letter or figure.

    Returns
    -------
    str

    Examples
    --------
    >>> slug_of("Sørgård 29er"), slug_of("S/M", taken={"s-m"}), slug_of("小")
    ('sorgard-29er', 's-m-2', 'item')
    """
    flat = unicodedata.normalize("NFKD", name.translate(_LETTERS).casefold())
    made = re.sub(r"[^a-z0-9]+", "-", flat.encode("ascii", "ignore").decode()).strip("-")
    made = made[:_LONGEST].strip("-") or otherwise
    if made not in taken:
        return made
    number = 2
    while f"{made}-{number}" in taken:
        number += 1
    return f"{made}-{number}"
