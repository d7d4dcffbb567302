"""Points from tape measurements: against scipy's least squares and Monte Carlo."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import least_squares
from scipy.stats import chi2

from geometry.core import (
    ContradictoryInput,
    FloatArray,
    InvalidInput,
    Remedy,
)
from geometry.position import KINDS, Measured, fix_points, most_telling
from geometry.position.contradictions import chance_of_more
from geometry.position.remedies import AboveAxle, ClosesTriangle, CoversHeights, LessThanStraight
from geometry.position.tape import expected
from tests.geometry.position.test_tape import BIKE, bikes

ALL = tuple(KINDS)
NEEDED = (
    "bb_above_floor", "bb_to_saddle", "saddle_above_floor", "bb_to_grip", "grip_above_floor",
    "bb_to_rear_axle", "rear_wheel_round", "wheelbase", "front_wheel_round",
)  # fmt: skip


def taped(
    bike: FloatArray, kinds: Sequence[str], noise: FloatArray | None = None
) -> list[Measured]:
    """Readings of a bike, each off by so many of its spreads."""
    off = np.zeros(len(kinds)) if noise is None else noise
    return [
        Measured(kind=kind, value=expected(kind, bike) + float(n) * KINDS[kind].spread)
        for kind, n in zip(kinds, off, strict=True)
    ]


def least_squares_of(measured: Sequence[Measured], start: FloatArray) -> FloatArray:
    """The same bike by scipy's Levenberg–Marquardt."""

    def gaps(state: FloatArray) -> list[float]:
        return [(m.value - expected(m.kind, state)) / m.spread for m in measured]

    return np.asarray(least_squares(gaps, start, method="lm", xtol=1e-14, ftol=1e-14).x)


@given(bike=bikes())
def test_exact_readings_give_the_bike_back(bike: FloatArray) -> None:
    found = fix_points(taped(bike, NEEDED))
    assert found.values == pytest.approx(bike, abs=1e-5)
    assert found.checked == 0
    assert not found.suspects


@settings(max_examples=40, deadline=None)
@given(bike=bikes(), seed=st.integers(0, 2**32 - 1))
def test_best_bike_is_scipys(bike: FloatArray, seed: int) -> None:
    noise = np.random.default_rng(seed).standard_normal(len(ALL))
    measured = taped(bike, ALL, noise)
    assert fix_points(measured).values == pytest.approx(least_squares_of(measured, bike), abs=1e-4)


def test_covariance_is_that_of_many_repeats() -> None:
    random, trials = np.random.default_rng(1914), 1000
    found = np.array([
        fix_points(taped(BIKE, ALL, random.standard_normal(len(ALL)))).values
        for _ in range(trials)
    ])  # fmt: skip
    said = fix_points(taped(BIKE, ALL)).covariance
    seen = np.cov(found.T)
    scale = np.sqrt(np.outer(np.diag(said), np.diag(said)))
    # A covariance of n repeats has a relative deviation of at most √(2/n).
    assert np.abs((seen - said) / scale).max() < 4 * np.sqrt(2 / trials)
    assert np.abs(found.mean(axis=0) - BIKE).max() < 0.3


def test_covariance_of_a_point_is_that_of_what_it_is_made_of() -> None:
    found = fix_points(taped(BIKE, ALL))
    (x, y), covariance = found.point("rear_axle")
    assert (x, y) == pytest.approx((-430.0, 55.0), abs=1e-6)
    part = found.covariance[np.ix_([0, 7], [0, 7])]
    assert covariance[1, 1] == pytest.approx(part[0, 0] + part[1, 1] - 2 * part[0, 1])


def test_what_is_open_has_no_value() -> None:
    found = fix_points(taped(BIKE, ("bb_above_floor", "grip_above_floor", "bb_to_saddle")))
    (x, y), covariance = found.point("grip")
    assert np.isnan(x)
    assert y == pytest.approx(690)
    assert covariance[1, 1] == pytest.approx(4 + 9)
    assert np.isnan(found.point("saddle")[0]).all()
    assert np.isnan(found.value("rear_radius"))


@pytest.mark.parametrize(
    ("lengths", "field", "remedy"),
    [
        ({"bb_to_saddle": 300, "bb_to_grip": 300, "saddle_to_grip": 700}, "saddle_to_grip",
         ClosesTriangle(one="bb_to_grip", other="bb_to_saddle", together=600.0)),
        ({"wheelbase": 1180, "saddle_to_rear_axle": 500, "saddle_to_front_axle": 600},
         "wheelbase",
         ClosesTriangle(
             one="saddle_to_rear_axle", other="saddle_to_front_axle", together=1100.0
         )),
        ({"bb_to_saddle": 500, "bb_above_floor": 300, "saddle_above_floor": 1000},
         "bb_to_saddle",
         CoversHeights(one="bb_above_floor", other="saddle_above_floor", apart=700.0)),
        ({"bb_to_saddle": 500, "saddle_behind_bb": 560}, "saddle_behind_bb",
         LessThanStraight(straight="bb_to_saddle", length=500.0)),
        ({"grip_above_floor": 340, "front_wheel_round": 2200}, "grip_above_floor",
         AboveAxle(wheel="front_wheel_round", radius=350.14)),
        ({"saddle_above_floor": 340, "rear_wheel_round": 2200}, "saddle_above_floor",
         AboveAxle(wheel="rear_wheel_round", radius=350.14)),
    ],
)  # fmt: skip
def test_what_no_bike_can_have_is_refused(
    lengths: Mapping[str, float], field: str, remedy: Remedy
) -> None:
    with pytest.raises(ContradictoryInput) as error:
        fix_points([Measured(kind=kind, value=value) for kind, value in lengths.items()])
    assert error.value.field == field
    said = error.value.remedy
    if isinstance(said, AboveAxle):  # 2200 mm round is 2200/2π
        said = replace(said, radius=round(said.radius, 2))
    assert said == remedy


def test_nothing_measured_is_refused() -> None:
    with pytest.raises(InvalidInput):
        fix_points([])


SETS = {
    1: (*NEEDED, "saddle_to_grip"),
    2: (*NEEDED, "saddle_to_grip", "saddle_behind_bb"),
    7: ALL,
}


@pytest.mark.parametrize("freedom", SETS)
def test_true_sets_are_rarely_blamed(freedom: int) -> None:
    random, trials = np.random.default_rng(freedom), 800
    kinds = SETS[freedom]
    blamed = sum(
        bool(fix_points(taped(BIKE, kinds, random.standard_normal(len(kinds)))).suspects)
        for _ in range(trials)
    )
    # 5 % of true sets, and no more than chance adds to so many trials (three deviations)
    assert blamed / trials <= 0.05 + 3 * np.sqrt(0.05 * 0.95 / trials)


@pytest.mark.parametrize(("freedom", "spreads"), [(1, 4.0), (2, 4.0), (7, 4.7)])
def test_contradictions_are_found(freedom: int, spreads: float) -> None:
    """A fault of so many standard deviations of the gap that it opens between the readings."""
    random, trials = np.random.default_rng(freedom), 500
    kinds = SETS[freedom]
    at = kinds.index("saddle_to_grip")
    others = [kind for kind in kinds if kind != "saddle_to_grip"]
    known = fix_points(taped(BIKE, others))
    # What the other readings leave uncertain of this one, by moving each of them a little.
    uncertain = KINDS["saddle_to_grip"].spread ** 2
    for place in range(len(others)):
        step = np.zeros(len(others))
        step[place] = 0.01
        moved = fix_points(taped(BIKE, others, step))
        change = expected("saddle_to_grip", moved.values) - expected("saddle_to_grip", known.values)
        uncertain += (change / 0.01) ** 2
    fault = spreads * np.sqrt(uncertain) / KINDS["saddle_to_grip"].spread
    found = 0
    for _ in range(trials):
        noise = random.standard_normal(len(kinds))
        noise[at] += fault
        found += bool(fix_points(taped(BIKE, kinds, noise)).suspects)
    assert found / trials >= 0.95 - 3 * np.sqrt(0.05 * 0.95 / trials)


def test_the_one_at_fault_is_named() -> None:
    noise = np.zeros(len(ALL))
    noise[ALL.index("wheelbase")] = 8.0
    (suspect,) = fix_points(taped(BIKE, ALL, noise)).suspects
    assert (suspect.kind, suspect.place) == ("wheelbase", ALL.index("wheelbase"))
    assert suspect.expected == pytest.approx(1190.0, abs=0.2)


def test_two_that_cannot_be_told_apart_are_both_named() -> None:
    found = fix_points([Measured(kind="wheelbase", value=v) for v in (1180.0, 1200.0)])
    assert [s.place for s in found.suspects] == [0, 1]


@given(squares=st.floats(0, 200), freedom=st.integers(1, 40))
def test_chance_is_scipys(squares: float, freedom: int) -> None:
    assert chance_of_more(squares, freedom) == pytest.approx(chi2.sf(squares, freedom), abs=1e-12)


def test_what_helps_most_is_asked_for_until_all_is_taken() -> None:
    taken: list[str] = []
    while (kind := most_telling(taped(BIKE, taken))) is not None:
        assert kind not in taken
        taken.append(kind)
    assert set(taken) == set(ALL)
    # Four coordinates are wanted above a floor of unknown depth: five readings tell them at best.
    found = fix_points(taped(BIKE, taken[:5]))
    assert np.isfinite([*found.point("saddle")[0], *found.point("grip")[0]]).all()
