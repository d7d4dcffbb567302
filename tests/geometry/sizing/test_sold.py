"""Sizes as sold, the builder's chart and rules: what they refuse, and plain arithmetic."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from geometry.core import ContradictoryInput, InvalidInput, MoreThan, NumberBetween
from geometry.examples import RULES, example_sizes
from geometry.rider import linkage
from geometry.sizing import SizeChart, postures, usual_bodies
from geometry.sizing.length import LONE_LENGTH, read_at
from geometry.sizing.remedies import MoreThanShortest, OneNumberEach, RisingStatures
from tests.geometry.sizing.example import RUN

SIZES = example_sizes()


def test_a_saddle_turns_with_the_bike_as_a_complex_number_does() -> None:
    sunk = np.array([0.0, -0.8, -1.6, 2.5, -3.0])
    heights = np.linspace(600.0, 800.0, 10).reshape(5, 2)
    x, y = replace(SIZES, sunk=sunk, post_x=SIZES.post_x - 40.0, post_y=SIZES.post_y + 90.0).saddle(
        heights
    )
    # Up the axis until the saddle is its height from the BB, then turned about it.
    turn = np.exp(1j * np.radians(sunk))[:, np.newaxis]
    back = (x + 1j * y) / turn
    assert np.abs(back) == pytest.approx(heights)
    along = (back - (-40.0 + 90.0j)) * np.exp(1j * math.radians(74.5))
    assert along.imag == pytest.approx(np.zeros_like(heights), abs=1e-9)
    assert np.all(along.real < 0.0)


def test_some_of_the_sizes_keep_all_their_numbers() -> None:
    names = [name for name in vars(SIZES) if name != "sizes"]
    columns: dict[str, Any] = {name: 100.0 * k + np.arange(5.0) for k, name in enumerate(names)}
    marked = replace(SIZES, **columns)
    some = marked.only([3, 1])
    assert some.sizes == ("L", "S")
    for k, name in enumerate(names):
        assert getattr(some, name).tolist() == [100.0 * k + 3.0, 100.0 * k + 1.0]


@pytest.mark.parametrize("field", ["grip_x", "toe_room", "toe_enough"])
def test_only_a_toe_may_be_infinitely_far_from_the_wheel(field: str) -> None:
    column = getattr(SIZES, field).copy()
    for value, may in ((np.inf, field == "toe_room"), (-np.inf, False), (np.nan, False)):
        column[1] = value
        if may:
            assert replace(SIZES, **{field: column}).toe_room[1] == np.inf
        else:
            with pytest.raises(InvalidInput) as caught:
                replace(SIZES, **{field: column})
            assert (caught.value.field, caught.value.index) == (field, (1,))


def test_a_column_of_another_length_is_refused() -> None:
    with pytest.raises(ContradictoryInput) as caught:
        replace(SIZES, grip_x=np.zeros(4))
    assert (caught.value.field, caught.value.remedy) == ("grip_x", OneNumberEach(count=5))


def test_a_chart_is_read_evenly_between_its_middles_and_on_beyond_them() -> None:
    """By straight lines on paper: middles 1540, 1600, 1690 and 1800 mm."""
    chart = SizeChart(
        np.array([1500.0, 1550.0, 1630.0, 1720.0]), np.array([1580.0, 1650.0, 1750.0, 1880.0])
    )
    assert chart.middles.tolist() == [1540.0, 1600.0, 1690.0, 1800.0]
    stature = np.array([1480.0, 1540.0, 1570.0, 1600.0, 1645.0, 1690.0, 1745.0, 1800.0, 1910.0])
    want = [-1.0, 0.0, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0]
    assert chart.size_for(stature) == pytest.approx(want, abs=1e-12)


def test_the_chart_of_a_single_size_goes_by_a_hundred_millimetres() -> None:
    """[CP] A step of stature of 100 mm where there is no other size to tell it."""
    chart = SizeChart(np.array([1650.0]), np.array([1750.0]))
    assert chart.size_for(np.array([1650.0, 1700.0, 1800.0])).tolist() == [-0.5, 0.0, 1.0]


def test_charts_that_make_no_sense_are_refused() -> None:
    low, high = np.array([1500.0, 1600.0]), np.array([1620.0, 1720.0])
    with pytest.raises(ContradictoryInput) as caught:
        SizeChart(low, high[:1])
    assert (caught.value.field, caught.value.remedy) == ("tallest", OneNumberEach(count=2))
    with pytest.raises(ContradictoryInput) as caught:
        SizeChart(low, np.array([1620.0, 1600.0]))
    assert (caught.value.field, caught.value.remedy) == ("tallest", MoreThanShortest())
    assert caught.value.index == (1,)
    for last in (1700.0, 1710.0):
        with pytest.raises(ContradictoryInput) as caught:
            SizeChart(np.array([1500.0, 1490.0]), np.array([1700.0, last]))
        assert (caught.value.field, caught.value.remedy) == ("shortest", RisingStatures())
    # The middles may rise by as little as one likes.
    hardly = SizeChart(np.array([1500.0, 1490.0]), np.array([1700.0, 1710.01]))
    assert hardly.middles.tolist() == [1600.0, 1600.005]


@pytest.mark.parametrize(
    ("field", "most"),
    [("posture_share", 1.0), ("within", 1.0), ("beyond", 3.0), ("taste_share", 1.0)],
)
def test_shares_of_a_rule_reach_from_nought_to_their_most(field: str, most: float) -> None:
    for share in (0.0, 0.005, most):
        kept: dict[str, Any] = {field: share}
        assert getattr(replace(RULES, **kept), field) == share
    for share in (-0.001, most + 0.005, math.nan, math.inf):
        wrong: dict[str, Any] = {field: share}
        with pytest.raises(InvalidInput) as caught:
            replace(RULES, **wrong)
        assert caught.value.field == field
        assert caught.value.remedy == NumberBetween(lowest=0.0, highest=most, unit="")


def test_how_riders_differ_is_more_than_nought() -> None:
    for spread in (0.0, -1.0, math.nan, math.inf):
        with pytest.raises(InvalidInput) as caught:
            replace(RULES, preference={**RULES.preference, "elbow_flexion": spread})
        assert caught.value.field == "preference.elbow_flexion"
        assert caught.value.remedy == MoreThan(bound=0.0, unit="degrees")
    small = {**RULES.preference, "elbow_flexion": 0.005}
    assert replace(RULES, preference=small).preference["elbow_flexion"] == 0.005
    with pytest.raises(InvalidInput):
        replace(RULES, knee_preference=math.inf)


@pytest.mark.parametrize("count", [1, 2, 5])
def test_rows_are_read_as_numpy_interpolates(count: int) -> None:
    dice = np.random.default_rng(count)
    rows, place = dice.uniform(-50.0, 50.0, (count, 60)), dice.uniform(-1.0, count + 1.0, 60)
    place[:4] = 0.0, count - 1.0, 0.004, min(1.0, count - 1.0)
    want = [np.interp(p, np.arange(float(count)), rows[:, k]) for k, p in enumerate(place)]
    assert read_at(rows, place) == pytest.approx(want, abs=1e-9)


def test_a_lone_size_counts_25_mm_as_a_step() -> None:
    """[CP] About the step of length between sizes in the trade."""
    assert LONE_LENGTH == 25.0


def test_grips_moved_further_are_grips_sold_further() -> None:
    links = linkage(usual_bodies(np.array([1650.0, 1820.0])))
    ahead = replace(SIZES, grip_x=SIZES.grip_x + 12.0)
    far, sold, plain = (
        postures(SIZES, links, RUN.windows, further=12.0),
        postures(ahead, links, RUN.windows),
        postures(SIZES, links, RUN.windows, further=0.0),
    )
    for name, values in sold.figures.items():
        assert far.figures[name] == pytest.approx(values, abs=1e-9)
    still = postures(SIZES, links, RUN.windows)
    assert np.array_equal(still.figures["trunk_angle"], plain.figures["trunk_angle"])
