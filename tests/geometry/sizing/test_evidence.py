"""A right position as evidence, against integrating the same model on a grid."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm

from geometry.examples import example_cockpits, example_run
from geometry.rider import Measurement, condition, linkage
from geometry.sizing import RightPosition, judge_sizes, needed, size_up
from geometry.sizing.evidence import SAYS_RIGHT, Learned, learn, length_given
from geometry.sizing.swaps import gains

RUN, COCKPITS = example_run(), example_cockpits()
TOLD = [Measurement("stature", 1780.0, "told"), Measurement("crotch_height", 850.0)]
BEFORE = float(np.hypot(RUN.taste_spread, RUN.model_spread))


def at(size: int, further: float = 0.0, spread: float = 4.0) -> RightPosition:
    """Grips of a size as sold, or further ahead."""
    return RightPosition(
        grip_x=float(RUN.usually.grip_x[size]) + further,
        grip_y=float(RUN.usually.grip_y[size]),
        spread=spread,
    )


@pytest.mark.parametrize("apart", [-30.0, 0.0, 12.5])
@pytest.mark.parametrize("spread", [2.0, 15.0])
def test_what_is_learned_is_the_integral_over_a_grid(apart: float, spread: float) -> None:
    doubts = np.linspace(-12 * BEFORE, 12 * BEFORE, 40001)
    error = np.hypot(spread, SAYS_RIGHT)
    density = np.exp(-((doubts / BEFORE) ** 2 + ((apart - doubts) / error) ** 2) / 2)
    density /= density.sum()
    mean = float(density @ doubts)
    found = learn(RUN, needed=np.array([440.0]), given=np.array([440.0 + apart]), spread=spread)
    assert found.lean[0] == pytest.approx(mean, abs=1e-6)
    assert found.doubt == pytest.approx(float(np.sqrt(density @ (doubts - mean) ** 2)), rel=1e-6)


@pytest.mark.parametrize("right", [at(2), at(3), at(3, 20.0), at(1, -10.0, 12.0)])
def test_chances_are_those_of_a_grid_over_bodies_and_doubt(right: RightPosition) -> None:
    """Every body drawn, weighed by its likelihood at every doubt of a grid."""
    belief = condition(TOLD)
    bodies = belief.draw(2000, np.random.default_rng(99))
    needs, links = needed(RUN, bodies), linkage(bodies)
    place = RUN.chart.size_for(bodies["stature"])
    apart = length_given(RUN, right, links, place) - needs.length
    middle = linkage(belief.mean_body())
    gained = gains(RUN, COCKPITS, middle)
    bounds = {
        "shorter": np.array([each.min() for each in gained]),
        "longer": np.array([each.max() for each in gained]),
    }
    error = np.hypot(right.spread, SAYS_RIGHT)
    whole, total = np.zeros(len(RUN.sizes) + 1), 0.0
    for doubt in np.linspace(-4 * BEFORE, 4 * BEFORE, 81):
        likely = np.exp(-((doubt / BEFORE) ** 2 + ((apart - doubt) / error) ** 2) / 2)
        whole += judge_sizes(RUN, needs, lean=doubt, **bounds).choices() @ likely
        total += likely.sum()
    found = size_up(belief, RUN, COCKPITS, given=TOLD, right=right)
    chances = [*(size.best for size in found.sizes), found.none]
    assert chances == pytest.approx(list(whole / total), abs=0.04)


def test_a_right_position_narrows_and_moves_towards_it() -> None:
    belief = condition(TOLD)
    before = size_up(belief, RUN, COCKPITS, given=TOLD)
    longer = size_up(belief, RUN, COCKPITS, given=TOLD, right=at(4))
    shorter = size_up(belief, RUN, COCKPITS, given=TOLD, right=at(1))
    assert shorter.length < before.length < longer.length
    assert longer.told == pytest.approx(longer.length - before.length)
    assert longer.spreads.taste < before.spreads.taste
    unsure = size_up(belief, RUN, COCKPITS, given=TOLD, right=at(4, spread=1e4))
    assert unsure.length == pytest.approx(before.length, abs=0.1)
    assert [s.best for s in unsure.sizes] == pytest.approx([s.best for s in before.sizes], abs=0.02)


def test_a_position_of_the_unloaded_bike_sinks_with_its_rider() -> None:
    """Sizes that sink by 0.4° to 2.4°: their own grips, turned back by hand, give their length."""
    sunk = np.array([-0.4, -0.9, -1.4, -1.9, -2.4])
    run = replace(RUN, usually=replace(RUN.usually, sunk=sunk))
    links = linkage(condition(TOLD).mean_body())
    for size in range(5):
        grip = run.usually.grip_x[size] + 1j * run.usually.grip_y[size]
        unloaded = grip * np.exp(-1j * np.radians(sunk[size]))
        own = RightPosition(grip_x=unloaded.real, grip_y=unloaded.imag, spread=4.0)
        given = length_given(run, own, links, np.array([float(size)]))
        assert given[0] == pytest.approx(run.given[size], abs=1e-6)
    # Further ahead is longer, and higher is shorter.
    medium = RightPosition(grip_x=unloaded.real + 10.0, grip_y=unloaded.imag, spread=4.0)
    assert length_given(run, medium, links, np.array([4.0]))[0] > run.given[4] + 5.0
    higher = RightPosition(grip_x=unloaded.real, grip_y=unloaded.imag + 20.0, spread=4.0)
    assert length_given(run, higher, links, np.array([4.0]))[0] < run.given[4] - 2.0


def test_a_position_is_called_right_within_10_mm() -> None:
    """[CP] About one step of stem length."""
    assert SAYS_RIGHT == 10.0


@pytest.mark.parametrize("apart", [-20.0, 35.0])
def test_bodies_weigh_as_likely_as_they_make_the_position(apart: float) -> None:
    """By scipy's normal density, and taken as often as they weigh."""
    needs = np.linspace(400.0, 480.0, 161)
    found = learn(RUN, needed=needs, given=np.full(161, 440.0 + apart), spread=6.0)
    error = np.sqrt(BEFORE**2 + 6.0**2 + 10.0**2)
    density = norm.pdf(440.0 + apart - needs, scale=error)
    assert found.weights == pytest.approx(density / density.sum(), rel=1e-9)
    taken = np.bincount(found.drawn_anew(), minlength=161)
    assert np.abs(np.cumsum(taken) - np.cumsum(found.weights) * 161).max() <= 0.5 + 1e-9
    assert taken.sum() == 161


def test_a_position_that_no_body_explains_well_still_tells_them_apart() -> None:
    """Two metres off, where every likelihood is less than a computer's least number."""
    needs = np.array([440.0, 441.0])
    found = learn(RUN, needed=needs, given=needs[:1] + 2000.0, spread=6.0)
    error2 = BEFORE**2 + 6.0**2 + 10.0**2
    odds = np.exp((2000.0**2 - 1999.0**2) / (2.0 * error2))
    assert found.weights[1] / found.weights[0] == pytest.approx(odds, rel=1e-9)
    assert found.weights.sum() == pytest.approx(1.0)


def test_a_body_that_cannot_be_leaves_all_the_weight_to_the_others() -> None:
    """Beside two as likely as each other, one three metres off counts as nothing."""
    needs = np.array([430.0, 450.0, 3440.0])
    found = learn(RUN, needed=needs, given=np.full(3, 440.0), spread=6.0)
    assert found.weights == pytest.approx([0.5, 0.5, 0.0], abs=1e-12)


def test_the_last_body_is_taken_where_it_alone_counts() -> None:
    only = Learned(lean=np.zeros(4), doubt=1.0, weights=np.array([0.0, 0.0, 0.0, 1.0]))
    assert only.drawn_anew().tolist() == [3, 3, 3, 3]
    short = Learned(lean=np.zeros(4), doubt=1.0, weights=np.array([0.3, 0.3, 0.2, 0.0]))
    assert short.drawn_anew().tolist() == [0, 1, 2, 3]  # sums that rounding left below 1


def test_the_grips_a_size_is_sold_with_give_its_length() -> None:
    bodies = condition(TOLD).mean_body()
    for size in range(len(RUN.sizes)):
        given = length_given(RUN, at(size), linkage(bodies), np.array([float(size)]))
        assert given[0] == pytest.approx(RUN.given[size], abs=1e-6)
