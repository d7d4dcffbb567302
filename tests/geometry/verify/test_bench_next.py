"""What to measure next: the reading whose values under the causes lie furthest apart."""

from __future__ import annotations

import math

import pytest

from geometry.bike.whole_bike import Bike, moved
from geometry.core.errors import InvalidInput
from geometry.examples.trail_bike import trail_build
from geometry.uncertainty.tolerance import Tolerance, Tolerances
from geometry.verify.bench_causes import Cause, Explanation
from geometry.verify.bench_next import next_reading
from geometry.verify.bench_plan import observed
from geometry.verify.bench_readings import Gauge
from geometry.verify.bench_result import Reading, bench_check

BIKE = Bike(build=trail_build(9.0))
MADE: Tolerances = {
    "fork.axle_to_crown": Tolerance(half_width=3.0),
    "build.rear_radius": Tolerance(half_width=2.0),
}
SPREADS = {"bb_height": 2.0, "wheelbase": 2.0, "head_angle": 0.2, "trail": 2.0}
FURTHER = {
    "fork.axle_to_crown": 1.0,
    "front_radius": 0.5,
    "rear_radius": 0.5,
    "reach": 2.0,
    "build.slot_position": 0.5,
}
GAUGES = [Gauge(key=key, spread=spread) for key, spread in FURTHER.items()]


def test_the_reading_that_is_furthest_apart_comes_first() -> None:
    values = observed(moved(BIKE, {"state.fork_compression": 25.0}))
    taken = [Reading(key=k, value=float(values[k]), spread=s) for k, s in SPREADS.items()]
    report = bench_check(BIKE, taken, MADE)
    assert report.verdict == "cannot be told apart"
    standing = [
        next(e for e in report.explanations if [c.key for c in e.causes] == [key])
        for key in ("state.fork_compression", "fork.axle_to_crown")
    ]
    best, *others = next_reading(BIKE, standing, GAUGES, MADE)
    assert best.key == "fork.axle_to_crown"
    assert best.apart > 2.0
    assert all(other.apart < 0.5 for other in others)


def test_taking_that_reading_settles_it() -> None:
    """The advice is followed: the second check no longer holds the fork's length for it."""
    values = observed(moved(BIKE, {"state.fork_compression": 25.0}))
    spreads = {**SPREADS, "fork.axle_to_crown": 1.0}
    taken = [Reading(key=k, value=float(values[k]), spread=s) for k, s in spreads.items()]
    report = bench_check(BIKE, taken, MADE)
    standing = {c.key for e in (report.explanations[0], *report.rivals) for c in e.causes}
    assert "fork.axle_to_crown" not in standing


def off(key: str, change: float) -> Explanation:
    """That one input is off, and nothing else."""
    value = float(observed(BIKE)[key])
    cause = Cause(
        kind="off", key=key, reading=None, now=value, then=value + change, change=change,
        spread=1.0, odds=0.5,
    )  # fmt: skip
    return Explanation(causes=(cause,), odds=0.5, left=0.0)


def test_how_far_apart_is_told_in_spreads_of_the_reading_and_of_the_bike() -> None:
    """Wheels are read to 0.5 mm and made to ± 2 mm, which is twice their spread of 1 mm."""
    wheel = float(observed(BIKE)["rear_radius"])
    causes = [off("build.rear_radius", 6.0), off("fork.offset", 9.0), off("fork.offset", -9.0)]
    gauges = [Gauge(key="fork.offset", spread=2.0), Gauge(key="rear_radius", spread=0.5)]
    first, second = next_reading(BIKE, causes, gauges, MADE)
    assert (first.key, second.key) == ("rear_radius", "fork.offset")
    assert first.values == pytest.approx((wheel + 6.0, wheel, wheel))
    assert first.apart == pytest.approx(6.0 / math.hypot(0.5, 1.0))
    # No tolerance of the offset is known: the nearer of the two others is 9 mm away, read to 2 mm.
    assert second.apart == pytest.approx(9.0 / 2.0)
    misread = Cause(
        kind="misread", key="rear_radius", reading=0, now=wheel + 6.0, then=wheel, change=-6.0,
        spread=1.0, odds=0.5,
    )  # fmt: skip
    as_drawn = Explanation(causes=(misread,), odds=0.5, left=0.0)
    (told,) = next_reading(BIKE, [as_drawn, causes[0]], gauges[1:], MADE)
    assert told.values == pytest.approx((wheel, wheel + 6.0)), "a slip changes nothing of the bike"


def test_bad_input_is_refused() -> None:
    values = observed(moved(BIKE, {"build.rear_radius": 12.0}))
    taken = [Reading(key=k, value=float(values[k]), spread=s) for k, s in SPREADS.items()]
    found = bench_check(BIKE, taken, MADE).explanations
    with pytest.raises(InvalidInput) as caught:
        next_reading(BIKE, found[:1], GAUGES, MADE)
    assert caught.value.field == "standing"
    with pytest.raises(InvalidInput) as caught:
        next_reading(BIKE, found[:2], [Gauge(key="grip_height", spread=1.0)], MADE)
    assert caught.value.value == "grip_height"
