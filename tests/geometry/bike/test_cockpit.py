"""Grips, saddle and standover: walked segment by segment, and against a root finder."""

from __future__ import annotations

import cmath
import dataclasses
import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from geometry.bike.cockpit import Cockpit, Handlebar, Stem, hands, places_on_axis
from geometry.bike.parts import Build, State
from geometry.bike.saddle import Seat, carried, seated
from geometry.bike.standing import Standing, stand
from geometry.bike.standover_height import standover, top_tube_ends
from geometry.core.errors import ContradictoryInput, InvalidInput
from geometry.examples.trail_bike import trail_build, trail_cockpit, trail_hardtail
from tests.geometry.random_builds import random_build

seeds = st.integers(0, 100_000)


def random_cockpit(rng: np.random.Generator) -> Cockpit:
    return Cockpit(
        stem=Stem(length=rng.uniform(30, 110), angle=rng.uniform(-20, 40), clamp_height=40.0),
        handlebar=Handlebar(
            width=rng.uniform(600, 820),
            rise=rng.uniform(-10, 60),
            backsweep=rng.uniform(0, 25),
            upsweep=rng.uniform(-3, 8),
            forward=rng.uniform(0, 40),
            roll=rng.uniform(-30, 30),
        ),
        upper_headset_stack=rng.uniform(0, 20),
        spacers=rng.uniform(0, 40),
    )


def direction(degrees: float) -> complex:
    return cmath.exp(1j * math.radians(degrees))


def walked(standing: Standing, cockpit: Cockpit) -> tuple[complex, complex, complex]:
    """Stem foot, bar and grips by walking from the head tube's top, turn by turn."""
    stem: Any = cockpit.stem
    bar: Any = cockpit.handlebar
    up_axis = 180.0 - float(standing.head_angle)
    lift = float(cockpit.upper_headset_stack) + float(cockpit.spacers) + stem.clamp_height / 2
    foot = complex(standing.reach, standing.stack) + lift * direction(up_axis)
    held = foot + stem.length * direction(up_axis - 90 + stem.angle)
    out = bar.width / 2 - bar.grip_from_end - bar.sweep_start
    rise = bar.rise + out * math.tan(math.radians(bar.upsweep))
    back = out * math.tan(math.radians(bar.backsweep)) - bar.forward
    tipped = up_axis - bar.roll
    return foot, held, held + rise * direction(tipped) + back * direction(tipped + 90)


@given(seeds)
def test_grips_are_where_walking_there_ends(seed: int) -> None:
    rng = np.random.default_rng(seed)
    standing, cockpit = stand(random_build(rng)), random_cockpit(rng)
    found = hands(standing, cockpit)
    foot, bar, grips = walked(standing, cockpit)
    for point, wanted in ((found.stem_foot, foot), (found.bar, bar), (found.grips, grips)):
        assert complex(*point) == pytest.approx(wanted, abs=1e-9)
    axle = complex(*standing.rear_axle)
    assert found.to_rear_axle == pytest.approx((grips - axle).real, abs=1e-9)
    assert found.to_rear_axle_straight == pytest.approx(abs(grips - axle), abs=1e-9)
    assert found.height == pytest.approx(grips.imag + standing.bb_height, abs=1e-9)


def test_a_square_cockpit_by_hand() -> None:
    # Upright steering axis, stem square to it: everything adds up level and upright.
    standing = dataclasses.replace(stand(trail_build()), head_angle=90.0, reach=400.0, stack=600.0)
    cockpit = Cockpit(
        stem=Stem(length=60.0), handlebar=Handlebar(width=700.0, rise=25.0), spacers=15.0
    )
    assert hands(standing, cockpit).grips == pytest.approx((460.0, 660.0))


def test_sweep_at_a_right_angle_of_roll_swaps_up_and_back() -> None:
    flat = Handlebar(width=780.0, rise=30.0, roll=0.0)
    tipped = dataclasses.replace(flat, roll=90.0)
    stem = Stem(length=50.0)
    up, forward = places_on_axis(Cockpit(stem=stem, handlebar=flat)).grips
    up_tipped, forward_tipped = places_on_axis(Cockpit(stem=stem, handlebar=tipped)).grips
    assert (up - up_tipped, forward_tipped - forward) == pytest.approx((30.0, 30.0))


def test_a_bar_too_narrow_for_its_sweep_and_grips() -> None:
    with pytest.raises(ContradictoryInput) as caught:
        Handlebar(width=np.array([700.0, 250.0]))
    assert (caught.value.field, caught.value.value, caught.value.index) == ("width", 250.0, (1,))


@given(seeds, st.floats(500, 850))
def test_saddle_lies_on_the_axis_at_its_height(seed: int, height: float) -> None:
    build = random_build(np.random.default_rng(seed))
    standing = stand(build)
    found = seated(standing, build, Seat(height=height))
    x, y = found.post_top
    assert math.hypot(x, y) == pytest.approx(height, abs=1e-9)
    # The ground lies below the rear axle by the rear wheel's radius.
    ground = float(standing.rear_axle[1] - build.rear_radius)
    assert found.height == pytest.approx(y - ground, abs=1e-9)
    assert found.effective_seat_angle == pytest.approx(math.degrees(math.atan2(y, -x)), abs=1e-9)
    # Found again by a root finder walking up the seat tube's axis.
    angle = math.radians(float(standing.seat_tube_angle))
    offset = float(build.frame.seat_tube_offset)

    def point(up: float) -> complex:
        return complex(offset * math.sin(angle), offset * math.cos(angle)) + up * complex(
            -math.cos(angle), math.sin(angle)
        )

    up = brentq(lambda up: abs(point(up)) - height, 0.0, 2000.0, xtol=1e-12)
    assert complex(x, y) == pytest.approx(point(up), abs=1e-8)


@given(seeds, st.floats(600, 850), st.floats(-30, 40), st.floats(-25, 25))
def test_saddle_height_and_clamp_are_inverse(
    seed: int, height: float, back: float, slid: float
) -> None:
    build = random_build(np.random.default_rng(seed))
    standing = stand(build)
    seat = Seat(height=height, post_offset=back, rail_position=slid)
    found = seated(standing, build, seat)
    # From the clamp back up the axis to the saddle's level, then straight to the BB.
    sine, cosine = (f(math.radians(float(standing.seat_tube_angle))) for f in (math.sin, math.cos))
    run = found.post_above_bb + (seat.saddle_stack - back * cosine) / sine
    assert np.hypot(run, build.frame.seat_tube_offset) == pytest.approx(height, abs=1e-8)
    assert found.saddle[0] - found.clamp[0] == pytest.approx(slid, abs=1e-9)
    assert found.saddle[1] - found.clamp[1] == pytest.approx(seat.saddle_stack, abs=1e-9)


@given(seeds)
def test_setback_is_square_to_the_post(seed: int) -> None:
    build = random_build(np.random.default_rng(seed))
    standing = stand(build)
    angle = math.radians(float(standing.seat_tube_angle))
    clamp = complex(*seated(standing, build, Seat(height=720.0, post_offset=25.0)).clamp)
    square = (clamp * complex(math.sin(angle), -math.cos(angle))).real
    assert square == pytest.approx(build.frame.seat_tube_offset - 25.0, abs=1e-9)


def test_a_seat_tube_through_the_bb_keeps_its_angle() -> None:
    build = trail_build()
    standing = stand(build)
    for height in (400.0, 740.0, 900.0):
        found = seated(standing, build, Seat(height=height))
        assert found.effective_seat_angle == standing.seat_tube_angle


def test_a_saddle_nearer_than_the_axis_is_refused() -> None:
    frame = dataclasses.replace(trail_hardtail(), seat_tube_offset=-50.0)
    build = dataclasses.replace(trail_build(), frame=frame)
    with pytest.raises(ContradictoryInput) as caught:
        seated(stand(build), build, Seat(height=np.array([700.0, 50.0])))
    assert (caught.value.field, caught.value.value, caught.value.index) == ("height", 50.0, (1,))


@given(seeds, st.floats(0.001, 0.999))
def test_standover_is_the_tube_s_upper_edge(seed: int, share: float) -> None:
    build = random_build(np.random.default_rng(seed))
    standing = stand(build)
    tube = build.frame.top_tube
    assert tube is not None
    low, high = (complex(*end) for end in top_tube_ends(standing, build, tube))
    if high.real - low.real < 50:  # a nearly upright tube is no place to stand over
        return
    ahead = low.real + share * (high.real - low.real)

    def above_edge(y: float) -> float:
        """How far a point is above the edge, square to the tube."""
        return ((complex(ahead, y) - low) / (high - low)).imag * abs(high - low) - float(
            tube.diameter
        ) / 2

    edge = brentq(above_edge, -2000.0, 3000.0, xtol=1e-11)
    found = standover(standing, build, ahead=ahead)
    assert found == pytest.approx(edge + standing.bb_height, abs=1e-7)


@given(seeds)
def test_ends_of_the_top_tube_turn_with_the_frame(seed: int) -> None:
    build = random_build(np.random.default_rng(seed))
    frame, standing, tube = build.frame, stand(build), build.frame.top_tube
    assert tube is not None
    seat = math.radians(float(frame.seat_tube_angle))
    head = math.radians(float(frame.head_angle))
    drawn_seat = complex(frame.seat_tube_offset, tube.along_seat_tube) * cmath.exp(
        1j * (math.pi / 2 - seat)
    )
    drawn_head = complex(frame.reach, frame.stack) + tube.below_head_tube_top * complex(
        math.cos(head), -math.sin(head)
    )
    ends = top_tube_ends(standing, build, tube)
    for found, drawn in zip(ends, (drawn_seat, drawn_head), strict=True):
        expected = standing.place(float(drawn.real), float(drawn.imag))
        assert found == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("ahead", [-200.0, 500.0])
def test_standover_beyond_the_tube_is_refused(ahead: float) -> None:
    build = trail_build()
    with pytest.raises(InvalidInput) as caught:
        standover(stand(build), build, ahead=np.array([50.0, ahead]))
    assert (caught.value.field, caught.value.index) == ("ahead", (1,))


def test_standover_without_a_top_tube_is_refused() -> None:
    build = trail_build()
    bare = dataclasses.replace(build, frame=dataclasses.replace(build.frame, top_tube=None))
    with pytest.raises(InvalidInput) as caught:
        standover(stand(bare), bare, ahead=50.0)
    assert caught.value.field == "top_tube"


def test_arrays_are_their_elements() -> None:
    heights = np.array([650.0, 700.0, 750.0])
    build = trail_build()
    standing = stand(build)
    together = seated(standing, build, Seat(height=heights))
    lengths = np.array([40.0, 50.0])
    cockpit = trail_cockpit()
    longer = dataclasses.replace(cockpit, stem=dataclasses.replace(cockpit.stem, length=lengths))
    held = hands(standing, longer)
    for row, height in enumerate(heights):
        alone = seated(standing, build, Seat(height=float(height)))
        assert np.asarray(together.height)[row] == pytest.approx(alone.height, abs=1e-9)
    for row, length in enumerate(lengths):
        stem = dataclasses.replace(cockpit.stem, length=float(length))
        alone_held = hands(standing, dataclasses.replace(cockpit, stem=stem))
        assert np.asarray(held.to_rear_axle)[row] == pytest.approx(
            alone_held.to_rear_axle, abs=1e-9
        )


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: Stem(length=math.nan), "length"),
        (lambda: Stem(length=-1.0), "length"),
        (lambda: Stem(length=50.0, angle=91.0), "angle"),
        (lambda: Handlebar(width=math.inf), "width"),
        (lambda: Handlebar(width=780.0, backsweep=90.0), "backsweep"),
        (lambda: Seat(height=0.0), "height"),
        (lambda: dataclasses.replace(trail_cockpit(), spacers=-5.0), "spacers"),
    ],
)
def test_unusable_numbers_are_refused(make: Any, field: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        make()
    assert caught.value.field == field


def build_with(**changed: Any) -> Build:
    return dataclasses.replace(trail_build(), **changed)


def test_sag_moves_grips_and_saddle_with_the_frame() -> None:
    # The grips keep their straight distance to the rear axle in any attitude.
    one, other = build_with(), build_with(front_radius=355.0)
    held = [hands(stand(bike), trail_cockpit()) for bike in (one, other)]
    assert held[0].to_rear_axle_straight == pytest.approx(held[1].to_rear_axle_straight, abs=1e-9)
    assert held[0].to_rear_axle < held[1].to_rear_axle


def test_saddle_is_carried_along_as_part_of_the_frame() -> None:
    """Set level unloaded, then sagged: distances to the frame's own points stay as they were."""
    build = trail_build()
    free, sagged = stand(build), stand(build, State(fork_compression=35.0))
    found = seated(free, build, Seat(height=740.0, post_offset=20.0, rail_position=8.0))
    moved = carried(found, before=free, after=sagged)
    for name in ("post_top", "clamp", "saddle"):
        before, after = complex(*getattr(found, name)), complex(*getattr(moved, name))
        assert abs(after) == pytest.approx(abs(before), abs=1e-9)
        grown = abs(after - complex(*sagged.head_tube_top)) - abs(
            before - complex(*free.head_tube_top)
        )
        assert grown == pytest.approx(0, abs=1e-9)
    assert moved.post_above_bb == found.post_above_bb
    assert moved.height == pytest.approx(moved.post_top[1] + sagged.bb_height)
