"""The length a rider needs: against a plain least squares, and its promises one by one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar
from scipy.stats import linregress

from geometry.examples import TRAIL, example_sizes
from geometry.rider import LANDMARKS, Bodies, Window, condition, linkage
from geometry.sizing import (
    FIGURES,
    SizeChart,
    SoldSizes,
    asked_length,
    needed,
    postures,
    run_of,
    usual_bodies,
)
from tests.geometry.sizing.example import RUN, people

MIDDLE = usual_bodies(np.array([1725.0]))


def distance(further: float, sizes: SoldSizes, bodies: Bodies) -> float:
    """Weighted sum of squared misses of a body on the middle size, its grips moved."""
    figures = postures(sizes, linkage(bodies), TRAIL, further=further).figures
    total = 0.0
    for name in FIGURES:
        window: Window = getattr(TRAIL, name)
        total += window.weight * ((figures[name][2, 0] - window.middle) / window.half) ** 2
    return float(total)


@pytest.mark.parametrize("stature", [1690.0, 1725.0, 1760.0])
def test_the_length_asked_for_is_where_a_general_minimiser_finds_the_least_distance(
    stature: float,
) -> None:
    # scipy's bounded scalar minimiser knows nothing of slopes; the linear answer is
    # exact only where figures are straight in x, hence a quarter of what it asks for.
    bodies = usual_bodies(np.array([stature]))
    best = minimize_scalar(
        distance, bounds=(-120.0, 120.0), args=(example_sizes(), bodies), method="bounded"
    ).x
    figures = postures(example_sizes(), linkage(bodies), TRAIL).figures
    asked = sum(
        -RUN.worth[name] * (figures[name][2, 0] - getattr(TRAIL, name).middle) for name in FIGURES
    )
    assert asked == pytest.approx(best, abs=max(4.0, 0.25 * abs(best)))


def test_ten_millimetres_of_grips_are_ten_millimetres_of_length() -> None:
    links = linkage(usual_bodies(RUN.chart.middles))
    near, far = (
        asked_length(postures(RUN.sold, links, TRAIL, further=x), RUN.worth) for x in (-5.0, 5.0)
    )
    assert float(np.diagonal(near - far).mean()) == pytest.approx(10.0, abs=0.5)


def test_the_usual_body_on_the_usual_build_needs_what_the_chart_says() -> None:
    stature = np.array([1400.0, 1565.0, 1645.0, 1725.0, 1805.0, 1885.0, 2000.0])
    found = needed(RUN, usual_bodies(stature))
    assert np.allclose(found.by_body, 0.0, atol=0.6)
    assert np.allclose(found.length[1:6], RUN.given, atol=0.6)
    steps = RUN.steps / np.diff(RUN.chart.middles)
    assert found.by_chart[0] == pytest.approx(RUN.given[0] - 165.0 * steps[0])
    assert found.by_chart[-1] == pytest.approx(RUN.given[-1] + 115.0 * steps[-1])


def test_without_trust_in_posture_the_chart_alone_speaks() -> None:
    deaf = replace(RUN, rules=replace(RUN.rules, posture_share=0.0))
    found = needed(deaf, people())
    assert np.array_equal(found.length, found.by_chart)


def test_twice_the_trust_moves_twice_as_far() -> None:
    whole = replace(RUN, rules=replace(RUN.rules, posture_share=1.0))
    assert np.allclose(needed(whole, people()).by_body, 2.0 * needed(RUN, people()).by_body)


@pytest.mark.parametrize(
    ("landmark", "more", "sign"),
    [
        ("elbow_to_grip_length", 20.0, 1),
        ("upper_arm_length", 20.0, 1),
        ("acromial_height", 25.0, 1),  # a longer trunk on the same legs
    ],
)
def test_longer_arms_and_trunk_need_more(landmark: str, more: float, sign: int) -> None:
    longer = MIDDLE.values.copy()
    longer[:, LANDMARKS.index(landmark)] += more
    change = needed(RUN, Bodies(longer)).length - needed(RUN, MIDDLE).length
    assert sign * float(change[0]) > 2.0


def test_what_is_asked_differently_adds_its_worth() -> None:
    plain = needed(RUN, MIDDLE).length
    upright = needed(RUN, MIDDLE, asks={"shoulder_angle": -2.0, "trunk_angle": 3.0}).length
    worth = -2.0 * RUN.worth["shoulder_angle"] + 3.0 * RUN.worth["trunk_angle"]
    assert float((upright - plain)[0]) == pytest.approx(0.5 * worth)
    assert worth < 0.0


def test_what_a_style_adds_is_added_whole() -> None:
    longer = replace(RUN, longer_by=7.0)
    assert np.allclose(needed(longer, people()).length - needed(RUN, people()).length, 7.0)


def test_a_window_without_weight_has_no_worth() -> None:
    silent = replace(TRAIL, elbow_flexion=replace(TRAIL.elbow_flexion, weight=0.0))
    run = run_of(RUN.sold, usually=RUN.usually, chart=RUN.chart, windows=silent, rules=RUN.rules)
    assert run.worth["elbow_flexion"] == 0.0


def test_windows_that_all_only_show_leave_the_chart_alone() -> None:
    silent = replace(TRAIL, **{name: replace(getattr(TRAIL, name), weight=0.0) for name in FIGURES})
    run = run_of(RUN.sold, usually=RUN.usually, chart=RUN.chart, windows=silent, rules=RUN.rules)
    assert np.allclose(needed(run, people()).by_body, 0.0)


def test_a_shorter_bike_makes_every_rider_need_more_of_the_run() -> None:
    nearer = replace(RUN, sold=replace(RUN.sold, grip_x=RUN.sold.grip_x - 10.0))
    change = needed(nearer, people()).length - needed(RUN, people()).length
    # Half of ten millimetres, as posture is trusted by half; figures bend a little.
    assert float(change.mean()) == pytest.approx(5.0, abs=1.0)
    assert float(change.min()) > 0.0


@given(n=st.integers(0, 399))
def test_bodies_are_measured_independently(n: int) -> None:
    alone = needed(RUN, Bodies(people().values[n : n + 1]))
    assert alone.length[0] == pytest.approx(needed(RUN, people()).length[n])


def test_what_a_millimetre_does_is_the_slope_of_the_postures() -> None:
    """Against differences ten times finer, each size on the body of its chart's middle."""
    links = linkage(usual_bodies(np.array([1565.0, 1645.0, 1725.0, 1805.0, 1885.0])))
    out, back = (postures(RUN.usually, links, TRAIL, further=x).figures for x in (0.5, -0.5))
    for name in FIGURES:
        slope = float(np.mean([(out[name] - back[name])[i, i] for i in range(5)]))
        assert RUN.effect[name] == pytest.approx(slope, rel=1e-3)


def test_worth_is_the_least_squares_of_numpy() -> None:
    """One column, the slopes, and as many rows as figures, weighed by window and weight."""
    windows = {name: getattr(TRAIL, name) for name in FIGURES}
    root = np.array([np.sqrt(w.weight) / w.half for w in windows.values()])
    slopes = np.array([RUN.effect[name] for name in FIGURES])
    for at, name in enumerate(FIGURES):
        degree = np.eye(len(FIGURES))[at]
        (length,), *_ = np.linalg.lstsq((root * slopes)[:, np.newaxis], root * degree, rcond=None)
        assert RUN.worth[name] == pytest.approx(length, rel=1e-9)


def test_taste_is_the_spread_of_the_length_that_preferences_leave_open() -> None:
    """How a least squares passes errors of one standard deviation on; 0.3 is left to the size."""
    slopes = np.array([RUN.effect[name] for name in FIGURES])
    spreads = np.array([5.0, 8.0, 7.0, 5.0, 8.0])  # of the example's rules, in FIGURES' order
    passed_on = np.linalg.pinv((slopes / spreads)[:, np.newaxis])
    assert RUN.taste_spread == pytest.approx(0.3 * float(np.linalg.norm(passed_on)), rel=1e-9)


def test_model_spread_adds_the_squares_of_three_misplaced_joints() -> None:
    """Assumed, one standard deviation: shoulder 8 mm, elbow 8 mm, hip 10 mm; trusted by half.

    A shoulder lower on the same acromion shortens trunk and upper arm; an elbow deeper
    shortens the forearm; a hip higher shortens the trunk and lengthens the thigh.
    """
    middles = np.array([1565.0, 1645.0, 1725.0, 1805.0, 1885.0])
    moves = [{"trunk": -8.0, "upper_arm": -8.0}, {"forearm": -8.0}]
    moves.append({"trunk": -10.0, "thigh": 10.0, "hip_above_crotch": 10.0})
    squares = 0.0
    for moved in moves:
        shifts = []
        for i, stature in enumerate(middles):
            links = linkage(usual_bodies(np.array([stature])))
            other = {name: getattr(links, name) + by for name, by in moved.items()}
            one, two = (
                postures(RUN.usually, each, TRAIL).figures
                for each in (links, replace(links, **other))
            )
            degrees = {name: (two[name] - one[name])[i, 0] for name in FIGURES}
            shifts.append(-sum(RUN.worth[name] * degrees[name] for name in FIGURES))
        squares += float(np.mean(shifts)) ** 2
    assert RUN.model_spread == pytest.approx(0.5 * squares**0.5, rel=1e-6)


def test_the_usual_body_is_the_regression_of_men_and_women_together() -> None:
    """As many of both are drawn, and a line is laid through all of them."""
    drawn = condition([]).draw(40_000, np.random.default_rng(5))
    usual = usual_bodies(np.array([1600.0, 1690.0, 1800.0]))
    for landmark in LANDMARKS[:-1]:
        line = linregress(drawn["stature"], drawn[landmark])
        want = line.intercept + line.slope * usual["stature"]
        assert usual[landmark] == pytest.approx(want, abs=5.0 * line.stderr * 120.0 + 0.1)


def test_a_run_says_nothing_of_its_own_about_style() -> None:
    run = run_of(RUN.sold, usually=RUN.usually, chart=RUN.chart, windows=TRAIL, rules=RUN.rules)
    assert run.longer_by == 0.0


def test_a_length_goes_on_beyond_the_sizes_with_the_step_next_to_it() -> None:
    """Steps of 20, 24, 30 and 28 mm, read on paper at places of the chart."""
    run = replace(
        RUN,
        given=np.array([390.0, 410.0, 434.0, 464.0, 492.0]),
        rules=replace(RUN.rules, posture_share=0.0),
    )
    stature = np.array([1485.0, 1565.0, 1605.0, 1725.0, 1765.0, 1885.0, 1925.0])
    want = [370.0, 390.0, 400.0, 434.0, 449.0, 492.0, 506.0]
    assert needed(run, usual_bodies(stature)).length == pytest.approx(want, abs=1e-6)
    assert run.steps.tolist() == [20.0, 24.0, 30.0, 28.0]


def test_two_sizes_have_one_step_and_one_size_a_step_of_25_mm() -> None:
    """[CP] 25 mm where there is no other size to tell it."""
    assert replace(RUN, given=np.array([400.0, 423.0])).steps.tolist() == [23.0]
    assert replace(RUN, given=np.array([400.0])).steps.tolist() == [25.0]


def test_a_single_size_is_a_run_too() -> None:
    chart = SizeChart(shortest=np.array([1670.0]), tallest=np.array([1780.0]))
    run = run_of(
        _only(RUN.sold), usually=_only(RUN.usually), chart=chart, windows=TRAIL, rules=RUN.rules
    )
    found = needed(run, usual_bodies(np.array([1725.0, 1825.0])))
    assert found.length.round(3).tolist() == pytest.approx(
        [run.given[0], run.given[0] + 25.0], abs=0.6
    )
    assert found.by_chart == pytest.approx(run.given[0] + np.array([0.0, 25.0]), abs=1e-9)


def _only(sizes: SoldSizes) -> SoldSizes:
    names = [name for name in vars(sizes) if name != "sizes"]
    return replace(sizes, sizes=("M",), **{name: getattr(sizes, name)[2:3] for name in names})
