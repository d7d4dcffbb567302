"""What can be off and by how much, on readings of the very input: every limit from both sides."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm

from geometry.bike.whole_bike import Bike
from geometry.examples.trail_bike import trail_build, trail_cockpit
from geometry.verify.bench_causes import DECISIVE, NONE_OF_THESE, _none_of_these
from geometry.verify.bench_fit import Fitted, fitted
from geometry.verify.bench_plan import COMMON_CAUSES, observed, plan
from geometry.verify.bench_readings import Gauge, repeats
from geometry.verify.bench_result import Reading, bench_check
from geometry.verify.bench_sets import MISREADING, MOST_CAUSES, PRESENT, Weights

BIKE = Bike(build=trail_build(9.0), cockpit=trail_cockpit())
SPREAD = 0.1


def off(key: str, by: float, usual: float = 10.0) -> Fitted | None:
    """The fit that blames one input, which is read to 0.1 mm, for being so far off."""
    made = plan(BIKE, [Gauge(key=key, spread=SPREAD)], {}, {key: usual})
    found = fitted(BIKE, made, np.array([float(observed(BIKE)[key]) + by]))
    return next((one for one in found if [c.kind for c in one.causes] == ["off"]), None)


@pytest.mark.parametrize("by", [-20.0, 3.0, 49.0])
def test_one_reading_of_one_input_is_believed_as_its_prior_allows(by: float) -> None:
    """Normal prior and normal error: the mean and spread of their product, by hand."""
    found = off("fork.axle_to_crown", by)
    assert found is not None
    held = 10.0**2 / (10.0**2 + SPREAD**2)
    assert found.changes[0] == pytest.approx(by * held, rel=1e-9)
    assert found.spreads[0] == pytest.approx(SPREAD * np.sqrt(held), rel=1e-9)
    assert found.left == pytest.approx((by * (1 - held) / SPREAD) ** 2, rel=1e-6)


@pytest.mark.parametrize(
    ("key", "ends", "usual"),
    [
        ("fork.axle_to_crown", (-50.0, 50.0), 10.0),  # [CP] five times what is usual
        ("build.slot_position", (-9.0, 7.0), 10.0),  # at 9 mm in a slot of 16 mm
        ("state.fork_compression", (0.0, 50.0), 10.0),  # unloaded: no fork is longer
        ("build.slot_position", (-5.0, 5.0), 1.0),
    ],
)
def test_nothing_is_off_beyond_what_can_be_but_for_two_spreads(
    key: str, ends: tuple[float, float], usual: float
) -> None:
    held = usual**2 / (usual**2 + SPREAD**2)
    slack = 2.0 * SPREAD * np.sqrt(held)
    for end, outwards in zip(ends, (-1.0, 1.0), strict=True):
        at_the_end = off(key, (end + outwards * 0.995 * slack) / held, usual)
        if end:
            assert at_the_end is not None
            assert at_the_end.changes[0] == pytest.approx(end, rel=1e-12)
        else:
            assert at_the_end is None, "held at nothing it is no cause"
        assert off(key, (end + outwards * 1.005 * slack) / held, usual) is None


def test_what_is_common_practice_is_told_in_round_numbers() -> None:
    """[CP] Nobody has counted them: a figure of more digits would claim a survey."""
    assert all(float(2.0 * value).is_integer() for value in COMMON_CAUSES.values())
    assert (PRESENT, NONE_OF_THESE, DECISIVE) == (3 / 100, 1 / 100, 20)
    assert (MISREADING, MOST_CAUSES) == ((10, 100), 3)


def test_evidence_is_the_ratio_of_normal_densities() -> None:
    """One reading r of one input: N(r; 0, σ² + τ²) / N(r; 0, σ²) times its odds, by scipy."""
    made = plan(BIKE, [Gauge(key="fork.offset", spread=2.0)], {}, {"fork.offset": 5.0})
    off = np.array([7.0])
    weights = Weights.of(made, off)
    found = dict(zip(weights.every, weights.evidence(np.arange(3)[:, None]).tolist(), strict=True))
    plain = norm.logpdf(7.0, scale=2.0)
    for one, evidence in found.items():
        spread = np.hypot(2.0, one.scale)
        odds = np.log(one.present / (1 - one.present))
        assert evidence == pytest.approx(norm.logpdf(7.0, scale=spread) - plain + odds)
    worse = [norm.pdf(7.0, scale=2.0 * 2.0**k) for k in range(1, 8)]
    none = np.log(np.mean(worse)) - plain + np.log(0.01 / 0.99)
    assert _none_of_these(made, off) == pytest.approx(none)


def test_a_repeated_reading_is_held_against_the_best_mean_of_the_others() -> None:
    """Weights by inverse squares: of readings to 1 and 2 mm four fifths and one fifth."""
    gauges = [Gauge(key="trail", spread=spread) for spread in (3.0, 1.0, 2.0)]
    rows = dict(repeats([*gauges, Gauge(key="reach", spread=1.0)]))
    assert rows[0] == pytest.approx([1.0, -0.8, -0.2, 0.0])
    assert rows[1] == pytest.approx([-4 / 13, 1.0, -9 / 13, 0.0])
    assert set(rows) == {0, 1, 2}


def test_a_fine_contradiction_is_told_in_its_own_spread() -> None:
    values = observed(BIKE)
    keys = ("wheelbase", "rear_centre", "front_centre")
    taken = [Reading(key=key, value=float(values[key]), spread=0.1) for key in keys]
    taken[0] = replace(taken[0], value=taken[0].value + 1.0)
    (found,) = bench_check(BIKE, taken, {}).contradictions
    assert found.spread == pytest.approx(np.sqrt(0.03))
    assert found.normalised == pytest.approx(1.0 / np.sqrt(0.03))
