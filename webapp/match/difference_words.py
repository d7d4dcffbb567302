"""How an answer differs from the wish, in words and in the reader's units."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from webapp.common.text.language import tr
from webapp.common.text.reader import said_length
from webapp.match.wish import Point

_Say = Callable[[tuple[str, str]], str]
_Way = tuple[int, int]  # further or closer, higher or lower; 0 where neither

_GRIPS: Mapping[_Way, _Say] = MappingProxyType({
    (0, 0): lambda _: tr("Grips where you want them."),
    (1, 0): lambda d: tr("Grips {x} further.", x=d[0]),
    (-1, 0): lambda d: tr("Grips {x} closer.", x=d[0]),
    (0, 1): lambda d: tr("Grips {y} higher.", y=d[1]),
    (0, -1): lambda d: tr("Grips {y} lower.", y=d[1]),
    (1, 1): lambda d: tr("Grips {x} further, {y} higher.", x=d[0], y=d[1]),
    (1, -1): lambda d: tr("Grips {x} further, {y} lower.", x=d[0], y=d[1]),
    (-1, 1): lambda d: tr("Grips {x} closer, {y} higher.", x=d[0], y=d[1]),
    (-1, -1): lambda d: tr("Grips {x} closer, {y} lower.", x=d[0], y=d[1]),
})  # fmt: skip
_SADDLE: Mapping[_Way, _Say] = MappingProxyType({
    (0, 0): lambda _: tr("Saddle where you want it."),
    (1, 0): lambda d: tr("Saddle {x} further forward.", x=d[0]),
    (-1, 0): lambda d: tr("Saddle {x} further back.", x=d[0]),
    (0, 1): lambda d: tr("Saddle {y} higher.", y=d[1]),
    (0, -1): lambda d: tr("Saddle {y} lower.", y=d[1]),
    (1, 1): lambda d: tr("Saddle {x} further forward, {y} higher.", x=d[0], y=d[1]),
    (1, -1): lambda d: tr("Saddle {x} further forward, {y} lower.", x=d[0], y=d[1]),
    (-1, 1): lambda d: tr("Saddle {x} further back, {y} higher.", x=d[0], y=d[1]),
    (-1, -1): lambda d: tr("Saddle {x} further back, {y} lower.", x=d[0], y=d[1]),
})  # fmt: skip


def difference_words(grip: Point, saddle: Point) -> tuple[str, str]:
    """Where grips and saddle are, beside where they are wished.

    Parameters
    ----------
    grip, saddle : (x, y) [mm]
        Found minus wished.

    Returns
    -------
    (str, str)
        Differences that round to 0 are not mentioned.

    >>> difference_words((4.2, -2.0), (0.0, 0.1))
    ('Grips 4 mm further, 2 mm lower.', 'Saddle where you want it.')
    >>> difference_words((0.3, -2.0), (-7.0, 0.4))
    ('Grips 2 mm lower.', 'Saddle 7 mm further back.')
    """
    return _said(_GRIPS, *grip), _said(_SADDLE, *saddle)


def _said(words: Mapping[_Way, _Say], x: float, y: float) -> str:
    return words[_way(x), _way(y)]((said_length(x), said_length(y)))


def _way(by: float) -> int:
    return 0 if said_length(by) == said_length(0.0) else 1 if by > 0 else -1
