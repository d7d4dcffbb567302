"""Which sizes fit whom: against a plain loop, and hard limits that nothing softens."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from geometry.core import ContradictoryInput, InvalidInput
from geometry.examples import RULES, example_cockpits, example_sizes
from geometry.examples.fitting import CHART
from geometry.rider import SHOE_SOLE, linkage, mean_bodies
from geometry.sizing import (
    NONE,
    Cockpits,
    OneNumberEach,
    SizeChart,
    asked_length,
    check_fit,
    farthest,
    judge_sizes,
    needed,
    postures,
    usual_bodies,
)
from geometry.sizing.check import backward
from geometry.sizing.size_suitability import near_enough
from geometry.sizing.swaps import gains, least_swap
from tests.geometry.sizing.example import COCKPITS, RUN, people


def test_a_plain_loop_over_people_and_sizes_agrees() -> None:
    needs = needed(RUN, people())
    found = judge_sizes(RUN, needs)
    given, steps = RUN.given.tolist(), RUN.steps.tolist()
    for n in range(0, len(people()), 20):
        fitting = {}
        for i, length in enumerate(given):
            miss = length - float(needs.length[n])
            down = steps[i - 1] * 0.75 if i else steps[0] * 1.25
            up = steps[i] * 0.75 if i < len(steps) else steps[-1] * 1.25
            height = float(needs.saddle_height[i, n])
            reached = RUN.sold.saddle_lowest[i] - 5.0 <= height <= RUN.sold.saddle_highest[i] + 5.0
            room = float(people()["crotch_height"][n]) + SHOE_SOLE - RUN.sold.standover[i]
            if -up <= miss <= down and reached and room >= 50.0:
                fitting[i] = abs(miss)
        assert set(np.flatnonzero(found.as_sold[:, n])) == set(fitting)
        if fitting:
            assert found.named[n] == min(fitting, key=lambda i: fitting[i])


def test_shares_add_up_and_count_those_named() -> None:
    found = judge_sizes(RUN, needed(RUN, people()))
    choices = found.choices()
    assert np.all(choices.sum(axis=0) == 1.0)
    assert float(choices[2].mean()) == pytest.approx(float((found.named == 2).mean()))
    assert float(choices[NONE].mean()) == pytest.approx(float((found.named == NONE).mean()))


def test_never_three_sizes_fit_as_sold() -> None:
    lean = np.linspace(-60.0, 60.0, 121)
    needs = needed(RUN, usual_bodies(np.full(121, 1725.0)))
    found = judge_sizes(RUN, needs, lean=lean)
    assert set(found.as_sold.sum(axis=0)) <= {0, 1, 2}


def test_too_little_room_refuses_a_size_whatever_its_length() -> None:
    high = replace(RUN, sold=replace(RUN.sold, standover=RUN.sold.standover + 400.0))
    found = judge_sizes(high, needed(high, people()), shorter=-100.0, longer=100.0)
    assert np.all(found.named == NONE)


def test_another_post_makes_a_size_possible_and_no_post_none() -> None:
    short = replace(RUN, sold=replace(RUN.sold, saddle_highest=RUN.sold.saddle_lowest + 1.0))
    found = judge_sizes(short, needed(short, people()))
    assert not found.as_sold.all(axis=0).any()
    assert np.array_equal(found.possible.any(axis=0), found.named != NONE)
    none = replace(RUN, sold=replace(short.sold, any_highest=RUN.sold.saddle_lowest + 1.0))
    assert np.all(judge_sizes(none, needed(none, people())).possible <= found.possible)


def test_how_near_is_enough_follows_each_step_of_the_run() -> None:
    """Three quarters of a step to a neighbour, five quarters of the last one beyond the ends."""
    low, high = near_enough(replace(RUN, given=np.array([400.0, 420.0, 448.0, 480.0, 520.0])))
    assert low == pytest.approx([-15.0, -21.0, -24.0, -30.0, -50.0])
    assert high == pytest.approx([25.0, 15.0, 21.0, 24.0, 30.0])


@pytest.mark.parametrize(("beyond", "reached"), [(4.9, True), (5.1, False)])
def test_a_saddle_may_miss_its_post_by_5_mm_at_either_end(beyond: float, reached: bool) -> None:
    needs = needed(RUN, usual_bodies(np.array([1725.0])))
    height = needs.saddle_height[:, 0]
    for lowest, highest in (
        (height + beyond, height + 90.0),
        (height - 90.0, height - beyond),
    ):
        sold = replace(RUN.sold, saddle_lowest=lowest, saddle_highest=highest)
        found = judge_sizes(replace(RUN, sold=sold), needs)
        assert np.all(found.post == reached)
        every = replace(RUN.sold, any_lowest=lowest, any_highest=highest)
        assert np.all(judge_sizes(replace(RUN, sold=every), needs).any_post == reached)


def test_straddle_room_is_shod_crotch_height_less_standover() -> None:
    bodies = mean_bodies()
    room = postures(RUN.sold, linkage(bodies), RUN.windows).straddle_room
    assert np.allclose(room[2], bodies["crotch_height"] + SHOE_SOLE - RUN.sold.standover[2])


@pytest.mark.parametrize("size", range(5))
def test_a_swap_gains_what_the_run_says_and_costs_the_least(size: int) -> None:
    links = linkage(usual_bodies(RUN.chart.middles[size : size + 1]))
    cockpits = COCKPITS[size]
    (gained,) = gains(RUN, [cockpits], links)
    assert gained[cockpits.sold] == 0.0
    swap = least_swap(cockpits, gained, too_long=25.0, low=-18.0, high=18.0)
    assert swap is not None
    assert -18.0 <= 25.0 + gained[swap] <= 18.0
    enough = np.abs(25.0 + gained) <= 18.0
    assert cockpits.effort[swap] == cockpits.effort[enough].min()
    assert least_swap(cockpits, gained, too_long=900.0, low=-18.0, high=18.0) is None


def test_sizes_worked_out_together_gain_what_each_gains_alone() -> None:
    links = linkage(usual_bodies(np.array([1725.0])))
    last = COCKPITS[4]
    only_sold = Cockpits(rows=last.rows.only([last.sold]), effort=np.zeros(1))
    uneven = [COCKPITS[0], only_sold, *COCKPITS[2:4]]
    alone = [gains(RUN, [each], links)[0] for each in uneven]
    for one, other in zip(gains(RUN, uneven, links), alone, strict=True):
        assert np.array_equal(one, other)


def test_a_longer_stem_lengthens_and_spacers_shorten() -> None:
    links = linkage(usual_bodies(np.array([1725.0])))
    gained = gains(RUN, COCKPITS, links)[2]
    by_name = dict(zip(COCKPITS[2].rows.sizes, gained, strict=True))
    assert by_name["(65.0, 10.0, 25.0)"] == pytest.approx(15.0, abs=5.0)
    assert by_name["(50.0, 30.0, 25.0)"] < -5.0


def test_how_far_cockpits_go_is_found_by_trying_them_all() -> None:
    links = linkage(people(60))
    for cockpits in (COCKPITS[0], COCKPITS[3]):
        asked = asked_length(postures(cockpits.rows, links, RUN.windows), RUN.worth)
        longer = asked[int(np.flatnonzero(cockpits.effort == 0.0)[0])] - asked
        least, most = farthest(RUN, cockpits, links)
        assert least == pytest.approx(longer.min(axis=0), abs=0.3)
        assert most == pytest.approx(longer.max(axis=0), abs=0.3)


def test_of_cockpits_of_one_effort_the_nearest_is_taken() -> None:
    """On paper: the sold one misses, two of one effort mend it, a third asks for more."""
    rows = COCKPITS[2].rows.only([0, 1, 2, 3, 4])
    cockpits = Cockpits(rows=rows, effort=np.array([3.0, 0.0, 1.0, 1.0, 1.0 + 1e-6]))
    gained = np.array([-20.0, 0.0, -8.0, -14.0, -19.0])
    assert cockpits.sold == 1
    assert least_swap(cockpits, gained, too_long=20.0, low=-15.0, high=15.0) == 3
    assert least_swap(cockpits, gained, too_long=-12.0, low=-15.0, high=15.0) == 1
    assert least_swap(cockpits, gained, too_long=20.0, low=-2.0, high=2.0) == 4
    with pytest.raises(ContradictoryInput) as caught:
        Cockpits(rows=rows, effort=np.array([3.0, 0.01, 1.0, 1.0, 1.0]))
    assert (caught.value.field, caught.value.remedy) == ("effort", OneNumberEach(count=5))
    with pytest.raises(ContradictoryInput):
        Cockpits(rows=rows, effort=np.zeros(4))


def test_a_size_that_shrinks_against_the_chart_is_seen_by_the_check() -> None:
    # Medium's top tube raised out of reach: riders fall to Small and on to Large.
    standover = RUN.sold.standover.copy()
    standover[2] += 200.0
    broken = replace(RUN, sold=replace(RUN.sold, standover=standover))
    assert backward(broken)
    assert check_fit(broken, people()).fitting[0] > check_fit(RUN, people()).fitting[0]


def test_what_does_not_belong_together_is_refused_with_its_field() -> None:
    sizes = example_sizes()
    with pytest.raises(ContradictoryInput) as caught:
        replace(sizes, standover=sizes.standover[:3])
    assert caught.value.field == "standover"
    with pytest.raises(InvalidInput) as wrong:
        replace(sizes, grip_x=sizes.grip_x * np.nan)
    assert wrong.value.field == "grip_x"
    with pytest.raises(ContradictoryInput):
        SizeChart(CHART.shortest[::-1].copy(), CHART.tallest[::-1].copy())
    with pytest.raises(ContradictoryInput):
        SizeChart(CHART.tallest, CHART.shortest)
    with pytest.raises(InvalidInput):
        replace(RULES, posture_share=1.5)
    with pytest.raises(InvalidInput):
        replace(RULES, preference={})
    with pytest.raises(ContradictoryInput):
        replace(example_cockpits()[0], effort=np.ones(30))
