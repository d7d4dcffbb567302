"""How often the bench check finds a misread value, and how often it raises a false alarm.

Simulated, with fixed seeds: bikes are drawn at random within their tolerances and
stood on the ground by the exact solver; every reading gets a normal error of its
own spread; then one reading, taken at random, is misread. The alarm is the one
that `bench_check` raises.

Two kinds of bike. A *known* bike's parts were measured before it was put together,
so that its figures are known much better than they are read. An *ordinary* bike
is known from the drawing and the part makers' dimensions only.

Two kinds of misreading, either side with equal chance:
*noted wrongly*: the value noted is so far from the truth (the misreading takes the
place of the reading's ordinary error); *added*: so much is added to a reading that
already has its ordinary error.

No test can find 95 of 100 misreadings of exactly 3 σ that are added to the ordinary
error while raising at most 5 false alarms in 100 (Neyman and Pearson's lemma: at
most Φ(3 − 1.645) = 91 of 100, even knowing which reading and which side). The aim
of 95 of 100 is held for misreadings of 3 σ and more, noted wrongly, on a known
bike; what is attained at exactly 3 σ, and on an ordinary bike, stands here as it is.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import erf, sqrt
from typing import Literal

import numpy as np
import pytest
from numpy.typing import NDArray

from geometry.bike.whole_bike import Bike, moved
from geometry.core.angles import FloatArray
from geometry.examples.trail_bike import trail_build
from geometry.uncertainty.tolerance import Tolerance, Tolerances, applying, standard_deviation
from geometry.verify.bench_plan import Plan, observed, plan
from geometry.verify.bench_readings import Gauge
from geometry.verify.bench_result import Reading, bench_check
from tests.geometry.verify.good_shop import SPREADS

BIKE = Bike(build=trail_build(9.0))
CASES = 20_000

FIVE = {key: SPREADS[key] for key in ("head_angle", "wheelbase", "chainstay_length", "bb_height")}
FIVE["trail"] = SPREADS["trail"]

_KNOWN = {
    "frame.reach": 0.4,
    "frame.stack": 0.4,
    "frame.head_angle": 0.04,
    "frame.seat_tube_angle": 0.04,
    "frame.chainstay_length": 0.3,
    "frame.bb_drop": 0.3,
    "fork.axle_to_crown": 0.4,
    "fork.offset": 0.2,
    "build.front_radius": 0.2,
    "build.rear_radius": 0.2,
    "build.slot_position": 0.2,
}
_ORDINARY = {
    "frame.reach": 2.0,
    "frame.stack": 2.0,
    "frame.head_angle": 0.2,
    "frame.seat_tube_angle": 0.2,
    "frame.chainstay_length": 1.5,
    "frame.bb_drop": 1.5,
    "fork.axle_to_crown": 3.0,
    "fork.offset": 1.0,
    "build.front_radius": 3.0,
    "build.rear_radius": 3.0,
    "build.slot_position": 1.0,
}
KNOWN: Tolerances = {key: Tolerance(half_width=width) for key, width in _KNOWN.items()}
ORDINARY: Tolerances = {key: Tolerance(half_width=width) for key, width in _ORDINARY.items()}

IndexArray = NDArray[np.intp]
How = Literal["noted wrongly", "added"]


@dataclass(frozen=True)
class Bench:
    """Many simulated bikes on the bench: what they truly read, and what is read of them."""

    made: Plan
    truth: FloatArray
    noise: FloatArray
    rng: np.random.Generator

    @classmethod
    def simulate(cls, spreads: dict[str, float], tolerances: Tolerances, seed: int) -> Bench:
        made = plan(BIKE, [Gauge(key=k, spread=s) for k, s in spreads.items()], tolerances)
        rng = np.random.default_rng(seed)
        drawn = {
            key: rng.normal(0.0, float(standard_deviation(one)), CASES)
            for key, one in applying(BIKE, tolerances).items()
        }
        values = observed(moved(BIKE, drawn))
        truth = np.stack([np.broadcast_to(values[key], CASES) for key in spreads], axis=1)
        return cls(made, truth, rng.normal(size=truth.shape) * made.spreads, rng)

    def clean(self) -> FloatArray:
        """Readings (CASES, m) with their ordinary errors only [mm, deg]."""
        return self.truth + self.noise

    def misread(self, sizes: FloatArray | float, how: How) -> tuple[FloatArray, IndexArray]:
        """Readings with one misread by ``sizes`` [σ], and which one."""
        row, who = np.arange(CASES), self.rng.integers(0, len(self.made.gauges), CASES)
        wrong = self.rng.choice([-1.0, 1.0], CASES) * sizes * self.made.spreads[who]
        readings = self.clean()
        if how == "noted wrongly":
            readings[row, who] = self.truth[row, who]
        readings[row, who] += wrong
        return readings, who

    def alarms(self, readings: FloatArray) -> float:
        """Share of cases in which the alarm is raised."""
        return float(np.mean(self.made.alarm(readings - self.made.predicted)))

    def named(self, readings: FloatArray, who: IndexArray) -> float:
        """Share of cases in which the misread value is the likeliest of all readings."""
        numbers = np.abs(self.made.statistics(readings - self.made.predicted))
        first = numbers.shape[1] - len(self.made.suspects) - len(self.made.gauges)
        which = numbers[:, first : first + len(self.made.gauges)].argmax(axis=1)
        return float(np.mean(which == who))


def from_three_up(bench: Bench) -> FloatArray:
    """Sizes [σ] from 3 to 10, all alike likely."""
    return bench.rng.uniform(3.0, 10.0, CASES)


SCENES = [
    pytest.param(SPREADS, KNOWN, id="ten readings, known bike"),
    pytest.param(FIVE, KNOWN, id="five readings, known bike"),
    pytest.param(SPREADS, ORDINARY, id="ten readings, ordinary bike"),
    pytest.param(FIVE, ORDINARY, id="five readings, ordinary bike"),
]


@pytest.mark.parametrize(("spreads", "tolerances"), SCENES)
def test_at_most_five_false_alarms_in_a_hundred(
    spreads: dict[str, float], tolerances: Tolerances
) -> None:
    bench = Bench.simulate(spreads, tolerances, seed=101)
    assert 0.035 < bench.alarms(bench.clean()) <= 0.05


@pytest.mark.parametrize(("spreads", "tolerances"), SCENES[:2])
def test_misreadings_from_three_sigma_up_are_found_on_a_known_bike(
    spreads: dict[str, float], tolerances: Tolerances
) -> None:
    bench = Bench.simulate(spreads, tolerances, seed=102)
    readings, who = bench.misread(from_three_up(bench), "noted wrongly")
    assert bench.alarms(readings) >= 0.95
    assert bench.named(readings, who) >= 0.95


# What is attained, as simulated; no outside figures. Within 0.02: the chance of 20,000
# cases, and the draw of the threshold, on which 3 σ noted wrongly stands on a knife's edge.
ATTAINED = [
    # spreads, tolerances, how, size [σ] or None for 3 to 10, share found
    (SPREADS, KNOWN, "noted wrongly", None, 0.995),
    (SPREADS, KNOWN, "noted wrongly", 3.0, 0.625),
    (SPREADS, KNOWN, "noted wrongly", 3.5, 1.00),
    (FIVE, KNOWN, "noted wrongly", 3.0, 0.946),
    (SPREADS, KNOWN, "added", None, 0.949),
    (FIVE, KNOWN, "added", None, 0.962),
    (SPREADS, KNOWN, "added", 3.0, 0.553),
    (FIVE, KNOWN, "added", 3.0, 0.63),
    (SPREADS, ORDINARY, "noted wrongly", None, 0.929),
    (SPREADS, ORDINARY, "noted wrongly", 3.0, 0.293),
    (SPREADS, ORDINARY, "added", None, 0.903),
    (FIVE, ORDINARY, "noted wrongly", None, 0.928),
]


@pytest.mark.parametrize(("spreads", "tolerances", "how", "size", "share"), ATTAINED)
def test_what_is_attained(
    spreads: dict[str, float], tolerances: Tolerances, how: How, size: float | None, share: float
) -> None:
    bench = Bench.simulate(spreads, tolerances, seed=103)
    readings, _ = bench.misread(from_three_up(bench) if size is None else size, how)
    assert bench.alarms(readings) == pytest.approx(share, abs=0.02)


@pytest.mark.parametrize(("spreads", "tolerances"), SCENES)
def test_nothing_beats_the_theory_at_three_sigma(
    spreads: dict[str, float], tolerances: Tolerances
) -> None:
    """Below Φ(3 − 1.645), the most powerful test of one known reading and side."""
    bench = Bench.simulate(spreads, tolerances, seed=104)
    readings, _ = bench.misread(3.0, "added")
    assert bench.alarms(readings) < normal(3.0 - 1.645)


def test_one_question_has_the_power_of_the_two_sided_test() -> None:
    """One reading, nothing else in doubt: the textbook power Φ(3 − c) + Φ(−3 − c)."""
    made = plan(BIKE, [Gauge(key="trail", spread=2.0)], {}, {})
    assert made.threshold == pytest.approx(1.986, abs=0.015)  # z of 1 − 0.047 / 2
    draws = np.random.default_rng(105).normal(3.0, 1.0, CASES)[:, None] * 2.0
    power = normal(3.0 - made.threshold) + normal(-3.0 - made.threshold)
    assert np.mean(made.alarm(draws)) == pytest.approx(power, abs=0.01)


@pytest.mark.parametrize(("spreads", "tolerances"), SCENES)
def test_the_detectable_size_is_found_in_ninety_five_of_a_hundred(
    spreads: dict[str, float], tolerances: Tolerances
) -> None:
    bench = Bench.simulate(spreads, tolerances, seed=106)
    for i, size in enumerate(bench.made.detectable):
        readings = bench.clean()
        readings[:, i] += size
        # Other questions raise the alarm now and then where this one does not.
        assert 0.945 <= bench.alarms(readings) <= 0.975


def test_bench_check_raises_the_very_alarm_that_is_simulated() -> None:
    bench = Bench.simulate(SPREADS, KNOWN, seed=107)
    readings, who = bench.misread(from_three_up(bench), "noted wrongly")
    expected = bench.made.alarm(readings - bench.made.predicted)
    named = 0
    for values, alarm, index in zip(readings[:25], expected[:25], who[:25], strict=True):
        taken = [
            Reading(key=key, value=value, spread=SPREADS[key])
            for key, value in zip(SPREADS, values, strict=True)
        ]
        report = bench_check(BIKE, taken, KNOWN)
        assert report.alarm == alarm
        named += bool(report.alarm and report.causes[0].reading == index)
    assert named >= 22


def normal(z: float) -> float:
    """Standard normal distribution function."""
    return 0.5 * (1.0 + erf(z / sqrt(2.0)))
