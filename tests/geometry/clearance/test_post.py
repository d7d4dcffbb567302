"""Posts: ranges against posts laid out point by point, droppers against trying each.

Marks: [R] read in the source.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.clearance import DeeperSeatTube, LongerPost, ShorterPost
from geometry.clearance.post import (
    Post,
    SeatTube,
    along_axis_height,
    free_depth,
    insertion,
    largest_travel,
    least_insertion,
    post_check,
    post_range,
)
from geometry.core.errors import InvalidInput

TUBE = SeatTube(length=420.0, depth=250.0, least_insertion=100.0)
CATALOGUE = Post(
    body=np.array([170.0, 200.0, 235.0, 270.0, 300.0]),
    head=np.array([150.0, 175.0, 205.0, 235.0, 265.0]),
    least_insertion=np.array([80.0, 85.0, 90.0, 95.0, 100.0]),
    travel=np.array([100.0, 125.0, 150.0, 180.0, 210.0]),
)
tubes = st.builds(
    SeatTube,
    length=st.floats(350.0, 520.0),
    depth=st.floats(120.0, 350.0),
    least_insertion=st.floats(60.0, 120.0),
    offset=st.floats(-40.0, 40.0),
)
heights = st.floats(600.0, 850.0)


def one(index: int) -> Post:
    return Post(
        **{
            name: float(np.asarray(getattr(CATALOGUE, name))[index])
            for name in ("body", "head", "least_insertion", "travel")
        }
    )


def test_least_insertion_is_two_diameters() -> None:
    """[R] 16 CFR 1512.15(b), from the lowest point of the shaft."""
    assert least_insertion(27.2) == pytest.approx(54.4)
    assert least_insertion(31.6, stated=60.0) == pytest.approx(63.2)
    assert least_insertion(31.6, stated=100.0) == 100.0


def test_a_range_laid_out_point_by_point() -> None:
    """From the BB foot: the post's lowest point, its collar, its rails, the saddle."""
    post = one(3)
    reach = post_range(TUBE, post, saddle_stack=45.0)
    bottom_in = 420.0 - 250.0  # the body is longer than the bore: the bore stops it
    assert reach.lowest == bottom_in + 270.0 + 235.0 + 45.0
    bottom_out = 420.0 - 100.0  # the frame wants more than the post
    assert reach.highest == bottom_out + 270.0 + 235.0 + 45.0
    collar_in = post_range(TUBE, one(0), saddle_stack=45.0)
    assert collar_in.lowest == 420.0 + 150.0 + 45.0  # the collar rests on the tube


@given(tube=tubes, height=heights, stack=st.floats(30.0, 60.0))
def test_insertion_puts_the_saddle_at_its_height(
    tube: SeatTube, height: float, stack: float
) -> None:
    post = one(2)
    deep = float(insertion(tube, post, saddle_height=height, saddle_stack=stack))
    top = tube.length - deep + post.body + post.head + stack
    assert np.hypot(top, tube.offset) == pytest.approx(height)


def test_a_saddle_as_flat_as_its_rails_is_a_saddle() -> None:
    assert insertion(TUBE, one(3), saddle_height=700.0, saddle_stack=0.5) == pytest.approx(225.5)


@given(tube=tubes, height=heights)
def test_the_check_is_the_insertion_held_between_its_bounds(tube: SeatTube, height: float) -> None:
    post = one(2)
    deep = float(insertion(tube, post, saddle_height=height, saddle_stack=45.0))
    room = min(float(tube.depth), float(post.body)) - deep
    held = deep - max(float(tube.least_insertion), float(post.least_insertion))
    check = post_check(tube, post, saddle_height=height, saddle_stack=45.0)
    assert check.margin == pytest.approx(min(room, held), abs=1e-9)
    assert check.safety
    if abs(min(room, held)) > 1e-6:
        assert (check.outcome == "no") == (min(room, held) < 0)


@pytest.mark.parametrize(("inside", "outcome"), [(4.97, "tight"), (5.03, "clear")])
def test_within_5_mm_of_its_range_a_post_is_tight(inside: float, outcome: str) -> None:
    """[CP] At either end of its range."""
    reach = post_range(TUBE, one(3), saddle_stack=45.0)
    for height in (float(reach.lowest) + inside, float(reach.highest) - inside):
        check = post_check(TUBE, one(3), saddle_height=height, saddle_stack=45.0)
        assert check.outcome == outcome


def test_remedies_make_it_clear() -> None:
    post = one(3)
    high = post_check(TUBE, post, saddle_height=990.0, saddle_stack=45.0)
    assert high.outcome == "no"
    assert isinstance(high.remedy, LongerPost)
    longer = high.remedy.by
    long = replace(post, body=float(post.body) + longer)
    assert post_check(TUBE, long, saddle_height=990.0, saddle_stack=45.0).outcome == "clear"
    low = post_check(TUBE, post, saddle_height=700.0, saddle_stack=45.0)
    assert low.outcome == "no"
    assert isinstance(low.remedy, ShorterPost)
    shorter = low.remedy.by
    short = replace(post, head=float(post.head) - shorter)
    assert post_check(TUBE, short, saddle_height=700.0, saddle_stack=45.0).outcome == "clear"


def test_a_bore_too_short_for_minimum_insertion_fits_nobody() -> None:
    shallow = SeatTube(length=420.0, depth=80.0, least_insertion=100.0)
    for height in (650.0, 750.0, 850.0):
        check = post_check(shallow, one(2), saddle_height=height, saddle_stack=45.0)
        assert check.outcome == "no"
        assert check.remedy == DeeperSeatTube(by=20.0)


@given(tube=tubes, height=heights)
def test_largest_travel_against_trying_each_post(tube: SeatTube, height: float) -> None:
    fitting = []
    for index in range(5):
        check = post_check(tube, one(index), saddle_height=height, saddle_stack=45.0)
        if check.outcome != "no":
            fitting.append((float(one(index).travel), index))
    travel, which = largest_travel(tube, CATALOGUE, saddle_height=height, saddle_stack=45.0)
    if fitting:
        assert (travel, which) == max(fitting)
    else:
        assert np.isnan(travel)
        assert which == -1


def test_sizes_by_riders_in_one_table() -> None:
    sizes = SeatTube(length=np.array([[380.0], [420.0], [460.0]]), depth=238.0)
    riders = np.array([640.0, 690.0, 740.0, 790.0])
    travel, _ = largest_travel(sizes, CATALOGUE, saddle_height=riders, saddle_stack=45.0)
    assert np.shape(travel) == (3, 4)
    single, _ = largest_travel(
        SeatTube(length=420.0, depth=238.0), CATALOGUE, saddle_height=740.0, saddle_stack=45.0
    )
    table = np.nan_to_num(np.asarray(travel), nan=0.0)
    assert table[1, 2] == single
    assert np.all(np.diff(table[:, :3], axis=0) <= 0), "a longer seat tube takes travel away"


@given(height=heights, shorter=st.floats(0.0, 60.0))
def test_a_shorter_seat_tube_of_the_same_bore_never_takes_travel(
    height: float, shorter: float
) -> None:
    """As long as no post comes out past its minimum insertion."""
    deep = SeatTube(length=460.0, depth=300.0)
    short = SeatTube(length=460.0 - shorter, depth=300.0)
    endless = replace(CATALOGUE, least_insertion=1e-6)
    before, after = (
        np.nan_to_num(
            largest_travel(tube, endless, saddle_height=height, saddle_stack=45.0)[0], nan=0.0
        )
        for tube in (deep, short)
    )
    tall = 460.0 - shorter + 265.0 + 300.0 + 45.0
    if height < tall:
        assert after >= before


def test_depth_with_and_without_a_bottle() -> None:
    assert free_depth(straight=260.0, boss=190.0, bottle=True) == 190.0
    assert free_depth(straight=180.0, boss=190.0, bottle=True) == 180.0
    assert free_depth(straight=260.0, boss=None, bottle=True) == 260.0
    assert free_depth(straight=260.0, boss=190.0) == 260.0


def test_offset_shortens_the_way_along_the_axis() -> None:
    assert along_axis_height(500.0, offset=30.0) == pytest.approx(np.sqrt(500.0**2 - 30.0**2))
    assert along_axis_height(500.0, offset=-30.0) == along_axis_height(500.0, offset=30.0)


def test_bad_input_is_named() -> None:
    with pytest.raises(InvalidInput, match="travel"):
        Post(body=200.0, head=100.0, least_insertion=80.0, travel=125.0)
    with pytest.raises(InvalidInput, match="depth"):
        SeatTube(length=420.0, depth=float("nan"))
    with pytest.raises(InvalidInput, match="saddle_height"):
        along_axis_height(30.0, offset=40.0)
    with pytest.raises(InvalidInput, match="diameter"):
        least_insertion(-31.6)
    with pytest.raises(InvalidInput, match="saddle_stack"):
        post_range(TUBE, one(0), saddle_stack=-1.0)
