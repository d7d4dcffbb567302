"""What stands in the way of texts, and what covering it costs."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import lru_cache
from operator import itemgetter

from webapp.drawing.dimensioning.spots import Spot

EDGE = 10.0
"""Cost of a text that covers what is drawn in a group without a cost of its own."""

_COSTS = {
    "part-rider": 12.0,
    "ground-line": 10.0,
    "ghost": 3.0,
    "centre-line": 1.0,
    "dimension": 4.0,
}
_SLACK = 1e-6  # [mm] around lines, so that no rounding hides one that a box just meets


@lru_cache(maxsize=512)
def cost_in(names: str, around: float) -> float:
    """Cost of a text over what is drawn in a group of these classes, within one of another cost.

    >>> cost_in("line-b ghost", EDGE), cost_in("part-frame", EDGE)
    (3.0, 10.0)
    """
    return next((_COSTS[name] for name in names.split() if name in _COSTS), around)


Line = tuple[float, float, float, float, float]
"""A line (x, y, x, y) [mm] and the cost of covering it."""

_Edge = tuple[float, float, float, float, float, tuple[float, float, float, float, float, float]]
"""A line's cost, the box around it, and its middle, half its way and half its sizes [mm]."""


def _edge(ax: float, ay: float, bx: float, by: float, cost: float) -> _Edge:
    dx, dy = (bx - ax) / 2, (by - ay) / 2
    x, y, long, tall = (ax + bx) / 2, (ay + by) / 2, abs(dx), abs(dy)
    wide, high = long + _SLACK, tall + _SLACK
    return cost, x - wide, x + wide, y - high, y + high, (x, y, dx, dy, long, tall)


@dataclass(slots=True)
class Obstacles:
    """What texts should not cover, each with what covering it costs.

    ``circles`` are outlines and ``discs`` areas (x, y, radius, cost), in mm. A box that reaches
    beyond ``left``, ``right`` or ``top`` costs ``outside``.
    """

    left: float = -math.inf
    right: float = math.inf
    top: float = math.inf
    outside: float = 0.0
    edges: list[_Edge] = field(default_factory=list)
    circles: list[tuple[float, float, float, float]] = field(default_factory=list)
    discs: list[tuple[float, float, float, float]] = field(default_factory=list)

    def lines(self, lines: Iterable[Line]) -> None:
        """Lines stand in the way too."""
        self.edges.extend(_edge(*line) for line in lines)

    def add(self, other: Obstacles) -> None:
        """What stands in the way on another sheet too."""
        self.edges.extend(other.edges)
        self.circles.extend(other.circles)
        self.discs.extend(other.discs)

    def costs(self, worst: float) -> Costs:
        """What places cost among the obstacles there are by now, none more than ``worst``."""
        return Costs(self, worst)


class Costs:
    """What places among obstacles cost.

    A place that costs more than ``worst`` is of no use to anybody, so the rest of what it would
    cover is not asked for; the dearest obstacles come first.
    """

    def __init__(self, obstacles: Obstacles, worst: float) -> None:
        self.worst = worst
        self._bounds = obstacles.left, obstacles.right, obstacles.top
        self._outside = obstacles.outside
        self._edges = sorted(obstacles.edges, key=itemgetter(0), reverse=True)
        self._circles, self._discs = obstacles.circles, obstacles.discs

    def of(self, spot: Spot) -> float:
        """What a place would cover; infinite where that is more than the worst."""
        (x, y), form = spot[0], spot[1]
        wide, high, worst = form.half_width, form.half_height, self.worst
        left, right, top = self._bounds
        beyond = x - wide < left or x + wide > right or y + high > top
        total = self._outside if beyond else 0.0
        if total > worst:
            return math.inf
        left, right, bottom, top = x - wide, x + wide, y - high, y + high
        for cost, low_x, high_x, low_y, high_y, line in self._edges:
            if low_x < right and left < high_x and low_y < top and bottom < high_y:
                middle, level, dx, dy, long, tall = line
                u, v = x - middle, y - level
                # No side of the box and no side of the line separates the two.
                if (
                    abs(u) < wide + long
                    and abs(v) < high + tall
                    and abs(u * dy - v * dx) < wide * tall + high * long
                ):
                    total += cost
                    if total > worst:
                        return math.inf
        total += self._round(x, y, wide, high)
        return math.inf if total > worst else total

    def _round(self, x: float, y: float, wide: float, high: float) -> float:
        """What a box covers of the round things."""
        total = 0.0
        for rounds, outlines in ((self._circles, True), (self._discs, False)):
            for middle, level, radius, cost in rounds:
                u, v = abs(x - middle), abs(y - level)
                if u < wide + radius and v < high + radius:
                    nearest = math.hypot(max(u - wide, 0.0), max(v - high, 0.0))
                    if nearest < radius and not (
                        outlines and math.hypot(u + wide, v + high) <= radius
                    ):
                        total += cost
        return total
