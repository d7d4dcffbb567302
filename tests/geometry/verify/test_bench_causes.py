"""Causes together, found where the readings separate them and said to be unclear where not.

Simulated bikes with known causes; and odds against a posterior computed by brute force:
every explanation's sizes on a grid, each point a bike stood on the ground by the solver.
"""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from geometry.bike.whole_bike import Bike, moved
from geometry.core.angles import FloatArray
from geometry.examples.trail_bike import trail_build
from geometry.uncertainty.tolerance import Tolerance, Tolerances, applying, standard_deviation
from geometry.verify.bench_causes import NONE_OF_THESE, ranking
from geometry.verify.bench_plan import Plan, observed, plan
from geometry.verify.bench_readings import Gauge
from geometry.verify.bench_result import BenchReport, Reading, bench_check
from geometry.verify.bench_sets import MISREADING, PRESENT, TOGETHER

BIKE = Bike(build=trail_build(9.0))
# Head angle 0.2°, wheelbase 2 mm, trail 2 mm, offset 1 mm: [R] Moore, Human Control of a Bicycle,
# UC Davis 2012, chapter Physical Parameters. The others are common practice [CP].
ALL = {
    "head_angle": 0.2, "seat_tube_angle": 0.2, "wheelbase": 2.0, "rear_centre": 1.0,
    "front_centre": 2.0, "chainstay_length": 1.0, "bb_height": 1.0, "bb_drop": 1.0, "trail": 2.0,
    "reach": 2.0, "stack": 2.0, "build.front_radius": 1.0, "build.rear_radius": 1.0,
    "fork.axle_to_crown": 1.0, "fork.offset": 1.0,
}  # fmt: skip
FEW = {key: ALL[key] for key in (
    "head_angle", "wheelbase", "front_centre", "chainstay_length", "bb_height", "reach", "stack",
)}  # fmt: skip
MADE: Tolerances = {
    key: Tolerance(half_width=width)
    for key, width in {
        "frame.reach": 2.0, "frame.stack": 2.0, "frame.head_angle": 0.2,
        "frame.seat_tube_angle": 0.2, "frame.chainstay_length": 1.5, "frame.bb_drop": 1.5,
        "fork.axle_to_crown": 3.0, "fork.offset": 1.0, "build.front_radius": 3.0,
        "build.rear_radius": 3.0, "build.slot_position": 1.0,
    }.items()
}  # fmt: skip
Names = frozenset[tuple[str, str]]


def measured(
    rng: np.random.Generator,
    spreads: dict[str, float],
    off: dict[str, float],
    misread: dict[str, float],
) -> list[Reading]:
    """A bike made within its tolerances, with something off, read with ordinary errors."""
    changes = {
        key: rng.normal(0.0, float(standard_deviation(one))) + off.get(key, 0.0)
        for key, one in applying(BIKE, MADE).items()
    }
    values = observed(moved(BIKE, changes))
    return [
        Reading(
            key=key,
            value=float(values[key]) + rng.normal(0.0, spread) + misread.get(key, 0.0),
            spread=spread,
        )
        for key, spread in spreads.items()
    ]


def standing(report: BenchReport) -> list[Names]:
    """The likeliest explanation and its rivals, by what they hold to be wrong."""
    kept = [*report.explanations[:1], *report.rivals]
    return [frozenset((c.kind, c.key) for c in one.causes) for one in kept]


TYRES = {"build.front_radius": -10.0, "build.rear_radius": 10.0}
LARGER = {"build.front_radius": 10.0, "build.rear_radius": 10.0}
TYRE_AND_FORK = {"build.rear_radius": -12.0, "fork.axle_to_crown": 20.0}


@pytest.mark.parametrize(
    ("spreads", "off", "misread", "told"),
    [
        pytest.param(ALL, TYRES, {}, True, id="tyres swapped"),
        pytest.param(ALL, LARGER, {}, True, id="both tyres larger"),
        pytest.param(ALL, TYRE_AND_FORK, {}, True, id="tyre and fork"),
        pytest.param(ALL, {"build.rear_radius": 12.0}, {"reach": 25.0}, True, id="tyre, reach"),
        pytest.param(ALL, {}, {"wheelbase": 20.0, "reach": -30.0}, True, id="two misread"),
        pytest.param(ALL, {"frame.head_angle": 1.0}, {}, True, id="head angle"),
        # Seven readings, neither wheel nor fork among them: BB height misread would do as well.
        pytest.param(FEW, LARGER, {}, False, id="both larger, few readings"),
        pytest.param(FEW, TYRE_AND_FORK, {}, False, id="tyre and fork, few readings"),
    ],
)
def test_causes_together_are_found_or_said_to_be_unclear(
    spreads: dict[str, float], off: dict[str, float], misread: dict[str, float], told: bool
) -> None:
    rng = np.random.default_rng(7)
    truth = frozenset([("off", key) for key in off] + [("misread", key) for key in misread])
    reports = [bench_check(BIKE, measured(rng, spreads, off, misread), MADE) for _ in range(5)]
    decided = {"one cause", "more than one cause"}
    found = [truth in standing(report) for report in reports]
    wrong = [r.verdict in decided and standing(r)[0] != truth for r in reports]
    clear = [r.verdict in decided for r in reports]
    assert sum(wrong) <= (0 if told else 1)
    assert sum(found) >= (5 if told else 4)
    assert sum(clear) >= 4 if told else sum(clear) <= 1


def test_a_verdict_and_its_odds_never_gainsay_each_other() -> None:
    """Whatever is read, nonsense too: the verdict follows from the odds that stand beside it."""
    rng = np.random.default_rng(11)
    seen = set()
    for case in range(0, 24, 2):
        worse = rng.choice([0.0, 1.0], len(ALL)) * rng.normal(0.0, 2.0**case / 100.0, len(ALL))
        wrong = dict(zip(ALL, worse.tolist(), strict=True))
        report = bench_check(BIKE, measured(rng, ALL, {}, wrong), MADE)
        seen.add(report.verdict)
        if not report.alarm:
            assert report.verdict == "as built"
            continue
        odds = [one.odds for one in report.explanations]
        assert sum(odds) + report.none_of_these == pytest.approx(1.0)
        if report.verdict == "not explained":
            assert max(odds, default=0.0) <= 0.5
        if report.verdict in {"one cause", "more than one cause"}:
            assert odds[0] > 0.5
            assert (len(report.explanations[0].causes) == 1) == (report.verdict == "one cause")
    assert {"not explained", "as built"} <= seen


@pytest.mark.parametrize("length", [-150.0, 150.0])
def test_no_part_is_blamed_for_what_it_cannot_be(length: float) -> None:
    """Read as if the fork were 150 mm longer: nobody built that, and no fork is named."""
    report = bench_check(
        BIKE, measured(np.random.default_rng(5), ALL, {"fork.axle_to_crown": length}, {}), MADE
    )
    named = {c.key for one in report.explanations for c in one.causes if c.kind == "off"}
    assert "fork.axle_to_crown" not in named
    assert report.verdict == "not explained"


def test_inches_among_millimetres_are_blamed_on_no_part() -> None:
    taken = measured(np.random.default_rng(6), ALL, {}, {})
    inches = [
        Reading(
            key=r.key, value=r.value / 25.4 if "angle" not in r.key else r.value, spread=r.spread
        )
        for r in taken
    ]
    assert bench_check(BIKE, inches, MADE).verdict == "not explained"


class TestContradictions:
    def test_the_reading_that_two_of_them_share_is_at_fault(self) -> None:
        taken = measured(np.random.default_rng(8), ALL, {}, {"rear_centre": 12.0})
        found = [one for one in bench_check(BIKE, taken, MADE).contradictions if one.beyond]
        assert {one.formula for one in found} == {"CS² = RC² + D²", "W = RC + FC"}
        for one in found:
            assert next(iter(one.blamed)) == "rear_centre"
            assert one.blamed["rear_centre"] > 0.9
            assert abs(abs(one.size) - 12.0) < 5.0

    def test_one_alone_cannot_say_which(self) -> None:
        keys = ("wheelbase", "rear_centre", "front_centre")
        values = observed(BIKE)
        taken = [Reading(key=k, value=float(values[k]), spread=2.0) for k in keys]
        taken[0] = Reading(key="wheelbase", value=float(values["wheelbase"]) + 25.0, spread=2.0)
        (found,) = bench_check(BIKE, taken, MADE).contradictions
        assert found.beyond
        assert max(found.blamed.values()) < 0.5
        assert min(found.blamed.values()) > 0.2

    def test_no_part_is_blamed_while_a_contradiction_stands(self) -> None:
        """A long chainstay, and rear centre and drop read so that they contradict it."""
        taken = measured(
            np.random.default_rng(9), ALL, {"frame.chainstay_length": 8.0}, {"rear_centre": -15.0}
        )
        report = bench_check(BIKE, taken, MADE)
        failing = [one for one in report.contradictions if one.beyond]
        assert failing
        for explanation in report.explanations:
            misread = {c.reading for c in explanation.causes if c.kind == "misread"}
            assert all(misread & one.readings for one in failing)
        assert ("misread", "rear_centre") in standing(report)[0]

    def test_a_free_wheel_radius_is_the_radius_of_a_relation(self) -> None:
        keys = ("bb_height", "bb_drop", "build.rear_radius")
        values = observed(BIKE)
        taken = [Reading(key=k, value=float(values[k]), spread=1.0) for k in keys]
        taken[2] = Reading(key=keys[2], value=float(values[keys[2]]) + 9.0, spread=1.0)
        (found,) = bench_check(BIKE, taken, MADE).contradictions
        assert (found.formula, found.readings) == ("H + D = Rr", frozenset({0, 1, 2}))
        assert found.size == pytest.approx(-9.0)


# --- against a posterior computed by brute force ----------------------------------------

SUSPECTS = {"build.front_radius": 5.0, "build.rear_radius": 5.0, "fork.axle_to_crown": 10.0}
READ = {"bb_height": 1.0, "wheelbase": 2.0, "head_angle": 0.2, "trail": 2.0, "bb_drop": 1.0}
_STEPS = 161


def by_brute_force(made: Plan, values: FloatArray) -> dict[Names, float]:
    """The odds of every explanation of one cause or two.

    Every size is laid on a grid of `_STEPS` points over ± 5 of its standard deviations, a
    misreading over ± 40 of the reading's σ; every point is one bike on the ground, its readings'
    normal likelihood is taken, and the sum over the grid is the integral. No slopes, no least
    squares, no Laplace.
    """
    causes = [("off", key, scale, PRESENT) for key, scale in SUSPECTS.items()] + [
        ("misread", key, times * spread, PRESENT / 2)
        for key, spread in READ.items()
        for times in MISREADING
    ]
    odds: dict[Names, float] = {}
    for size in (1, 2):
        for some in combinations(causes, size):
            name = frozenset(one[:2] for one in some)
            if len(name) == size:
                odds[name] = odds.get(name, 0.0) + _weight(made, values, list(some))
    clean = _likelihood(made, values - made.predicted)
    scatters = [2.0**k for k in range(1, 8)]
    squares = float((values - made.predicted) @ made.inverse @ (values - made.predicted))
    worse = [np.exp(0.5 * squares * (1 - s**-2)) / s ** len(values) for s in scatters]
    none = NONE_OF_THESE / (1 - NONE_OF_THESE) * float(clean) * float(np.mean(worse))
    total = sum(odds.values()) + none
    return {name: value / total for name, value in odds.items()}


def _weight(made: Plan, values: FloatArray, some: list[tuple[str, str, float, float]]) -> float:
    wide = [min(5.0 * scale, 40.0 * READ.get(key, np.inf)) for _, key, scale, _ in some]
    axes = [np.linspace(-half, half, _STEPS) for half in wide]
    grids = np.meshgrid(*axes, indexing="ij")
    off = {key: grid for (kind, key, _, _), grid in zip(some, grids, strict=True) if kind == "off"}
    read = observed(moved(BIKE, off)) if off else observed(BIKE)
    left = [
        values[i] - np.broadcast_to(np.asarray(read[gauge.key]), grids[0].shape)
        for i, gauge in enumerate(made.gauges)
    ]
    density = np.ones(grids[0].shape)
    for (kind, key, scale, present), grid, half in zip(some, grids, wide, strict=True):
        density = density * np.exp(-0.5 * (grid / scale) ** 2) / np.sqrt(2 * np.pi) / scale
        density = density * (2.0 * half / (_STEPS - 1)) * present / (1 - present)
        if kind == "misread":
            i = list(READ).index(key)
            left[i] = left[i] - grid
    if frozenset(key for _, key, _, _ in some) == TOGETHER:
        density = density * (1 - PRESENT) / PRESENT
    return float((_likelihood(made, np.stack(left, axis=-1)) * density).sum())


def _likelihood(made: Plan, left: FloatArray) -> FloatArray:
    return np.asarray(np.exp(-0.5 * np.einsum("...i,ij,...j->...", left, made.inverse, left)))


@pytest.mark.parametrize(
    ("off", "misread"),
    [
        (TYRES, {}),
        ({"build.rear_radius": 7.0}, {}),
        ({}, {"wheelbase": 11.0}),
        ({"fork.axle_to_crown": 15.0}, {"bb_height": -6.0}),
    ],
)
def test_odds_agree_with_a_posterior_by_brute_force(
    off: dict[str, float], misread: dict[str, float]
) -> None:
    made = plan(BIKE, [Gauge(key=k, spread=s) for k, s in READ.items()], MADE, SUSPECTS)
    rng = np.random.default_rng(13)
    values = np.array([one.value for one in measured(rng, READ, off, misread)])
    ours = ranking(BIKE, made, values, most=2)
    outside = by_brute_force(made, values)
    # A cause's chance to be part of what is wrong: the sum over all that hold it.
    for cause in ours.causes:
        if cause.odds > 0.005:
            expected = sum(p for names, p in outside.items() if (cause.kind, cause.key) in names)
            assert cause.odds == pytest.approx(expected, abs=0.01)
    assert ours.none_of_these == pytest.approx(1.0 - sum(outside.values()), abs=0.01)
    best = max(outside, key=lambda name: outside[name])
    assert standing_names(ours.explanations[0].causes) == best


def standing_names(causes: tuple[object, ...]) -> Names:
    return frozenset((c.kind, c.key) for c in causes)  # type: ignore[attr-defined]
