"""Nine people whose sizes are marked by hand: every share is a sum that can be done in the head."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq

from geometry.core import ContradictoryInput
from geometry.examples import example_run
from geometry.population import (
    People,
    Served,
    cells,
    chart_moves,
    coverage,
    draw_people,
    shift,
    shifts_by_group,
)
from geometry.rider import LANDMARKS, Bodies
from geometry.sizing import NONE, needed, usual_bodies

#            stature, leg, weight, man; the last four stand outside all bands, each on its own side
ROWS = [
    (1650.0, 850.0, 0.008, True),
    (1700.0, 790.0, 0.292, True),
    (1750.0, 800.0, 0.25, True),
    (1620.0, 740.0, 0.06, False),
    (1690.0, 770.0, 0.29, False),
    (1900.0, 750.0, 0.04, False),
    (1500.0, 750.0, 0.02, False),
    (1650.0, 650.0, 0.02, False),
    (1650.0, 950.0, 0.02, False),
]
STATURES, LEGS = np.array([1600.0, 1700.0, 1800.0]), np.array([700.0, 800.0, 900.0])


def people() -> People:
    values = draw_people(count=10, seed=3).bodies.values[:9].copy()
    values[:, LANDMARKS.index("stature")] = [row[0] for row in ROWS]
    values[:, LANDMARKS.index("crotch_height")] = [row[1] for row in ROWS]
    weights = np.array([row[2] for row in ROWS])
    return People(Bodies(values), np.array([row[3] for row in ROWS]), weights)


def marks(*rows: str) -> np.ndarray:
    """A row a size, a letter a person; the four outside are never fitted."""
    return np.array([[letter == "x" for letter in row + "...."] for row in rows])


def served(as_sold: np.ndarray, possible: np.ndarray, named: list[int]) -> Served:
    return Served(
        ("S", "M", "L"), PEOPLE, as_sold, possible, np.array(named + [NONE] * 4), np.zeros(4)
    )


PEOPLE = people()
BEFORE = served(
    marks("x..x.", "xx...", ".x..."), marks("x..x.", "xx..x", ".x..."), [0, 1, NONE, 0, 1]
)
AFTER = served(
    marks(".....", "....x", ".xx.."), marks("x....", "....x", ".xx.."), [0, 2, 2, NONE, 1]
)


def test_whom_sizes_serve_is_counted() -> None:
    found = coverage(BEFORE)
    assert (found.people, found.one, found.several) == pytest.approx((1.0, 0.06, 0.3))
    assert (found.with_changes, found.nobody, found.as_sold) == pytest.approx((0.29, 0.35, 0.36))
    told = [(s.as_sold, s.with_changes, s.named, s.with_next) for s in found.sizes]
    assert told[0] == pytest.approx((0.068, 0.0, 0.068, 0.008))
    assert told[1] == pytest.approx((0.3, 0.29, 0.582, 0.292))
    assert told[2] == pytest.approx((0.292, 0.0, 0.0, 0.0))
    one = coverage(BEFORE, np.arange(9) == 0)
    assert (one.people, one.several, one.sizes[0].with_next) == pytest.approx((0.008, 1.0, 1.0))
    none = coverage(BEFORE, np.zeros(9, dtype=bool))
    assert (none.people, none.as_sold, none.nobody) == (0.0, 0.0, 0.0)


def test_what_a_change_does_is_counted() -> None:
    found = shift(BEFORE, AFTER)
    assert found.people == pytest.approx(1.0)
    assert found.other_size == pytest.approx(0.292)
    assert (found.gained, found.lost) == pytest.approx((0.54, 0.068))
    assert (found.reached, found.given_up, found.worst) == pytest.approx((0.25, 0.06, 0.128))
    one = shift(BEFORE, AFTER, np.arange(9) == 0)
    assert (one.people, one.lost, one.given_up, one.worst) == pytest.approx((0.008, 1.0, 0, 0.008))
    none = shift(BEFORE, AFTER, np.zeros(9, dtype=bool))
    assert (none.people, none.lost, none.gained) == (0.0, 0.0, 0.0)


def test_groups_are_told_by_what_they_lose() -> None:
    found = shifts_by_group(BEFORE, AFTER, statures=STATURES)
    assert [(group.men, group.stature) for group in found] == [
        (False, (1600.0, 1700.0)), (True, (1600.0, 1700.0)), (True, (1700.0, 1800.0)),
    ]  # fmt: skip
    assert [g.shift.people for g in found] == pytest.approx([0.39, 0.008, 0.542])
    assert [g.shift.worst for g in found] == pytest.approx([0.12, 0.008, 0.0])


def test_cells_hold_who_stands_in_them() -> None:
    found = cells(BEFORE, statures=STATURES, legs=LEGS)
    assert [(c.stature[0], c.stature[1], c.leg[0], c.leg[1], c.named) for c in found] == [
        (1600.0, 1700.0, 700.0, 800.0, 1),
        (1600.0, 1700.0, 800.0, 900.0, 0),
        (1700.0, 1800.0, 700.0, 800.0, 1),
        (1700.0, 1800.0, 800.0, 900.0, NONE),
    ]
    assert [c.people for c in found] == pytest.approx([0.35, 0.008, 0.292, 0.25])
    assert [c.covered.with_changes for c in found] == pytest.approx([0.29 / 0.35, 0.0, 0.0, 0.0])


def test_people_count_for_one_together_and_none_for_less_than_nothing() -> None:
    bodies, men = Bodies(PEOPLE.bodies.values[:2]), np.array([True, False])
    assert People(bodies, men, np.array([1.0, 0.0])).share(~men) == 0.0
    for weights in ([1.2, -0.2], [0.5, 0.49], [0.5, 0.51]):
        with pytest.raises(ContradictoryInput, match="weights"):
            People(bodies, men, np.array(weights))
    assert draw_people(count=2).weights.tolist() == [0.5, 0.5]
    assert draw_people(count=7).men.tolist() == [True] * 3 + [False] * 3
    assert draw_people(count=4, share_of_men=0.25).weights.tolist() == [0.125] * 2 + [0.375] * 2


@pytest.mark.parametrize(("offset", "slope"), [(12.0, 0.0), (0.0, 5.0), (-9.0, -4.0)])
def test_each_size_moves_to_where_the_line_that_was_learnt_asks_for_it(
    offset: float, slope: float
) -> None:
    """Both statures by a root finder, on a run whose line is 7 mm longer than its chart's."""
    run = replace(example_run(), longer_by=7.0)

    def over(stature: float, given: float, learnt: float) -> float:
        at = np.array([stature])
        line = float(needed(run, usual_bodies(at)).by_chart[0]) - 7.0
        place = float(run.chart.size_for(at)[0]) - 2.0  # the third of five is the middle
        return line + learnt * (offset + slope * place) - given

    moves = chart_moves(run, offset=offset, slope=slope)
    for given, moved in zip(run.given.tolist(), moves, strict=True):
        now, then = (brentq(over, 1210.0, 2290.0, args=(given, each)) for each in (0.0, 1.0))
        assert moved == pytest.approx(then - now, abs=0.3)
