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
    assert covariance.shape == (2, 2)
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


def told(lengths: Mapping[str, float]) -> list[Measured]:
    return [Measured(kind=kind, value=value) for kind, value in lengths.items()]


# What does not close, by how much it must not miss, and the spreads of its readings [CP].
HARDLY: dict[str, tuple[dict[str, float], str, float, tuple[float, ...]]] = {
    "three distances": (
        {"bb_to_rear_axle": 430.0, "bb_to_front_axle": 690.0, "wheelbase": 1120.0},
        "wheelbase", 1.0, (2.0, 2.0, 2.0),
    ),
    "distances of unlike spread": (
        {"bb_to_rear_axle": 430.0, "bb_to_saddle": 720.0, "saddle_to_rear_axle": 290.0},
        "saddle_to_rear_axle", -1.0, (2.0, 3.0, 3.0),
    ),
    "two heights": (
        {"bb_to_saddle": 700.0, "bb_above_floor": 300.0, "saddle_above_floor": 1000.0},
        "bb_to_saddle", -1.0, (3.0, 2.0, 3.0),
    ),
    "a height and a wheel": (
        {"grip_to_front_axle": 640.0, "grip_above_floor": 990.0, "front_wheel_round": 700 * np.pi},
        "grip_to_front_axle", -1.0, (3.0, 3.0, 3.0 / (2.0 * np.pi)),
    ),
    "a plumb line": (
        {"bb_to_saddle": 500.0, "saddle_behind_bb": 500.0}, "saddle_behind_bb", 1.0, (3.0, 4.0),
    ),
    "a saddle ahead": (
        {"bb_to_saddle": 500.0, "saddle_behind_bb": -500.0}, "saddle_behind_bb", -1.0, (3.0, 4.0),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", HARDLY)
def test_six_spreads_together_may_be_missing(name: str) -> None:
    """[CP] Errors add by their squares; six of their spread happen to no careful reading."""
    lengths, kind, sign, spreads = HARDLY[name]
    most = 6.0 * float(np.sqrt(sum(spread**2 for spread in spreads)))
    fix_points(told({**lengths, kind: lengths[kind] + sign * 0.996 * most}))
    value = lengths[kind] + sign * 1.004 * most
    with pytest.raises(ContradictoryInput) as error:
        fix_points(told({**lengths, kind: value}))
    longest = "bb_to_saddle" if name == "distances of unlike spread" else kind
    assert (error.value.field, error.value.value) == (longest, {**lengths, kind: value}[longest])


def test_what_lies_just_above_its_wheel_is_measured() -> None:
    """Floor to axle 350 mm; a grip or saddle 2 mm above that is odd and yet may be."""
    for point, wheel in (("grip", "front"), ("saddle", "rear")):
        lengths = {f"{point}_above_floor": 352.0, f"{wheel}_wheel_round": 700.0 * np.pi}
        assert fix_points(told(lengths)).value(f"{wheel}_radius") == pytest.approx(350.0)
        with pytest.raises(ContradictoryInput) as error:
            fix_points(told({**lengths, f"{point}_above_floor": 349.0}))
        assert error.value.value == 349.0


def test_two_readings_of_one_length_part_at_one_in_twenty() -> None:
    """By scipy's χ² of one degree: (difference)² over the sum of the squared spreads."""
    limit = float(np.sqrt(chi2.isf(0.05, 1) * (2.0**2 + 2.0**2)))
    for apart, blamed in ((0.999 * limit, 0), (1.001 * limit, 2)):
        found = fix_points(
            [Measured(kind="wheelbase", value=value) for value in (1180.0, 1180.0 + apart)]
        )
        assert found.checked == 2
        assert len(found.suspects) == blamed
    first, second = found.suspects
    assert first.residual == pytest.approx(-apart / 2)
    assert (first.size, second.size) == pytest.approx([apart / np.hypot(2.0, 2.0)] * 2)
    assert (first.expected, second.expected) == pytest.approx((1180.0 + apart, 1180.0))


def test_a_finer_reading_weighs_by_the_square_of_its_spread() -> None:
    """A mean of 1180 ± 2 and 1190 ± 1, by weights 1 and 4; ± 2/√5."""
    found = fix_points(
        [
            Measured(kind="bb_above_floor", value=300.0),
            Measured(kind="bb_above_floor", value=310.0, spread=1.0),
        ]
    )
    assert found.value("bb_height") == pytest.approx(308.0)
    assert found.spread("bb_height") == pytest.approx(2.0 / np.sqrt(5.0))
    assert np.isnan(found.covariance[0, 1:]).all()
    assert np.isnan(found.covariance[1:, 0]).all()


def kalman(covariance: FloatArray, kind: str, spread: float, state: FloatArray) -> FloatArray:
    """What a reading leaves of a covariance; its slopes by differences."""
    slope = np.array(
        [(expected(kind, state + e) - expected(kind, state - e)) / 2e-3 for e in 1e-3 * np.eye(9)]
    )
    moved = covariance @ slope
    return np.asarray(covariance - np.outer(moved, moved) / (slope @ moved + spread**2))


@pytest.mark.parametrize(
    "taken",
    [
        (), NEEDED, (*NEEDED, "saddle_to_grip"), NEEDED[:5],
        ("bb_to_rear_axle", "bb_to_front_axle"),
    ],
)  # fmt: skip
def test_what_helps_most_leaves_the_least_by_kalman_s_step(taken: Sequence[str]) -> None:
    """Ordinary bikes differ by 25 mm in BB height, axles and wheels, 70 to 110 mm elsewhere
    [CP]; after each reading that is left is told, and the least of four coordinates wins."""
    ordinary = np.array([310.0, -190.0, 700.0, 430.0, 690.0, -430.0, 760.0, 365.0, 365.0])
    covariance = np.diag([25.0, 80.0, 90.0, 90.0, 110.0, 25.0, 70.0, 25.0, 25.0]) ** 2
    measured = taped(ordinary, taken)
    for each in measured:
        covariance = kalman(covariance, each.kind, each.spread, ordinary)
    left = {
        kind: float(np.diag(kalman(covariance, kind, KINDS[kind].spread, ordinary))[1:5].sum())
        for kind in ALL
        if kind not in taken
    }
    found = most_telling(measured)
    assert found is not None
    assert left[found] == pytest.approx(min(left.values()), rel=1e-6)
    among = sorted(left, key=lambda kind: -left[kind])[:4]
    helps = most_telling(measured, among=among)
    assert helps in among
    assert left[helps] == pytest.approx(min(left[kind] for kind in among), rel=1e-6)


def test_nothing_measured_is_refused() -> None:
    with pytest.raises(InvalidInput) as error:
        fix_points([])
    assert (error.value.field, error.value.value) == ("measured", 0)


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
