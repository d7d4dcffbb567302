"""The whole answer: verdicts, chances and reasons that agree with each other."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from geometry.rider import Measurement, condition
from geometry.sizing import Fit, Run, size_up
from tests.geometry.sizing.example import COCKPITS, RUN


def fit(*given: Measurement, run: Run = RUN, lean: float = 0.0) -> Fit:
    """The answer for a rider on the example sizes."""
    return size_up(condition(given), run, COCKPITS, given=given, lean=lean)


def test_chances_add_up_and_the_size_named_fits() -> None:
    answer = fit(Measurement("stature", 1900.0, "told"), Measurement("crotch_height", 900.0))
    assert sum(size.best for size in answer.sizes) + answer.none == pytest.approx(1.0)
    named = next(size for size in answer.sizes if size.size == answer.named)
    assert named.fits == "as_sold"
    assert all(size.fits_chance <= size.possible_chance for size in answer.sizes)


def test_the_same_numbers_get_the_same_answer() -> None:
    stature = Measurement("stature", 1740.0, "told")
    assert fit(stature) == fit(stature)


def test_two_that_fit_are_both_named_from_small_to_large() -> None:
    answer = fit(Measurement("stature", 1765.0, "measured"))
    assert (answer.verdict, answer.leading) == ("between", ("M", "L"))
    assert answer.named in answer.leading


def test_one_that_fits_is_named_alone() -> None:
    answer = fit(Measurement("stature", 1725.0, "measured"))
    assert (answer.verdict, answer.leading, answer.named) == ("one", ("M",), "M")


def test_reasons_say_length_and_room_the_gravest_first() -> None:
    answer = fit(Measurement("stature", 1725.0, "measured"))
    for size in answer.sizes:
        codes = {reason.code for reason in size.reasons}
        assert {"length", "straddle_room"} <= codes
        gravity = [("no", "tight", "clear").index(reason.outcome) for reason in size.reasons]
        assert gravity == sorted(gravity)
        assert (size.fits == "no") == any(reason.outcome == "no" for reason in size.reasons)


def test_a_change_is_named_where_one_is_needed_and_nowhere_else() -> None:
    answer = fit(Measurement("stature", 1725.0, "measured"))
    for size, cockpits in zip(answer.sizes, COCKPITS, strict=True):
        changed = size.cockpit != cockpits.sold
        assert changed == (size.gained != 0.0)
        assert not (size.fits == "as_sold" and changed)
        if size.fits == "with_changes":
            assert abs(size.too_long + size.gained) < abs(size.too_long)


@pytest.mark.parametrize("stature", [1250.0, 2250.0])
def test_none_of_these_sizes_names_no_size(stature: float) -> None:
    answer = fit(Measurement("stature", stature))
    assert (answer.verdict, answer.leading, answer.named) == ("none", (), "")
    assert answer.none > 0.9
    assert answer.cautions[0].landmark == "stature"


def test_a_wish_for_longer_moves_the_length_by_itself() -> None:
    stature = Measurement("stature", 1740.0, "measured")
    plain, longer = fit(stature), fit(stature, lean=12.5)
    assert longer.length - plain.length == pytest.approx(12.5)
    assert longer.sizes[3].best > plain.sizes[3].best
    assert longer.sizes[1].best < plain.sizes[1].best


def test_what_is_uncertain_is_told_apart() -> None:
    loose, tight = (
        fit(*given).spreads
        for given in (
            [Measurement("stature", 1725.0, "told")],
            [Measurement("stature", 1725.0, "measured"), Measurement("crotch_height", 830.0),
             Measurement("span", 1790.0)],
        )
    )  # fmt: skip
    assert tight.body < loose.body
    assert (tight.taste, tight.model) == (loose.taste, loose.model) == (
        RUN.taste_spread, RUN.model_spread,
    )  # fmt: skip


def test_a_chance_to_be_chosen_holds_more_doubt_than_a_chance_to_fit() -> None:
    sure = replace(RUN, taste_spread=0.0, model_spread=0.0)
    given = (Measurement("stature", 1725.0, "measured"),)
    best = [max(size.best for size in fit(*given, run=run).sizes) for run in (sure, RUN)]
    assert best[0] > best[1] + 0.05


def test_what_is_measured_already_is_not_asked_again() -> None:
    given = (Measurement("stature", 1780.0, "told"), Measurement("crotch_height", 850.0))
    assert "crotch_height" not in {item.landmark for item in fit(*given).measure_next}
    measured = fit(Measurement("stature", 1780.0, "measured"))
    assert "stature" not in {item.landmark for item in measured.measure_next}


def test_measurements_are_ranked_and_their_gain_is_the_difference() -> None:
    answer = fit(Measurement("stature", 1782.0, "told"))
    gains = [item.gain for item in answer.measure_next]
    assert gains == sorted(gains, reverse=True)
    assert gains
    present = max(*(size.best for size in answer.sizes), answer.none)
    for item in answer.measure_next:
        assert item.probability - item.gain == pytest.approx(present)


def test_a_promised_gain_is_kept_when_the_measurement_is_taken() -> None:
    # Independent of the ranking: take the measurement on many believed bodies and answer anew.
    told = Measurement("stature", 1782.0, "told")
    first = fit(told).measure_next[0]
    rng = np.random.default_rng(31)
    bodies = condition([told]).draw(60, rng)
    readings = bodies[first.landmark] + 12.0 * rng.standard_normal(len(bodies))
    sure = []
    for reading in readings:
        given = (told, Measurement(first.landmark, float(reading)))
        answer = size_up(condition(given), RUN, COCKPITS, given=given, draws=400)
        sure.append(max(*(size.best for size in answer.sizes), answer.none))
    assert float(np.mean(sure)) == pytest.approx(first.probability, abs=0.06)


@pytest.mark.parametrize(
    ("room", "outcome"), [(88.0, "no"), (95.0, "tight"), (101.0, None), (np.inf, None)]
)
def test_a_foot_that_meets_the_front_wheel_speaks_against_a_size(
    room: float, outcome: str | None
) -> None:
    """16 CFR 1512.17(d): 89 mm at least; Japan asks 100 mm."""
    toes = np.array([room if name == "M" else 110.0 for name in RUN.sizes])
    run = replace(RUN, sold=replace(RUN.sold, toe_room=toes))
    answer = fit(Measurement("stature", 1725.0, "measured"), run=run)
    medium = next(size for size in answer.sizes if size.size == "M")
    told = {reason.code: reason for reason in medium.reasons}
    assert (told["toe_room"].outcome if "toe_room" in told else None) == outcome
    assert medium.fits == ("no" if outcome == "no" else "as_sold")
    assert (medium.fits_chance == 0.0) == (outcome == "no")
    assert (answer.named == "M") == (outcome != "no")


def test_an_answer_for_comparison_alone_differs_only_in_what_to_measure_next() -> None:
    told = [Measurement("stature", 1782.0, "told")]
    whole, short = (
        size_up(condition(told), RUN, COCKPITS, given=told, advising=advising)
        for advising in (True, False)
    )
    assert whole.measure_next
    assert replace(whole, measure_next=()) == short
