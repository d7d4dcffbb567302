"""What stands in the way of texts, and what covering it costs.

A box that meets the box around an obstacle may cover it; for those pairs alone it is
worked out whether it does, all at once in arrays.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from webapp.drawing.dimensioning.spots import Spot

Floats = npt.NDArray[np.float64]

EDGE = 10.0
"""Cost of a text that covers what is drawn in a group without a cost of its own."""

_COSTS = {
    "part-rider": 12.0,
    "ground-line": 10.0,
    "ghost": 3.0,
    "centre-line": 1.0,
    "dimension": 4.0,
}
_SLACK = 1.0  # [mm] around obstacles, so that no rounding misses a pair that may meet


@lru_cache(maxsize=512)
def cost_in(names: str, around: float) -> float:
    """Cost of a text over what is drawn in a group of these classes, within one of another cost.

    >>> cost_in("line-b ghost", EDGE), cost_in("part-frame", EDGE)
    (3.0, 10.0)
    """
    return next((_COSTS[name] for name in names.split() if name in _COSTS), around)


@dataclass(slots=True)
class Obstacles:
    """What texts should not cover, each with what covering it costs.

    ``lines`` are (x, y, x, y, cost), ``circles`` outlines and ``discs`` areas
    (x, y, radius, cost), in mm. A box that reaches beyond ``left``, ``right`` or ``top``
    costs ``outside``.
    """

    left: float = -np.inf
    right: float = np.inf
    top: float = np.inf
    outside: float = 0.0
    lines: list[tuple[float, float, float, float, float]] = field(default_factory=list)
    circles: list[tuple[float, float, float, float]] = field(default_factory=list)
    discs: list[tuple[float, float, float, float]] = field(default_factory=list)

    def add(self, other: Obstacles) -> None:
        """What stands in the way on another sheet too."""
        self.lines.extend(other.lines)
        self.circles.extend(other.circles)
        self.discs.extend(other.discs)

    def costs(self) -> Costs:
        """What places cost among the obstacles there are by now."""
        return Costs(self)


class Costs:
    """What places among obstacles cost; the obstacles as arrays, lines first, then round ones."""

    def __init__(self, obstacles: Obstacles) -> None:
        lines = _columns(obstacles.lines, 5)
        rounds = _columns([*obstacles.circles, *obstacles.discs], 4)
        start, end = lines[:2], lines[2:4]
        self._obstacles = obstacles
        self._rounds_from = len(obstacles.lines)
        self._discs_from = self._rounds_from + len(obstacles.circles)
        self._half = (end - start) / 2  # of each line, across and up
        self._middle = np.concatenate([(start + end) / 2, rounds[:2]], axis=1)
        self._size = np.concatenate([np.abs(self._half), rounds[[2, 2]]], axis=1)
        self._cost = np.concatenate([lines[4], rounds[3]])
        reach = self._size + _SLACK
        self._low = (self._middle - reach).astype(np.float32)[:, :, None]
        self._high = (self._middle + reach).astype(np.float32)[:, :, None]

    def of(self, spots: Sequence[Spot]) -> Floats:
        """What each of some places would cover, shape (n,)."""
        boxes = _columns(
            [(*spot.centre, spot.shape.half_width, spot.shape.half_height) for spot in spots], 4
        )
        of, at = np.divmod(np.flatnonzero(self._near(boxes)), len(spots))
        covered = self._covered(of, boxes[:, at])
        total: Floats = np.zeros(len(spots))
        total += np.bincount(at, self._cost[of] * covered, len(spots))
        within, (x, y, wide, high) = self._obstacles, boxes
        beyond = (x - wide < within.left) | (x + wide > within.right) | (y + high > within.top)
        return total + np.where(beyond, within.outside, 0.0)

    def _near(self, boxes: Floats) -> npt.NDArray[np.bool_]:
        """Which obstacles may meet which boxes, (obstacles, boxes)."""
        low = (boxes[:2] - boxes[2:]).astype(np.float32)
        high = (boxes[:2] + boxes[2:]).astype(np.float32)
        near: npt.NDArray[np.bool_] = self._low[0] < high[0]
        near &= self._high[0] > low[0]
        near &= self._low[1] < high[1]
        near &= self._high[1] > low[1]
        return near

    def _covered(self, of: npt.NDArray[np.intp], boxes: Floats) -> npt.NDArray[np.bool_]:
        """Whether each obstacle is covered by the box beside it; (k,) and (4, k), lines first."""
        rounds, discs = of.searchsorted((self._rounds_from, self._discs_from)).tolist()
        half, size = boxes[2:], self._size[:, of]
        away = boxes[:2] - self._middle[:, of]
        apart = np.abs(away)
        covered: npt.NDArray[np.bool_] = (apart < half + size).all(axis=0)
        # No side of a box and no side of a line separates the two.
        across = away[:, :rounds] * self._half[::-1, of[:rounds]]
        room = half[:, :rounds] * size[::-1, :rounds]
        covered[:rounds] &= np.abs(across[0] - across[1]) < room[0] + room[1]
        radius = size[0, rounds:]
        nearest = np.maximum(apart[:, rounds:] - half[:, rounds:], 0.0)
        covered[rounds:] = np.hypot(*nearest) < radius
        farthest = apart[:, rounds:discs] + half[:, rounds:discs]
        covered[rounds:discs] &= np.hypot(*farthest) > radius[: discs - rounds]
        return covered


def _columns(rows: Sequence[tuple[float, ...]], width: int) -> Floats:
    """Rows of numbers as an array (width, n)."""
    return np.array([number for row in rows for number in row]).reshape(-1, width).T
