"""Which size: against a plain loop, its own promises, and bodies at the edges."""

from __future__ import annotations

from dataclasses import fields, replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.core.errors import ContradictoryInput, InvalidInput
from geometry.examples.fitting import STYLES, TRAIL, example_grid
from geometry.rider.body import Bodies, Measurement, mean_bodies
from geometry.rider.body_estimate import condition
from geometry.rider.segments import SHOE_SOLE, linkage
from geometry.rider.windows import Window
from geometry.sizing.answer import size_figures
from geometry.sizing.distance import NONE, OUTSIDE, Judgement, hard_limits_met, judge
from geometry.sizing.posture_figures import CockpitGrid, seat

GRID = example_grid()


@cache
def people(count: int = 400) -> Bodies:
    """Adults of both sexes."""
    return condition([]).draw(count, np.random.default_rng(12))


@cache
def judged() -> Judgement:
    """`people` on the example grid, trail."""
    return judge(people(), GRID, TRAIL)


def cockpits(grid: CockpitGrid, kept: slice) -> CockpitGrid:
    """The grid with only some of its cockpits."""
    names = [f.name for f in fields(grid) if f.name.startswith(("grip", "stem"))]
    return replace(grid, **{name: getattr(grid, name)[:, kept] for name in names})


def test_a_plain_loop_over_every_size_and_cockpit_agrees() -> None:
    bodies = Bodies(people().values[::80])
    found = judge(bodies, GRID, TRAIL)
    for n in range(len(bodies)):
        links = linkage(Bodies(bodies.values[n : n + 1]))
        allowed = hard_limits_met(seat(GRID, links, TRAIL), TRAIL)[:, 0]
        least = {}
        for size in range(len(GRID.sizes)):
            distances = [
                size_figures(GRID, size, c, links=links, windows=TRAIL).distance
                for c in range(GRID.grip_x.shape[1])
            ]
            assert found.distance[size, n] == pytest.approx(min(distances), abs=1e-3)
            if allowed[size] and min(distances) < OUTSIDE:
                least[size] = min(distances)
        assert set(np.flatnonzero(found.acceptable[:, n])) == set(least)
        assert found.best[n] == (min(least, key=lambda s: least[s]) if least else NONE)


def test_shares_add_up_and_count_the_best() -> None:
    shares = judged().shares()
    assert shares.shape == (6,)
    assert float(shares.sum()) == pytest.approx(1.0)
    assert shares[2] == pytest.approx(float((judged().best == 2).mean()))
    assert shares[NONE] == pytest.approx(float((judged().best == NONE).mean()))


def test_the_best_size_is_always_acceptable() -> None:
    best = judged().best
    some = best != NONE
    assert np.all(judged().acceptable[best[some], np.flatnonzero(some)])
    assert not np.any(judged().acceptable[:, ~some])


def test_fewer_cockpits_never_come_closer() -> None:
    fewer = judge(people(), cockpits(GRID, slice(0, 10)), TRAIL)
    assert np.all(fewer.distance >= judged().distance - 1e-6)
    assert np.all(judged().acceptable | ~fewer.acceptable)


def test_wider_windows_accept_no_fewer() -> None:
    wide = replace(TRAIL, trunk_angle=Window(40.0, 76.0), straddle_room_least=20.0)
    assert np.all(judge(people(), GRID, wide).acceptable | ~judged().acceptable)


def test_a_window_without_weight_does_not_judge() -> None:
    absurd = replace(TRAIL, grips_to_rear_axle=Window(0.0, 1.0, weight=0.0))
    assert np.array_equal(judge(people(), GRID, absurd).best, judged().best)


def test_too_little_straddle_room_refuses_a_size_whatever_its_posture() -> None:
    high = replace(GRID, standover=GRID.standover + 400.0)
    assert np.all(judge(people(), high, TRAIL).best == NONE)


def test_a_post_that_ends_below_the_saddle_refuses_a_size() -> None:
    short = replace(GRID, saddle_highest=GRID.saddle_highest - 400.0)
    assert np.all(judge(people(), short, TRAIL).best == NONE)


def test_straddle_room_is_shod_crotch_height_less_standover() -> None:
    bodies = mean_bodies()
    room = seat(GRID, linkage(bodies), TRAIL).straddle_room
    expected = bodies["crotch_height"] + SHOE_SOLE - GRID.standover[2]
    assert np.allclose(room[2], expected)


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("sex", [0, 1])
def test_a_larger_body_of_the_same_build_never_gets_a_smaller_size(style: str, sex: int) -> None:
    scales = np.linspace(0.85, 1.15, 31)
    bodies = Bodies(scales[:, np.newaxis] * mean_bodies().values[sex])
    best = judge(bodies, GRID, STYLES[style]).best
    suited = np.flatnonzero(best != NONE)
    assert len(suited) > 15
    assert np.all(np.diff(suited) == 1)
    assert np.all(np.diff(best[suited]) >= 0)


@pytest.mark.parametrize("stature", [750.0, 1000.0, 1250.0, 1400.0, 2150.0, 2500.0])
def test_children_and_giants_get_none_of_these_sizes(stature: float) -> None:
    bodies = condition([Measurement("stature", stature, "measured")]).draw(
        200, np.random.default_rng(1)
    )
    found = judge(bodies, GRID, TRAIL)
    assert found.shares()[NONE] > 0.99
    assert np.all(np.isfinite(found.distance))


def test_grips_beyond_every_arm_are_never_acceptable() -> None:
    away = replace(GRID, grip_x=GRID.grip_x + 2000.0)
    found = judge(people(), away, TRAIL)
    assert np.all(found.best == NONE)
    assert np.all(np.isfinite(found.distance))


@given(st.integers(0, 399))
def test_bodies_are_judged_independently(n: int) -> None:
    alone = judge(Bodies(people().values[n : n + 1]), GRID, TRAIL)
    assert alone.best[0] == judged().best[n]


def test_a_grid_of_wrong_shape_is_refused_with_its_field() -> None:
    with pytest.raises(ContradictoryInput) as caught:
        replace(GRID, standover=GRID.standover[:3])
    assert caught.value.field == "standover"
    with pytest.raises(ContradictoryInput) as caught:
        replace(GRID, stem_departure=GRID.stem_departure[:, :4])
    assert caught.value.field == "stem_departure"
    with pytest.raises(ContradictoryInput):
        replace(GRID, sizes=("S", "M"))


def test_a_grid_with_a_hole_is_refused_with_its_row() -> None:
    holed = GRID.grip_y.copy()
    holed[3, 7] = np.nan
    with pytest.raises(InvalidInput) as caught:
        replace(GRID, grip_y=holed)
    assert (caught.value.field, caught.value.index) == ("grip_y", (3, 7))


def test_chances_come_true_on_bodies_drawn_from_the_model() -> None:
    # Readings simulated with the model's own errors: only the sizing can be at fault.
    rng = np.random.default_rng(21)
    bodies = people(240)
    truth = np.where((best := judge(bodies, GRID, TRAIL).best) == NONE, 5, best)
    said, came = [], []
    for n in range(len(bodies)):
        reading = float(bodies["stature"][n] + 8.0 * rng.standard_normal())
        inseam = float(bodies["crotch_height"][n] + 10.0 * rng.standard_normal())
        given_numbers = [Measurement("stature", reading), Measurement("crotch_height", inseam)]
        drawn = condition(given_numbers).draw(300, np.random.default_rng(n))
        shares = judge(drawn, GRID, TRAIL).shares()
        said.append(float(shares.max()))
        came.append(float(shares.argmax() == truth[n]))
    spread = float(np.sqrt(np.sum(np.array(said) * (1.0 - np.array(said)))) / len(said))
    assert float(np.mean(came)) == pytest.approx(float(np.mean(said)), abs=3.0 * spread)
    assert float(np.mean(came)) > 0.5
