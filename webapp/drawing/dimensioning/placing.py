"""Places of a drawing's texts: each at the best of its possible places, none on another.

Every text has a list of possible places, the preferred one first. A place costs
what its box would cover: edges of the bike, other dimension lines, the rider, a wheel.
All of that is weighed in one pass over arrays; then each text in turn takes its cheapest
place among those that meet no text placed before. Where one finds none, all are placed
again and it goes first. The same drawing always gives the
same places. A text for which no place is left gets None, and its caller decides.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from webapp.drawing.dimensioning.lettering import Anchor, Shape
from webapp.drawing.points import Point

Floats = npt.NDArray[np.float64]

_ROUNDS = 4  # of placing them all, those first that found no place the time before
_LATER = 0.25  # added cost for each position further down a text's own list


class Spot(NamedTuple):
    """A place for a text: its box's centre, its shape, and a line that leads to it, if any."""

    centre: Point
    shape: Shape
    anchor: Anchor = "middle"
    shelf: tuple[Point, Point] | None = None

    def meets(self, other: Spot, apart: float) -> bool:
        """Whether two texts come nearer than ``apart`` [mm], or one's line crosses the other."""
        one, two = self.shape, other.shape
        wide = one.half_width + two.half_width + apart
        high = one.half_height + two.half_height + apart
        (x, y), (u, v) = self.centre, other.centre
        if abs(x - u) < wide and abs(y - v) < high:
            return True
        return other.crossed_by(self.shelf) or self.crossed_by(other.shelf)

    def crossed_by(self, line: tuple[Point, Point] | None) -> bool:
        """Whether a line passes through the box: no side of either separates them."""
        if line is None:
            return False
        (ax, ay), (bx, by) = line
        (x, y), wide, high = self.centre, self.shape.half_width, self.shape.half_height
        dx, dy = (bx - ax) / 2, (by - ay) / 2
        u, v = x - (ax + bx) / 2, y - (ay + by) / 2
        return (
            abs(u) < wide + abs(dx)
            and abs(v) < high + abs(dy)
            and abs(u * dy - v * dx) < wide * abs(dy) + high * abs(dx)
        )


Priced = tuple[float, Spot]
"""What a place covers, and the place."""


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

    def cost(self, spots: Sequence[Spot]) -> Floats:
        """What each of some places would cover, shape (n,)."""
        x, y = np.array([spot.centre for spot in spots]).T[:, :, None]
        wide, high = np.array(
            [(spot.shape.half_width, spot.shape.half_height) for spot in spots]
        ).T[:, :, None]
        beyond = (x - wide < self.left) | (x + wide > self.right) | (y + high > self.top)
        total = np.where(beyond, self.outside, 0.0)[:, 0]
        if self.lines:
            total += _crossed(np.array(self.lines), x, y, wide, high)
        for round_things, area in ((self.circles, False), (self.discs, True)):
            if round_things:
                total += _touched(np.array(round_things), (x, y), (wide, high), area=area)
        return total


def place(
    wanted: Sequence[Sequence[Spot]],
    obstacles: Obstacles,
    *,
    apart: float,
    worst: float = np.inf,
    otherwise: Callable[[int], Sequence[Spot]] = lambda _: (),
) -> list[Spot | None]:
    """A place for every text.

    Parameters
    ----------
    wanted : sequence of sequence of Spot
        The possible places of each text, the preferred first; the most important texts come first.
    obstacles : Obstacles
    apart : float [mm]
        The least distance between two texts.
    worst : float
        A place that costs more than this is not used.
    otherwise : function of int
        Further places of the text with that number, asked for where it has none so far.

    Returns
    -------
    list of Spot or None
        In the order of ``wanted``; no two of them meet.

    Examples
    --------
    >>> from webapp.drawing.dimensioning.lettering import shape
    >>> text = shape(("12",), 10.0)
    >>> spots = [Spot((0.0, 0.0), text), Spot((0.0, 30.0), text)]
    >>> found = place([spots, spots, spots], Obstacles(), apart=2.0)
    >>> [spot and spot.centre for spot in found]
    [(0.0, 0.0), (0.0, 30.0), None]
    """
    every = [spot for spots in wanted for spot in spots]
    costs = iter(obstacles.cost(every).tolist() if every else [])
    own = [list(zip((next(costs) for _ in spots), spots, strict=True)) for spots in wanted]
    farther: dict[int, list[Priced]] = {}

    def more(number: int) -> list[Priced]:
        if number not in farther:
            spots = otherwise(number)
            known = obstacles.cost(spots).tolist() if spots else []
            farther[number] = list(zip(known, spots, strict=True))
        return farther[number]

    best: list[Spot | None] = [None] * len(wanted)
    order = list(range(len(wanted)))
    for _ in range(_ROUNDS):
        placed: list[Spot | None] = [None] * len(wanted)
        taken: list[Spot] = []
        for number in order:
            found = _cheapest(own[number], taken, apart, worst) or _cheapest(
                more(number), taken, apart, worst
            )
            if found is not None:
                placed[number] = found
                taken.append(found)
        if placed.count(None) < best.count(None):
            best = placed
        if None not in placed:
            break
        order.sort(key=lambda number: placed[number] is not None)
    return best


def _cheapest(
    priced: Sequence[Priced], taken: Sequence[Spot], apart: float, worst: float
) -> Spot | None:
    """The cheapest place that meets no text placed before."""
    liked = sorted((cost + _LATER * at, at) for at, (cost, _) in enumerate(priced) if cost <= worst)
    spots = (priced[at][1] for _, at in liked)
    return next(
        (spot for spot in spots if not any(spot.meets(other, apart) for other in taken)), None
    )


def _crossed(lines: Floats, x: Floats, y: Floats, wide: Floats, high: Floats) -> Floats:
    """Cost of the lines that pass through boxes: no side of either separates them."""
    ax, ay, bx, by, cost = lines.T[:, None, :]
    dx, dy = (bx - ax) / 2, (by - ay) / 2
    u, v = x - (ax + bx) / 2, y - (ay + by) / 2
    long, tall = np.abs(dx), np.abs(dy)
    met = (
        (np.abs(u) < wide + long)
        & (np.abs(v) < high + tall)
        & (np.abs(u * dy - v * dx) < wide * tall + high * long)
    )
    weighed: Floats = np.where(met, cost, 0.0).sum(axis=1)
    return weighed


def _touched(
    rounds: Floats, at: tuple[Floats, Floats], half: tuple[Floats, Floats], *, area: bool
) -> Floats:
    """Cost of the circles whose outline, or whose area, boxes touch."""
    cx, cy, radius, cost = rounds.T[:, None, :]
    u, v = np.abs(at[0] - cx), np.abs(at[1] - cy)
    wide, high = half
    near = np.hypot(np.maximum(u - wide, 0.0), np.maximum(v - high, 0.0))
    met = near < radius
    if not area:
        met &= np.hypot(u + wide, v + high) > radius
    weighed: Floats = np.where(met, cost, 0.0).sum(axis=1)
    return weighed
