"""What a text would cover, against other ways to find it, and no further than the answer needs."""

from __future__ import annotations

import math
import random

import pytest

from webapp.drawing.dimensioning.lettering import Shape
from webapp.drawing.dimensioning.obstacles import Obstacles
from webapp.drawing.dimensioning.spots import Spot

CHANCE = random.Random(20261127)  # noqa: S311  # the same cases every time, no secret
BOXES = [
    (CHANCE.uniform(-60, 60), CHANCE.uniform(-60, 60), CHANCE.uniform(2, 40), CHANCE.uniform(2, 20))
    for _ in range(400)
]
AROUND = [math.tau * step / 3600 for step in range(3600)]


def _spot(box: tuple[float, float, float, float]) -> Spot:
    x, y, half_width, half_height = box
    return Spot((x, y), Shape(("12",), 10.0, half_width, half_height, 0.0))


def _clipped(
    line: tuple[float, float, float, float], box: tuple[float, float, float, float]
) -> bool:
    """Whether part of a line lies in a box.

    Liang and Barsky, ACM Transactions on Graphics 3 (1984) 1 [M].
    """
    (ax, ay, bx, by), (x, y, wide, high) = line, box
    dx, dy, first, last = bx - ax, by - ay, 0.0, 1.0
    for p, q in (
        (-dx, ax - (x - wide)),
        (dx, x + wide - ax),
        (-dy, ay - (y - high)),
        (dy, y + high - ay),
    ):
        if p == 0.0:
            if q < 0.0:
                return False
        elif p < 0.0:
            first = max(first, q / p)
        else:
            last = min(last, q / p)
    return first < last


@pytest.mark.parametrize("kind", ["any", "level", "upright"])
def test_a_line_is_covered_where_clipping_leaves_part_of_it(kind: str) -> None:
    found = set()
    for box in BOXES:
        ax, ay, bx, by = (CHANCE.uniform(-80, 80) for _ in range(4))
        line = ax, ay, ax if kind == "upright" else bx, ay if kind == "level" else by
        obstacles = Obstacles()
        obstacles.lines([(*line, 4.0)])
        cost = obstacles.costs(math.inf).of(_spot(box))
        assert cost == (4.0 if _clipped(line, box) else 0.0), (line, box)
        found.add(cost)
    assert found == {0.0, 4.0}


def test_an_outline_is_covered_where_some_place_on_it_is_and_a_disc_within_it_too() -> None:
    found = set()
    for box in BOXES:
        x, y, wide, high = box
        radius = CHANCE.uniform(5, 50)
        obstacles = Obstacles()
        obstacles.circle(0.0, 0.0, radius, 1.0)
        obstacles.disc(0.0, 0.0, radius, 2.0)
        cost = obstacles.costs(math.inf).of(_spot(box))
        places = [(radius * math.cos(turn), radius * math.sin(turn)) for turn in AROUND]
        on_it = any(abs(u - x) < wide and abs(v - y) < high for u, v in places)
        holds_middle = abs(x) < wide and abs(y) < high
        within = all(
            math.hypot(x + side * wide, y + end * high) < radius
            for side in (-1, 1)
            for end in (-1, 1)
        )
        disc = on_it or holds_middle or within
        assert cost == 1.0 * on_it + 2.0 * disc, (radius, box)
        found.add(cost)
    assert found == {0.0, 2.0, 3.0}


def test_a_place_dearer_than_the_worst_is_of_no_use() -> None:
    obstacles = Obstacles(right=100.0, outside=9.5)
    obstacles.lines([(-10.0, 0.0, 10.0, 0.0, 4.0), (0.0, -10.0, 0.0, 10.0, 5.0)])
    obstacles.disc(0.0, 0.0, 30.0, 2.0)
    beside, across, beyond = (
        _spot((20.0, 5.0, 4.0, 2.0)),
        _spot((0.0, 0.0, 4.0, 2.0)),
        _spot((99.0, 0.0, 4.0, 2.0)),
    )
    assert [obstacles.costs(math.inf).of(spot) for spot in (beside, across, beyond)] == [2, 11, 9.5]
    assert [obstacles.costs(9.5).of(spot) for spot in (beside, across, beyond)] == [
        2,
        math.inf,
        9.5,
    ]
    assert obstacles.costs(9.0).of(beyond) == math.inf
