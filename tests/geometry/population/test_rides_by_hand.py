"""One rider's verdict as evidence, each number worked on paper from the run of the example."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from geometry.core import InvalidInput
from geometry.examples import example_cockpits, example_run
from geometry.population import (
    Ride,
    line_numbers,
    line_verdicts,
    ride_of,
    window_number,
    window_verdicts,
)
from geometry.population.rides import BAR_HEIGHT, LEARNT_WINDOWS
from geometry.rider import BodyBelief, Measurement, Window, condition, linkage
from geometry.sizing import FIGURES, needed, postures

RUN, COCKPITS = example_run(), example_cockpits()
UP, DOWN, STILL = FIGURES[:3]
"""A figure that grows as grips go forward, one that shrinks, one that stays."""


def told(given: float, *, said: int, height_said: int | None = None) -> Ride:
    """A rider who wants 440 mm, calls 18 mm wrong, and differs by 12 mm from others."""
    effect = dict.fromkeys(FIGURES, 0.0) | {UP: 0.2, DOWN: -0.1}
    sat = {name: 50.0 + place for place, name in enumerate(LEARNT_WINDOWS)}
    return Ride(
        given=given, wanted=440.0, place=-1.5, apart=7.0, felt=18.0, spread=12.0,
        chosen=(-9.0, 11.0), by_feel=0.5, said=said, sat=sat,
        sat_spread={name: 2.0 * value for name, value in sat.items()}, effect=effect,
        height_said=height_said,
    )  # fmt: skip


def test_verdicts_on_the_line_are_the_rides_as_they_are() -> None:
    found = line_verdicts([told(460.0, said=1), told(431.0, said=0)])
    assert found.design.tolist() == [[1.0, -1.5, 7.0]] * 2
    assert found.base.tolist() == [440.0, 440.0]
    assert found.low.tolist() == [442.0, 413.0]
    assert found.high.tolist() == [478.0, 449.0]
    assert found.spread.tolist() == [12.0, 12.0]
    assert found.chosen.tolist() == [[-9.0, 11.0]] * 2
    assert found.by_feel.tolist() == [0.5, 0.5]
    assert found.said.tolist() == [1, 0]


@pytest.mark.parametrize(("name", "felt", "turned"), [(UP, 3.6, 1), (DOWN, 1.8, -1)])
def test_a_length_is_felt_in_a_figure_by_what_a_millimetre_does_to_it(
    name: str, felt: float, turned: int
) -> None:
    rides = [told(460.0, said=said) for said in (1, 0, -1)]
    found = window_verdicts(rides, name)
    sat = 50.0 + LEARNT_WINDOWS.index(name)
    assert found.said.tolist() == [turned, 0, -turned]
    assert found.low == pytest.approx(np.full(3, sat - felt))
    assert found.high == pytest.approx(np.full(3, sat + felt))
    assert found.spread.tolist() == [2.0 * sat] * 3
    assert (found.base.tolist(), found.design.tolist()) == ([0.0] * 3, [[1.0]] * 3)
    assert found.by_feel.tolist() == [0.0] * 3


def test_a_figure_that_grips_do_not_move_and_a_height_unsaid_teach_nothing() -> None:
    rides = [told(460.0, said=1), told(460.0, said=1, height_said=-1)]
    assert len(window_verdicts(rides, STILL)) == 0
    found = window_verdicts(rides, BAR_HEIGHT)
    sat = 50.0 + LEARNT_WINDOWS.index(BAR_HEIGHT)
    assert found.said.tolist() == [-1]
    assert (found.low.tolist(), found.high.tolist()) == ([sat - 15.0], [sat + 15.0])


def test_numbers_to_be_learnt_start_from_the_builders() -> None:
    """[CP] 15 mm, 4 mm a size and a fifth of the trust; each looked for four times as far."""
    numbers = {one.name: one for one in line_numbers(0.3)}
    offset, slope, share = (numbers[name] for name in ("offset", "slope", "share"))
    assert (offset.present, offset.prior, offset.low, offset.high) == (0.0, 15.0, -60.0, 60.0)
    assert (slope.present, slope.prior, slope.low, slope.high) == (0.0, 4.0, -16.0, 16.0)
    assert (share.present, share.prior, share.low, share.high) == (0.3, 0.2, 0.0, 1.0)
    middle = window_number("trunk_angle", Window(40.0, 64.0))
    assert (middle.present, middle.prior) == (52.0, 6.0)
    assert (middle.low, middle.high) == (22.0, 82.0)
    assert 0.0 in offset.axis.tolist()
    assert 52.0 in middle.axis.tolist()


BELIEF = condition([Measurement("stature", 1700.0), Measurement("crotch_height", 800.0)])


def ridden(belief: BodyBelief = BELIEF, *, size: int = 2, **told: object) -> Ride:
    row = COCKPITS[size].rows.only([COCKPITS[size].sold])
    return ride_of(RUN, belief, size=size, ridden=row, said=0, **told)  # type: ignore[arg-type]


@pytest.mark.parametrize("size", range(5))
def test_a_size_is_chosen_between_the_middles_to_its_neighbours(size: int) -> None:
    needs = needed(RUN, BELIEF.mean_body())
    expected, given = float(needs.length[0]), RUN.given
    low = (given[size - 1] + given[size]) / 2 if size else -np.inf
    high = (given[size] + given[size + 1]) / 2 if size < 4 else np.inf
    found = ridden(size=size, bought=True)
    assert found.chosen == pytest.approx((low - expected, high - expected))
    assert found.given == pytest.approx(given[size])
    # Half of those choose by feel who buy what is expected of them; whoever buys another, did.
    assert found.by_feel == (0.5 if low <= expected <= high else 1.0)
    assert ridden(size=size).by_feel == 0.0


def test_what_is_wanted_is_the_line_s_and_the_riders_own_wish() -> None:
    needs = needed(RUN, BELIEF.mean_body())
    plain, longer = ridden(), ridden(lean=9.0)
    assert plain.wanted == pytest.approx(float(needs.by_chart[0]))
    assert longer.wanted == pytest.approx(plain.wanted + 9.0)
    assert longer.chosen == pytest.approx(tuple(end - 9.0 for end in plain.chosen))
    assert plain.apart == pytest.approx(float(needs.apart[0]))
    # Three quarters of a mean step; the third of five sizes is the middle of the run.
    assert plain.felt == pytest.approx(0.75 * (RUN.given[4] - RUN.given[0]) / 4)
    place = float(RUN.chart.size_for(np.array([BELIEF.mean_body()["stature"][0]]))[0])
    assert plain.place == pytest.approx(place - 2.0)


def test_spreads_add_in_squares_to_those_of_the_bodies_drawn() -> None:
    """64 bodies, the same each time; a rule that prefers nothing grants bar height 25 mm."""
    drawn = BELIEF.draw(64, np.random.default_rng(6021023))
    body = float(needed(RUN, drawn).length.std())
    found = ridden()
    apart = np.sqrt(RUN.taste_spread**2 + RUN.model_spread**2 + body**2)
    assert found.spread == pytest.approx(apart)
    height = found.sat_spread[BAR_HEIGHT]
    narrow = replace(RUN, rules=replace(RUN.rules, preference={**RUN.rules.preference, UP: 0.5}))
    row = COCKPITS[2].rows.only([COCKPITS[2].sold])
    less = ride_of(narrow, BELIEF, size=2, ridden=row, said=0)
    before = RUN.rules.preference[UP]
    assert found.sat_spread[UP] ** 2 - less.sat_spread[UP] ** 2 == pytest.approx(before**2 - 0.25)
    # Saddle heights of the bodies are all that spreads the bar's height above the saddle.
    sits = postures(row, linkage(drawn), RUN.windows)
    tops = row.saddle(sits.saddle_height)[1][0]
    assert height == pytest.approx(float(np.hypot(25.0, tops.std())))


@pytest.mark.parametrize("size", [-1, 5])
def test_a_size_that_the_run_does_not_have_is_refused(size: int) -> None:
    row = COCKPITS[2].rows.only([0])
    with pytest.raises(InvalidInput) as refused:
        ride_of(RUN, BELIEF, size=size, ridden=row, said=0)
    assert refused.value.field == "size"
    assert refused.value.remedy.highest == 4.0  # type: ignore[attr-defined]
