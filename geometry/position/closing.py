"""Refuses measurements that no bike can have, whatever a tape's spread.

Least squares would answer even where three distances close no triangle; the
answer would be a bike that nobody measured.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations

import numpy as np

from geometry.core import ContradictoryInput
from geometry.position.remedies import AboveAxle, ClosesTriangle, CoversHeights, LessThanStraight
from geometry.position.tape import KINDS, Measured

_ALLOWED = 6.0  # spreads by which a triangle may fail to close before it is refused
_FULL_TURN = 2.0 * np.pi

Length = tuple[float, float, str]  # value [mm], spread [mm], kind


def check_closing(measured: Sequence[Measured]) -> None:
    """Refuse measurements that no bike can have.

    Parameters
    ----------
    measured : sequence of Measured
        Lengths and their spreads [mm].

    Raises
    ------
    ContradictoryInput
        Three distances that close no triangle, heights further apart than the
        straight distance between their points, a saddle further behind the BB
        than it is away from it, saddle or grips below the top of no wheel: lower
        than its axle.

    Examples
    --------
    >>> lengths = {"bb_to_saddle": 300.0, "bb_to_grip": 300.0, "saddle_to_grip": 700.0}
    >>> check_closing([Measured(kind=kind, value=value) for kind, value in lengths.items()])
    Traceback (most recent call last):
    geometry.core.errors.ContradictoryInput: saddle_to_grip is 700.0: closes triangle ...
    """
    between = _between(measured)
    heights = _heights(measured)
    _check_triangles(between)
    _check_heights(between, heights)
    _check_plumb(measured, between)
    _check_wheels(heights)


def _between(measured: Sequence[Measured]) -> dict[frozenset[str], Length]:
    """Straight distances by the two points they lie between."""
    return {
        frozenset((KINDS[m.kind].start, KINDS[m.kind].end)): (m.value, m.spread, m.kind)
        for m in measured
        if KINDS[m.kind].end not in {"floor", "plumb", "round"}
    }


def _heights(measured: Sequence[Measured]) -> dict[str, Length]:
    """Heights above the floor by point; an axle lies its wheel's radius above it."""
    found: dict[str, Length] = {}
    for m in measured:
        start, end = KINDS[m.kind].start, KINDS[m.kind].end
        if end == "floor":
            found[start] = (m.value, m.spread, m.kind)
        elif end == "round":
            found[start] = (m.value / _FULL_TURN, m.spread / _FULL_TURN, m.kind)
    return found


def _check_triangles(between: Mapping[frozenset[str], Length]) -> None:
    points = sorted({point for pair in between for point in pair})
    for triple in combinations(points, 3):
        sides = [between.get(frozenset(pair)) for pair in combinations(triple, 2)]
        lengths = sorted(side for side in sides if side is not None)
        if len(lengths) < len(sides):
            continue
        one, other, longest = lengths
        if _exceeds(longest[0] - one[0] - other[0], one, other, longest):
            total = one[0] + other[0]
            remedy = ClosesTriangle(one=one[2], other=other[2], together=total)
            raise ContradictoryInput(longest[2], longest[0], remedy)


def _check_heights(between: Mapping[frozenset[str], Length], heights: Mapping[str, Length]) -> None:
    for pair, straight in between.items():
        one, other = (heights.get(point) for point in sorted(pair))
        if one is None or other is None:
            continue
        apart = abs(one[0] - other[0])
        if _exceeds(apart - straight[0], one, other, straight):
            remedy = CoversHeights(one=one[2], other=other[2], apart=apart)
            raise ContradictoryInput(straight[2], straight[0], remedy)


def _check_plumb(measured: Sequence[Measured], between: Mapping[frozenset[str], Length]) -> None:
    straight = between.get(frozenset(("bb", "saddle")))
    for m in measured:
        if KINDS[m.kind].end == "plumb" and straight is not None:
            level = (abs(m.value), m.spread, m.kind)
            if _exceeds(level[0] - straight[0], level, straight):
                remedy = LessThanStraight(straight=straight[2], length=straight[0])
                raise ContradictoryInput(m.kind, m.value, remedy)


def _check_wheels(heights: Mapping[str, Length]) -> None:
    for point in ("saddle", "grip"):
        for axle in ("rear_axle", "front_axle"):
            if point in heights and axle in heights and heights[point][0] <= heights[axle][0]:
                height, radius = heights[point], heights[axle]
                remedy = AboveAxle(wheel=radius[2], radius=radius[0])
                raise ContradictoryInput(height[2], height[0], remedy)


def _exceeds(by: float, *lengths: Length) -> bool:
    """Whether an excess is more than the readings' spreads explain."""
    return by > _ALLOWED * float(np.sqrt(sum(spread**2 for _, spread, _ in lengths)))
