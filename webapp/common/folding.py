"""Words in the form in which a search compares them."""

from __future__ import annotations

import re
import unicodedata

LONGEST_WORD = 40

# Letters that Unicode does not decompose into a base letter and an accent.
_LETTERS = str.maketrans(
    {"ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "æ": "ae", "œ": "oe", "ħ": "h", "ŧ": "t",
     "ı": "i", "ŋ": "n", "ĸ": "k"}
)  # fmt: skip


def folded(given: str) -> list[str]:
    """Words of a text as a search compares them: lower case, without accents, letters and
    digits only.

    >>> folded("Märl-Straße, ADA@marl.example, Søren Łęg")
    ['marl', 'strasse', 'ada', 'marl', 'example', 'soren', 'leg']
    """
    flat = unicodedata.normalize("NFKD", given.casefold())
    bare = "".join(c for c in flat if not unicodedata.combining(c)).casefold()
    bare = bare.translate(_LETTERS)
    return [word[:LONGEST_WORD] for word in re.findall(r"[^\W_]+", bare)]
