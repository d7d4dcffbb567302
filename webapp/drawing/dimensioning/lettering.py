"""How much room lettering takes, on the safe side, and in what shapes it can stand.

Widths are those of the lettering's semi-bold face with figures of one width, measured
in a browser and rounded up: the regular face and figures of their own widths are
narrower. Heights are the font's whole box, from its ascent to its descent, so that
two boxes that do not meet here do not meet where a browser measures them.
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache
from typing import Literal, NamedTuple

Anchor = Literal["start", "middle", "end"]

# Advance widths in the size of the lettering [1/100], and the characters that have them.
_WIDTHS = {
    22: " '",
    25: "!,.:;ijl|’·",
    29: "()[]{}/IJ",
    36: '"\\r',
    39: "ft°*“”",
    49: "Lsxz?¿-_",
    53: "Facekgvy«»^",
    55: "EbdopquTZ",
    58: "PSYhnBXµßÞ",
    61: "AKRV#+<=>~±×÷−≤≥",
    64: "0123456789$¢£C¤¥",
    68: "DGHNOQU&",
    73: "w…",
    79: "M–",
    86: "mWÆæœ",
    95: "%Œ—→",
}
_ADVANCE = {letter: width for width, letters in _WIDTHS.items() for letter in letters}
_UNKNOWN = 100
_ASCENT, _DESCENT = 0.95, 0.31  # of the size, of the lettering and of the face that stands in
_LEADING = 1.12  # from one line of two to the next
_MARK = 0.7  # room of a revision triangle

HALF_LINE = (_ASCENT + _DESCENT) / 2
"""Half the height of one line, of its size."""

BASELINE = (_ASCENT - _DESCENT) / 2
"""From the middle of a line down to its baseline, of its size."""


def text_width(words: str, size: float) -> float:
    """Length lettering takes at a size [mm], on the safe side.

    >>> text_width("1171", 100.0)
    256.0
    """
    return size / 100 * _length(words)


@lru_cache(maxsize=4096)
def _length(words: str) -> int:
    """Of lettering of size 100; the same names and figures come again and again."""
    return sum(_advance(letter) for letter in words)


def _advance(letter: str) -> int:
    """Of one character; an accent does not widen the letter it stands on."""
    known = _ADVANCE.get(letter)
    if known is None:
        plain = unicodedata.normalize("NFD", letter)[:1]
        known = _ADVANCE.get(plain, _UNKNOWN)
    return known


class Shape(NamedTuple):
    """One way to letter a figure: in a row or in two rows, and the room it takes [mm].

    ``mark`` is the room kept for a revision triangle; it is part of ``half_width``.
    """

    rows: tuple[str, ...]
    size: float
    half_width: float
    half_height: float
    mark: float

    @property
    def leading(self) -> float:
        """From one row to the next [mm]."""
        return _LEADING * self.size


def shape(rows: tuple[str, ...], size: float, *, marked: bool = False) -> Shape:
    """The room that rows of lettering take.

    Parameters
    ----------
    rows : tuple of str
        From top to bottom.
    size : float [mm]
    marked : bool
        With room for a revision triangle.

    Examples
    --------
    >>> one, two = shape(("reach 453",), 40.0), shape(("reach", "453"), 40.0)
    >>> one.half_width > two.half_width, one.half_height < two.half_height
    (True, True)
    """
    mark = _MARK * size if marked else 0.0
    width = max([text_width(row, size) for row in rows]) + mark
    height = (2 * HALF_LINE + _LEADING * (len(rows) - 1)) * size
    return Shape(rows, size, width / 2, height / 2, mark)
