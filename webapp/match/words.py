"""How an answer differs from what was wished, in words."""

from __future__ import annotations

from webapp.common.text.language import tr
from webapp.match.wish import Point

_FELT = 0.5
"""What rounds to a millimetre is said [mm]."""


def difference_words(grip: Point, saddle: Point) -> tuple[str, str]:
    """Where grips and saddle are, beside where they are wished.

    Parameters
    ----------
    grip, saddle : (x, y) [mm]
        Found minus wished.

    Returns
    -------
    (str, str)

    >>> difference_words((4.2, -2.0), (0.0, 0.1))[0]
    'Grips 4 mm further, 2 mm lower.'
    >>> difference_words((4.2, -2.0), (0.0, 0.1))[1]
    'Saddle where it is wished.'
    """
    return _grip_words(*grip), _saddle_words(*saddle)


def _grip_words(x: float, y: float) -> str:
    if max(abs(x), abs(y)) < _FELT:
        return tr("Grips where they are wished.")
    level, up = abs(x), abs(y)
    if x >= 0 and y >= 0:
        return tr("Grips {level:.0f} mm further, {up:.0f} mm higher.", level=level, up=up)
    if x >= 0:
        return tr("Grips {level:.0f} mm further, {up:.0f} mm lower.", level=level, up=up)
    if y >= 0:
        return tr("Grips {level:.0f} mm closer, {up:.0f} mm higher.", level=level, up=up)
    return tr("Grips {level:.0f} mm closer, {up:.0f} mm lower.", level=level, up=up)


def _saddle_words(x: float, y: float) -> str:
    if max(abs(x), abs(y)) < _FELT:
        return tr("Saddle where it is wished.")
    level, up = abs(x), abs(y)
    if x >= 0 and y >= 0:
        return tr("Saddle {level:.0f} mm further forward, {up:.0f} mm higher.", level=level, up=up)
    if x >= 0:
        return tr("Saddle {level:.0f} mm further forward, {up:.0f} mm lower.", level=level, up=up)
    if y >= 0:
        return tr("Saddle {level:.0f} mm further back, {up:.0f} mm higher.", level=level, up=up)
    return tr("Saddle {level:.0f} mm further back, {up:.0f} mm lower.", level=level, up=up)
