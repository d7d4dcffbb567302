"""Bench check: relations that hold for every bike, real measurements, causes found again."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping

import numpy as np
import pytest
from scipy.stats import norm

from geometry.bike.parts import Build, Fork, State
from geometry.bike.saddle import Seat
from geometry.bike.whole_bike import Bike, moved
from geometry.examples.trail_bike import trail_build, trail_cockpit, trail_hardtail
from geometry.uncertainty.tolerance import Tolerance, Tolerances
from geometry.verify.bench_causes import Cause, Explanation, Ranking, combined, rivals
from geometry.verify.bench_fit import fitted
from geometry.verify.bench_plan import COMMON_CAUSES, observed, plan
from geometry.verify.bench_readings import Gauge
from geometry.verify.bench_result import BenchReport, Reading, _verdict, bench_check
from geometry.verify.relations import gaps, mended
from tests.geometry.verify.good_shop import SPREADS

BIKE = Bike(
    build=trail_build(9.0),
    cockpit=trail_cockpit(),
    seat=Seat(height=740.0),
    standover_ahead=50.0,
)
UNEQUAL = Bike(
    build=Build(
        frame=dataclasses.replace(trail_hardtail(), seat_tube_offset=-30.0),
        fork=Fork(axle_to_crown=505.0, offset=51.0),
        lower_headset_stack=3.0,
        front_radius=371.0,
        rear_radius=349.0,
    ),
    state=State(rear_deflection=8.0),
    cockpit=trail_cockpit(),
)

MADE: Tolerances = {
    key: Tolerance(half_width=width)
    for key, width in {
        "frame.reach": 1.0,
        "frame.stack": 1.0,
        "frame.head_angle": 0.1,
        "frame.seat_tube_angle": 0.1,
        "frame.chainstay_length": 0.5,
        "frame.bb_drop": 0.5,
        "fork.axle_to_crown": 1.0,
        "fork.offset": 0.5,
        "build.front_radius": 0.5,
        "build.rear_radius": 0.5,
        "build.slot_position": 0.5,
    }.items()
}


def check(
    values: Mapping[str, float],
    spreads: Mapping[str, float] = SPREADS,
    suspects: Mapping[str, float] | None = None,
) -> BenchReport:
    """A bench check of `BIKE` with these readings."""
    taken = [Reading(key=k, value=v, spread=spreads[k]) for k, v in values.items()]
    return bench_check(BIKE, taken, MADE, suspects)


def true_values(bike: Bike = BIKE, keys: Mapping[str, float] = SPREADS) -> dict[str, float]:
    """What a bike reads without any error."""
    return {key: float(observed(bike)[key]) for key in keys}


class TestRelations:
    def test_an_impossible_triangle_is_told_as_such(self) -> None:
        values = {
            "wheelbase": 1150.0,
            "chainstay_length": 50.0,
            "bb_drop": 60.0,
            "front_centre": 740.0,
        }
        (found,) = gaps(values)
        assert found.size == np.inf
        assert mended(found.relation, values, "wheelbase") is None
        assert check(values, dict.fromkeys(values, 2.0)).contradictions[0].beyond

    # [R] Moore, Human Control of a Bicycle, UC Davis 2012, chapter Physical
    # Parameters: seven measured bicycles, (front radius, head angle, offset,
    # trail), in that work's own spreads.
    @pytest.mark.parametrize(
        ("radius", "angle", "offset", "trail"),
        [
            (343.5, 67.1, 70.0, 69.0),
            (342.6, 67.1, 70.0, 68.0),
            (340.0, 73.1, 45.0, 56.0),
            (342.6, 69.0, 45.0, 83.0),
            (330.2, 71.1, 38.0, 72.0),
            (333.8, 74.2, 32.0, 62.0),
            (341.9, 72.7, 57.0, 47.0),
        ],
    )
    def test_measured_bicycles_do_not_contradict_themselves(
        self, radius: float, angle: float, offset: float, trail: float
    ) -> None:
        values = {
            "front_radius": radius,
            "head_angle": angle,
            "fork.offset": offset,
            "trail": trail,
        }
        spreads = {"front_radius": 0.1, "head_angle": 0.2, "fork.offset": 1.0, "trail": 2.0}
        (found,) = check(values, spreads).contradictions
        assert found.formula == "T = (Rf cos HA − o) / sin HA"
        assert not found.beyond
        # Printed to 1 mm and 0.1°: within 1.5 mm.
        assert abs(found.size) <= 1.5


def test_a_fork_turned_round_is_found_on_a_real_bike() -> None:
    """[R] Moore, Human Control of a Bicycle, UC Davis 2012, chapter Physical Parameters.

    One bicycle measured twice, the second time with its fork turned round, so
    that its offset of 57 mm is −57 mm. The frame's dimensions that the source
    does not give drop out: they only place the head tube so that the first
    measurement holds.
    """
    angle, radius_front, radius_rear, wheelbase = np.radians(72.7), 341.9, 341.4, 1089.0
    rear, below_top, offset = 420.0, 600.0, 57.0
    front_x = wheelbase - np.sqrt(rear**2 - 60.0**2)
    front_y = 60.0 + radius_front - radius_rear
    frame = dataclasses.replace(
        trail_hardtail(),
        reach=front_x - below_top * np.cos(angle) - offset * np.sin(angle),
        stack=front_y + below_top * np.sin(angle) - offset * np.cos(angle),
        head_angle=72.7,
        head_tube_length=140.0,
        chainstay_length=rear,
        bb_drop=60.0,
    )
    build = Build(
        frame=frame,
        fork=Fork(axle_to_crown=450.0, offset=offset),
        lower_headset_stack=10.0,
        front_radius=radius_front,
        rear_radius=radius_rear,
    )
    after = [
        Reading(key="head_angle", value=70.6, spread=0.2),
        Reading(key="wheelbase", value=985.0, spread=2.0),
        Reading(key="trail", value=180.0, spread=2.0),
    ]
    suspects = {**COMMON_CAUSES, "fork.offset": 100.0}
    report = bench_check(Bike(build=build), after, {}, suspects)
    best = report.causes[0]
    assert report.alarm
    assert (best.kind, best.key) == ("off", "fork.offset")
    # A model of that swap lands within 3 mm of trail and 6 mm of wheelbase.
    assert best.then == pytest.approx(-57.0, abs=3.0)


def test_one_impossible_triangle_is_alarm_enough() -> None:
    """Readings so coarse that nothing else is beyond chance, and another relation that holds."""
    values = true_values()
    taken = {
        "wheelbase": values["wheelbase"],
        "front_centre": values["front_centre"],
        "chainstay_length": 50.0,
        "bb_drop": 60.0,
        "bb_height": values["bb_height"],
        "rear_radius": values["bb_height"] + 60.0,
    }
    report = check(taken, dict.fromkeys(taken, 2000.0))
    assert [one.beyond for one in report.contradictions] == [True, False]
    assert report.contradictions[0].size == np.inf
    assert all(abs(one.normalised) < 1 for one in report.readings)
    assert report.alarm


class TestReport:
    def test_a_bike_that_reads_as_built(self) -> None:
        report = check(true_values())
        assert (report.verdict, report.alarm, report.causes) == ("as built", False, ())
        assert report.chi_square == pytest.approx(0.0, abs=1e-9)
        assert [one.key for one in report.readings] == list(SPREADS)
        assert all(not one.beyond for one in report.contradictions)

    @pytest.mark.parametrize("key", SPREADS)
    def test_a_misread_value_is_named_and_mended(self, key: str) -> None:
        values = true_values()
        report = check({**values, key: values[key] + 10 * SPREADS[key]})
        best = report.causes[0]
        assert (best.kind, best.key) == ("misread", key)
        assert best.then == pytest.approx(values[key], abs=SPREADS[key])

    def test_a_contradiction_comes_first_with_its_size(self) -> None:
        values = true_values()
        report = check({**values, "wheelbase": values["wheelbase"] + 20.0})
        worst = report.contradictions[0]
        assert worst.formula == "W = RC + FC"
        assert worst.size == pytest.approx(20.0)
        assert worst.beyond
        assert worst.mends["wheelbase"] == pytest.approx(values["wheelbase"])

    # Larger tyres at one end, an axle slid away, a frame that is off: each by a
    # clear amount, read without any error.
    @pytest.mark.parametrize(
        ("key", "change"),
        [
            ("build.slot_position", -8.0),
            ("build.front_radius", -12.0),
            ("build.rear_radius", 12.0),
            ("frame.seat_tube_angle", 1.0),
            ("frame.chainstay_length", 10.0),
            ("fork.offset", 12.0),
            ("fork.axle_to_crown", -20.0),
        ],
    )
    def test_what_is_off_is_among_the_causes_not_ruled_out(self, key: str, change: float) -> None:
        report = check(true_values(moved(BIKE, {key: change})))
        standing = [one.causes for one in (report.explanations[0], *report.rivals)]
        (found,) = next(causes for causes in standing if [one.key for one in causes] == [key])
        assert found.kind == "off"
        assert found.change == pytest.approx(change, abs=0.15 * abs(change))

    def test_fork_length_and_sag_are_not_told_apart_from_outside(self) -> None:
        report = check(true_values(moved(BIKE, {"state.fork_compression": 20.0})))
        keys = {c.key for e in (report.explanations[0], *report.rivals) for c in e.causes}
        assert report.verdict == "cannot be told apart"
        assert {"fork.axle_to_crown", "state.fork_compression"} <= keys

    def test_measuring_the_fork_tells_them_apart(self) -> None:
        """With the free length of the fork read too, what is left is sag or the headset."""
        spreads = {**SPREADS, "fork.axle_to_crown": 1.0}
        values = true_values(moved(BIKE, {"state.fork_compression": 20.0}), spreads)
        report = check(values, spreads)
        keys = {c.key for e in (report.explanations[0], *report.rivals) for c in e.causes}
        assert "state.fork_compression" in keys
        assert "fork.axle_to_crown" not in keys

    def test_impossible_causes_are_left_out(self) -> None:
        """A fork cannot stand longer than unloaded, nor an axle beyond its slot."""
        longer = check(true_values(moved(BIKE, {"fork.axle_to_crown": 20.0})))
        assert "state.fork_compression" not in {cause.key for cause in longer.causes}
        beyond = check(true_values(moved(BIKE, {"build.slot_position": 15.0})))
        slid = [e.causes for e in beyond.explanations if "build.slot_position" in str(e.names)]
        assert all(len(causes) > 1 for causes in slid)
        for causes in slid:
            (axle,) = (cause for cause in causes if cause.key == "build.slot_position")
            assert 0.0 <= axle.then <= BIKE.build.frame.slot_length

    def test_two_misread_values_are_more_than_one_cause(self) -> None:
        values = true_values()
        report = check({**values, "stack": values["stack"] + 30, "trail": values["trail"] - 30})
        assert report.verdict == "more than one cause"
        assert {cause.key for cause in report.causes[:2]} == {"stack", "trail"}

    def test_the_combined_fit_tells_what_it_knows(self) -> None:
        values = true_values(moved(BIKE, {"build.slot_position": -6.0}))
        by_key = {one.key: one for one in check(values).combined}
        slid = by_key["build.slot_position"]
        assert slid.change < 0
        assert all(0 <= one.known <= 1 for one in by_key.values())
        assert all(one.spread <= one.usual for one in by_key.values())

    def test_repeated_readings_are_held_against_one_another(self) -> None:
        value = float(observed(BIKE)["head_angle"])
        taken = [Reading(key="head_angle", value=value + d, spread=0.2) for d in (0.0, 0.1, 2.0)]
        report = bench_check(BIKE, taken, MADE)
        worst = report.contradictions[0]
        assert (worst.name, worst.keys) == ("repeated readings", ("head_angle",))
        assert worst.beyond
        assert report.causes[0].reading == 2
        assert worst.mends["head_angle"] == pytest.approx(value + 0.05)

    def test_one_reading_alone_cannot_tell_its_causes_apart(self) -> None:
        report = check({"bb_height": float(observed(BIKE)["bb_height"]) + 8})
        assert report.verdict == "cannot be told apart"
        assert len(report.rivals) > 1

    def test_odds_add_up(self) -> None:
        values = true_values()
        report = check({**values, "reach": values["reach"] + 9})
        odds = [one.odds for one in report.explanations]
        assert sum(odds) + report.none_of_these == pytest.approx(1.0)
        assert odds == sorted(odds)[::-1]
        alone = [one.odds for one in report.causes]
        assert alone == sorted(alone)[::-1]
        assert alone[0] <= 1.0 + 1e-12


class TestLeastSquares:
    def test_fitted_causes_are_the_minimum_of_misfit_and_priors(self) -> None:
        """Against scipy's general least squares on the exact geometry, one unknown and two."""
        from scipy.optimize import least_squares

        gauges = [Gauge(key=key, spread=spread) for key, spread in SPREADS.items()]
        made = plan(BIKE, gauges, MADE)
        rng = np.random.default_rng(3)
        off = {"build.slot_position": 7.0, "build.rear_radius": -9.0}
        values = np.array(list(true_values(moved(BIKE, off)).values()))
        values += rng.normal(0.0, made.spreads)
        half = np.linalg.cholesky(made.inverse).T

        def misfit(change: np.ndarray, keys: tuple[str, ...]) -> np.ndarray:
            by = dict(zip(keys, change.tolist(), strict=True))
            read = true_values(moved(BIKE, by))
            priors = [change[i] / COMMON_CAUSES[key] for i, key in enumerate(keys)]
            return np.append(half @ (values - np.array(list(read.values()))), priors)

        sets = {tuple(c.key for c in one.causes): one for one in fitted(BIKE, made, values)}
        for keys in (("build.rear_radius",), ("build.rear_radius", "build.slot_position")):
            found = sets[keys]
            outside = least_squares(misfit, [0.0] * len(keys), args=(keys,), xtol=1e-14, ftol=1e-14)
            np.testing.assert_allclose(found.changes, outside.x, atol=0.05 * found.spreads.min())
            slopes_there = np.array(outside.jac)
            inverse = np.linalg.inv(slopes_there.T @ slopes_there)
            np.testing.assert_allclose(found.spreads, np.sqrt(np.diag(inverse)), rtol=0.05)

    def test_the_combined_fit_is_the_minimum_of_misfit_and_priors(self) -> None:
        """Against the normal equations of readings and priors stacked, solved by numpy."""
        gauges = [Gauge(key=key, spread=spread) for key, spread in SPREADS.items()]
        made = plan(BIKE, gauges, MADE)
        differences = np.random.default_rng(5).normal(0.0, 3.0, len(gauges))
        half = np.linalg.cholesky(made.inverse).T
        rows = np.vstack([half @ made.effects, np.diag(1 / made.scales)])
        right = np.concatenate([half @ differences, np.zeros(len(made.scales))])
        outside = np.linalg.lstsq(rows, right)[0]
        found = combined(made, differences)
        np.testing.assert_allclose([one.change for one in found], outside, rtol=1e-8, atol=1e-9)
        spreads = np.sqrt(np.diag(np.linalg.inv(rows.T @ rows)))
        np.testing.assert_allclose([one.spread for one in found], spreads, rtol=1e-6)
        assert [one.usual for one in found] == [COMMON_CAUSES[one.key] for one in found]
        shares = 1 - (spreads / made.scales) ** 2
        np.testing.assert_allclose([one.known for one in found], shares, atol=1e-9)


def told(odds: float, *keys: str) -> Explanation:
    """An explanation by its odds and its causes."""
    causes = tuple(
        Cause(kind="off", key=key, reading=None, now=0, then=1, change=1, spread=1, odds=odds)
        for key in keys or ("fork.offset",)
    )
    return Explanation(causes=causes, odds=odds, left=0.0)


def test_an_explanation_stands_alone_that_is_twenty_times_as_likely_as_any_other() -> None:
    first, near, far = told(0.8), told(0.0404), told(0.0398)
    assert rivals([first, near, far]) == (near,)
    assert rivals([first]) == ()


@pytest.mark.parametrize(
    ("explanations", "none", "verdict"),
    [
        ([], 1.0, "not explained"),
        ([told(0.4)], 0.6, "not explained"),
        ([told(0.6), told(0.35)], 0.05, "cannot be told apart"),
        ([told(0.95)], 0.048, "cannot be told apart"),  # none of these: once in 19.8
        ([told(0.95)], 0.0473, "one cause"),  # once in 20.1
        ([told(0.95, "fork.offset", "frame.reach")], 0.04, "more than one cause"),
    ],
)
def test_the_verdict_follows_from_the_odds(
    explanations: list[Explanation], none: float, verdict: str
) -> None:
    ranked = Ranking(explanations=tuple(explanations), causes=(), none_of_these=none)
    assert _verdict(ranked, rivals(explanations) if explanations else ()) == verdict


def test_a_reading_is_told_beside_its_prediction() -> None:
    """A wheel made to ± 0.5 mm, which is twice its spread of 0.25 mm, and read to 2 mm."""
    radius = float(observed(BIKE)["rear_radius"])
    (found,) = check({"rear_radius": radius + 3.0}, {"rear_radius": 2.0}).readings
    expected = np.hypot(2.0, 0.25)
    assert (found.value, found.predicted) == (radius + 3.0, radius)
    assert (found.residual, found.spread) == pytest.approx((3.0, 2.0))
    assert found.expected == pytest.approx(expected)
    assert found.normalised == pytest.approx(3.0 / expected)
    # Found in 95 of 100 cases is what lies a further 1.645 σ beyond chance.
    report = check({"rear_radius": radius}, {"rear_radius": 2.0})
    assert found.detectable == pytest.approx((report.threshold + norm.ppf(0.95)) * expected)
