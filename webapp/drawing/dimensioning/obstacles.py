"""What stands in the way of texts, and what covering it costs."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from functools import lru_cache
from operator import itemgetter

from webapp.drawing.dimensioning.spots import Spot
from webapp.drawing.points import Point

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

_Numbers = tuple[float, ...]
_Covers = Callable[[_Numbers, float, float, float, float], bool]
_Thing = tuple[float, float, float, float, float, _Covers, _Numbers]
"""A cost, the box around what is in the way [mm], whether a box covers it, and its own numbers."""


@dataclass(slots=True)
class Obstacles:
    """What texts should not cover, each with what covering it costs.

    A box that reaches beyond ``left``, ``right`` or ``top`` [mm] costs ``outside``.
    """

    left: float = -math.inf
    right: float = math.inf
    top: float = math.inf
    outside: float = 0.0
    things: list[_Thing] = field(default_factory=list)

    def lines(self, lines: Iterable[Line]) -> None:
        """Lines stand in the way too."""
        for ax, ay, bx, by, cost in lines:
            dx, dy = (bx - ax) / 2, (by - ay) / 2
            x, y, long, tall = (ax + bx) / 2, (ay + by) / 2, abs(dx), abs(dy)
            numbers = (x, y, dx, dy, long, tall)
            self.things.append((cost, *_around((x, y), long, tall), _covers_line, numbers))

    def circle(self, x: float, y: float, radius: float, cost: float) -> None:
        """The outline of a circle stands in the way too."""
        around = _around((x, y), radius, radius)
        self.things.append((cost, *around, _covers_circle, (x, y, radius)))

    def disc(self, x: float, y: float, radius: float, cost: float) -> None:
        """The area of a circle stands in the way too."""
        around = _around((x, y), radius, radius)
        self.things.append((cost, *around, _covers_disc, (x, y, radius)))

    def add(self, other: Obstacles) -> None:
        """What stands in the way on another sheet too."""
        self.things.extend(other.things)

    def costs(self, worst: float) -> Costs:
        """What places cost among the obstacles there are by now, none more than ``worst``."""
        return Costs(self, worst)


def _around(middle: Point, long: float, tall: float) -> tuple[float, float, float, float]:
    """Left, right, lower and upper end of the box around something, with some slack [mm]."""
    (x, y), wide, high = middle, long + _SLACK, tall + _SLACK
    return x - wide, x + wide, y - high, y + high


class Costs:
    """What places among obstacles cost.

    A place that costs more than ``worst`` is of no use to anybody, so the rest of what it would
    cover is not asked for; the dearest obstacles come first.
    """

    def __init__(self, obstacles: Obstacles, worst: float) -> None:
        self.worst = worst
        self._bounds = obstacles.left, obstacles.right, obstacles.top
        self._outside = obstacles.outside
        self._things = sorted(obstacles.things, key=itemgetter(0), reverse=True)

    def of(self, spot: Spot) -> float:
        """What a place would cover; infinite where that is more than the worst."""
        (x, y), form = spot[0], spot[1]
        wide, high, worst = form.half_width, form.half_height, self.worst
        left, right, bottom, top = x - wide, x + wide, y - high, y + high
        begin, end, upper = self._bounds
        total = self._outside if left < begin or right > end or top > upper else 0.0
        if total > worst:
            return math.inf
        for cost, low_x, high_x, low_y, high_y, covers, numbers in self._things:
            if (
                low_x < right
                and left < high_x
                and low_y < top
                and bottom < high_y
                and covers(numbers, x, y, wide, high)
            ):
                total += cost
                if total > worst:
                    return math.inf
        return total


def _covers_line(line: _Numbers, x: float, y: float, wide: float, high: float) -> bool:
    """Whether no side of a box and no side of a line separates the two."""
    middle, level, dx, dy, long, tall = line
    u, v = x - middle, y - level
    return (
        abs(u) < wide + long
        and abs(v) < high + tall
        and abs(u * dy - v * dx) < wide * tall + high * long
    )


def _covers_disc(disc: _Numbers, x: float, y: float, wide: float, high: float) -> bool:
    """Whether the place of a box that is nearest to a circle's centre is within the circle."""
    middle, level, radius = disc
    away, above = abs(x - middle) - wide, abs(y - level) - high
    return math.hypot(max(away, 0.0), max(above, 0.0)) < radius


def _covers_circle(circle: _Numbers, x: float, y: float, wide: float, high: float) -> bool:
    """The same, and the place farthest from the centre is outside the circle."""
    middle, level, radius = circle
    away, above = abs(x - middle) + wide, abs(y - level) + high
    return _covers_disc(circle, x, y, wide, high) and math.hypot(away, above) > radius
