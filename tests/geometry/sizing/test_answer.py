"""The whole answer: verdicts, words and figures that agree with each other."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest

from geometry.examples.fitting import STYLES, TRAIL, example_grid
from geometry.rider.body import Measurement
from geometry.rider.body_estimate import condition
from geometry.rider.segments import linkage
from geometry.sizing.answer import Fit, size_figures, size_up
from geometry.sizing.posture_figures import JUDGED, CockpitGrid
from geometry.sizing.sentences import WINDOW_WORDS, SizeFigures, reasons, summary

GRID = example_grid()


def fit(*given: Measurement, grid: CockpitGrid = GRID) -> Fit:
    """The answer for a rider on the example sizes, trail."""
    return size_up(condition(given), grid, TRAIL, given=given)


def rows(grid: CockpitGrid, kept: list[int]) -> CockpitGrid:
    """The grid with only some of its sizes."""
    arrays = {f.name: getattr(grid, f.name)[kept] for f in fields(grid)[1:]}
    return replace(grid, sizes=tuple(grid.sizes[i] for i in kept), **arrays)


def test_every_judged_figure_has_its_words() -> None:
    assert set(WINDOW_WORDS) == set(JUDGED)


def test_chances_add_up_and_the_leading_size_is_the_likeliest() -> None:
    answer = fit(Measurement("stature", 1900.0, "told"), Measurement("crotch_height", 900.0))
    assert sum(size.best for size in answer.sizes) + answer.none == pytest.approx(1.0)
    likeliest = max(answer.sizes, key=lambda size: size.best)
    assert likeliest.size in answer.leading
    assert all(size.best <= size.acceptable for size in answer.sizes)


def test_the_same_numbers_get_the_same_answer() -> None:
    stature = Measurement("stature", 1740.0, "told")
    assert fit(stature) == fit(stature)


def test_more_measurements_make_the_answer_surer() -> None:
    told = Measurement("stature", 1690.0, "told")
    inseam, span = Measurement("crotch_height", 815.0), Measurement("span", 1700.0)
    sure = [
        max(size.best for size in answer.sizes) for answer in (fit(told), fit(told, inseam, span))
    ]
    assert sure[1] > sure[0] + 0.1


def test_between_two_sizes_is_said_with_what_differs() -> None:
    answer = fit(Measurement("stature", 1780.0, "told"))
    assert answer.verdict == "between"
    assert len(answer.leading) == 2
    assert answer.summary.startswith(f"Between {answer.leading[0]}, ")
    assert "grips_to_rear_axle" in {reason.code for reason in answer.differences}
    assert all(answer.leading[0] in reason.text for reason in answer.differences)


def test_one_size_is_said_plainly() -> None:
    answer = fit(Measurement("stature", 1600.0), Measurement("crotch_height", 760.0))
    assert answer.verdict == "one"
    assert answer.differences == ()
    assert answer.summary.startswith(f"{answer.leading[0]}, ")


@pytest.mark.parametrize(("stature", "words"), [(1250.0, "top tube"), (2100.0, "highest post")])
def test_none_of_these_sizes_names_no_size(stature: float, words: str) -> None:
    answer = fit(Measurement("stature", stature))
    assert (answer.verdict, answer.leading) == ("none", ())
    assert answer.summary.startswith("None of these sizes.")
    assert words in answer.summary
    assert answer.cautions[0].landmark == "stature"


def test_none_by_posture_alone_is_said() -> None:
    away = replace(GRID, grip_x=GRID.grip_x + 300.0)
    answer = fit(Measurement("stature", 1750.0), grid=away)
    assert answer.verdict == "none"
    assert answer.summary.endswith("On every size something leaves what trail asks.")
    assert all(size.reasons[0].outcome == "no" for size in answer.sizes)


def test_arms_that_do_not_reach_are_a_reason() -> None:
    away = replace(GRID, grip_x=GRID.grip_x + 2000.0)
    answer = fit(Measurement("stature", 1750.0), grid=away)
    codes = [reason.code for reason in answer.sizes[0].reasons]
    assert "reachable" in codes
    assert not answer.sizes[0].figures.reachable


def test_a_single_size_is_answered_too() -> None:
    answer = fit(Measurement("stature", 1750.0), grid=rows(GRID, [2]))
    assert (answer.verdict, answer.leading) == ("one", ("M",))


def test_what_is_measured_already_is_not_asked_again() -> None:
    given = (Measurement("stature", 1780.0, "told"), Measurement("crotch_height", 850.0))
    asked = {item.landmark for item in fit(*given).measure_next}
    assert "crotch_height" not in asked
    assert asked
    measured = fit(Measurement("stature", 1780.0, "measured"))
    assert "stature" not in {item.landmark for item in measured.measure_next}


def test_measurements_are_ranked_and_their_gain_is_the_difference() -> None:
    answer = fit(Measurement("stature", 1780.0, "told"))
    gains = [item.gain for item in answer.measure_next]
    assert gains == sorted(gains, reverse=True)
    present = max(*(size.best for size in answer.sizes), answer.none)
    for item in answer.measure_next:
        assert item.probability - item.gain == pytest.approx(present)


def test_a_promised_gain_is_kept_when_the_measurement_is_taken() -> None:
    # Independent of the ranking: take the measurement on many believed bodies and answer anew.
    told = Measurement("stature", 1780.0, "told")
    first = fit(told).measure_next[0]
    rng = np.random.default_rng(31)
    bodies = condition([told]).draw(60, rng)
    readings = bodies[first.landmark] + 12.0 * rng.standard_normal(len(bodies))
    sure = []
    for reading in readings:
        given = (told, Measurement(first.landmark, float(reading)))
        answer = size_up(condition(given), GRID, TRAIL, given=given, draws=400)
        sure.append(max(*(size.best for size in answer.sizes), answer.none))
    assert float(np.mean(sure)) == pytest.approx(first.probability, abs=0.06)


def test_reach_surplus_is_the_level_distance_from_the_middle() -> None:
    links = linkage(condition([Measurement("stature", 1750.0)]).mean_body())
    near = size_figures(GRID, 2, 5, links=links, windows=TRAIL)
    moved = replace(GRID, grip_x=GRID.grip_x + 17.0)
    far = size_figures(moved, 2, 5, links=links, windows=TRAIL)
    assert far.reach_surplus - near.reach_surplus == pytest.approx(17.0)
    assert far.posture["trunk_angle"] < near.posture["trunk_angle"]


@pytest.mark.parametrize("style", STYLES)
def test_reasons_carry_the_style_and_finite_figures(style: str) -> None:
    belief = condition([Measurement("stature", 1700.0)])
    answer = size_up(belief, GRID, STYLES[style], draws=200)
    assert answer.style == style
    for size in answer.sizes:
        assert size.reasons
        assert all(np.isfinite(reason.value) for reason in size.reasons)


def test_grave_reasons_come_first() -> None:
    middles = {name: getattr(TRAIL, name).middle for name in WINDOW_WORDS}
    figures = SizeFigures("L", 0, middles, 0.0, True, -9.0, 760.0, 30.0, 30.0)
    found = reasons(figures, TRAIL)
    assert [reason.outcome for reason in found] == ["no", "no", "clear"]
    assert found[0].text == "30 mm of room over the top tube; at least 50 mm is asked"
    assert found[1].text == "the highest post ends 30 mm below the saddle height"
    assert found[2].text.startswith("cramped by 9 mm")


def test_a_reach_that_is_right_is_said_without_a_figure() -> None:
    middles = {name: getattr(TRAIL, name).middle for name in WINDOW_WORDS}
    figures = SizeFigures("M", 0, middles, 0.0, True, -1.2, 760.0, 0.0, 90.0)
    assert reasons(figures, TRAIL)[0].text == "reach in the middle of what trail asks"


def test_a_post_that_cannot_go_low_enough_is_said_when_no_size_suits() -> None:
    middles = {name: getattr(TRAIL, name).middle for name in WINDOW_WORDS}
    high = SizeFigures("S", 0, middles, 0.0, True, 0.0, 560.0, -40.0, 90.0)
    text = summary([], none=1.0, figures=[high], windows=TRAIL)
    assert text == "None of these sizes. The lowest post ends 40 mm above the saddle height."
