"""Coverage against counting one body at a time, and the effect of a change."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from geometry.core import ContradictoryInput, InvalidInput, NumberBetween
from geometry.examples import example_cockpits, example_run
from geometry.population import (
    People,
    cells,
    coverage,
    draw_people,
    serve,
    shift,
    shifts_by_group,
)
from geometry.rider import Bodies, linkage
from geometry.sizing import NONE, judge_sizes, needed
from geometry.sizing.swaps import gains

RUN, COCKPITS = example_run(), example_cockpits()
PEOPLE = draw_people(share_of_men=0.3, count=400, seed=5)
SERVED = serve(RUN, COCKPITS, PEOPLE)


def test_shares_are_those_of_counting_one_body_at_a_time() -> None:
    # Every body alone, with every cockpit of every size tried on it.
    sums = {"one": 0.0, "several": 0.0, "with_changes": 0.0, "nobody": 0.0}
    for n in range(len(PEOPLE.bodies)):
        body = Bodies(PEOPLE.bodies.values[n : n + 1])
        gained = gains(RUN, COCKPITS, linkage(body))
        bounds = {
            "shorter": np.array([each.min() for each in gained]),
            "longer": np.array([each.max() for each in gained]),
        }
        found = judge_sizes(RUN, needed(RUN, body), **bounds)
        fitting = int(found.as_sold.sum())
        kind = "one" if fitting == 1 else "several" if fitting else "nobody"
        if not fitting and found.possible.any():
            kind = "with_changes"
        sums[kind] += 0.3 / 200 if PEOPLE.men[n] else 0.7 / 200
    whole = coverage(SERVED)
    assert {name: getattr(whole, name) for name in sums} == pytest.approx(sums)


def test_men_and_women_add_up_to_everybody() -> None:
    men, women = (coverage(SERVED, among) for among in (PEOPLE.men, ~PEOPLE.men))
    whole = coverage(SERVED)
    assert men.people == pytest.approx(0.3)
    for i, size in enumerate(whole.sizes):
        parts = 0.3 * men.sizes[i].as_sold + 0.7 * women.sizes[i].as_sold
        assert size.as_sold == pytest.approx(parts)
    assert whole.as_sold == pytest.approx(0.3 * men.as_sold + 0.7 * women.as_sold)


def test_another_share_of_men_moves_nothing_but_weights() -> None:
    other = draw_people(share_of_men=0.9, count=400, seed=5)
    assert np.array_equal(other.bodies.values, PEOPLE.bodies.values)
    all_men = coverage(serve(RUN, COCKPITS, draw_people(share_of_men=1.0, count=400, seed=5)))
    assert all_men.as_sold == pytest.approx(coverage(SERVED, PEOPLE.men).as_sold)


def test_cells_hold_everybody_once() -> None:
    bodies = PEOPLE.bodies
    statures, legs = np.arange(1300.0, 2300.0, 50.0), np.arange(500.0, 1200.0, 40.0)
    found = cells(SERVED, statures=statures, legs=legs)
    assert sum(cell.people for cell in found) == pytest.approx(1.0)
    fullest = max(found, key=lambda cell: cell.people)
    inside = (
        (bodies["stature"] >= fullest.stature[0]) & (bodies["stature"] < fullest.stature[1])
        & (bodies["crotch_height"] >= fullest.leg[0]) & (bodies["crotch_height"] < fullest.leg[1])
    )  # fmt: skip
    assert fullest.people == pytest.approx(float(PEOPLE.weights[inside].sum()))
    named = SERVED.named[inside]
    assert fullest.named in set(named[named != NONE])
    assert cells(SERVED, statures=np.array([100.0, 200.0]), legs=legs) == ()


def test_taste_spreads_what_is_chosen_about_what_is_named() -> None:
    named = np.array([coverage(SERVED).sizes[i].named for i in range(len(RUN.sizes))])
    assert SERVED.chosen.sum() == pytest.approx(1.0)
    assert SERVED.chosen[:-1] == pytest.approx(named, abs=0.05)


def test_a_shorter_reach_is_gained_by_some_and_lost_by_others() -> None:
    moved = RUN.usually.grip_x - np.array([0.0, 0.0, 30.0, 0.0, 0.0])
    sold = replace(RUN.sold, grip_x=moved)
    draft = replace(RUN, sold=sold, usually=sold, given=moved)
    after = serve(draft, COCKPITS, PEOPLE)
    found = shift(SERVED, after)
    was, now = SERVED.as_sold.any(axis=0), after.as_sold.any(axis=0)
    assert found.lost == pytest.approx(float(PEOPLE.weights[was & ~now].sum()))
    assert found.gained == pytest.approx(float(PEOPLE.weights[now & ~was].sum()))
    both = (SERVED.named != NONE) & (after.named != NONE)
    other = both & (SERVED.named != after.named)
    assert found.other_size == pytest.approx(float(PEOPLE.weights[other].sum()))
    assert found.lost > 0.0
    assert found.other_size > 0.0
    groups = shifts_by_group(SERVED, after, statures=np.arange(1300.0, 2250.0, 50.0))
    worst = [group.shift.worst for group in groups]
    assert worst == sorted(worst, reverse=True)
    assert sum(g.shift.people * g.shift.lost for g in groups) == pytest.approx(found.lost)


def test_a_size_of_another_name_is_another_size() -> None:
    renamed = replace(SERVED, sizes=("XS", "S", "Medium", "L", "XL"))
    share = coverage(SERVED).sizes[2].named
    assert shift(SERVED, renamed).other_size == pytest.approx(share)


def test_what_cannot_be_people_is_refused() -> None:
    with pytest.raises(InvalidInput) as refused:
        draw_people(share_of_men=1.2)
    assert refused.value.remedy == NumberBetween(lowest=0.0, highest=1.0, unit="")
    with pytest.raises(InvalidInput):
        draw_people(count=1)
    bodies = Bodies(PEOPLE.bodies.values[:2])
    with pytest.raises(ContradictoryInput, match="weights of one"):
        People(bodies, np.array([True, False]), np.array([0.7, 0.7]))
    with pytest.raises(ContradictoryInput):
        People(bodies, np.array([True]), np.array([0.5, 0.5]))
    with pytest.raises(ContradictoryInput):
        shift(SERVED, serve(RUN, COCKPITS, draw_people(count=10)))
