"""Points of a build: they hang together as the parts do."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from geometry.bike.cockpit import hands
from geometry.bike.parts import State
from geometry.bike.saddle import Seat, seated
from geometry.bike.standing import stand
from geometry.core.errors import InvalidInput
from geometry.examples.trail_bike import trail_build, trail_cockpit
from webapp.drawing.points import RIM_SHARE, bike_points, pitch_radius


@pytest.mark.parametrize("used", [0.0, 25.0, 125.0])
def test_fork_reaches_from_crown_to_the_solved_axle(used: float) -> None:
    build = trail_build()
    state = State(fork_compression=used)
    points = bike_points(stand(build, state), build, state=state)
    fork = points.fork
    assert math.dist(fork.crown, fork.foot) == pytest.approx(520.0 - used, abs=1e-5)
    assert math.dist(fork.foot, fork.axle) == pytest.approx(48.0, abs=1e-5)
    assert fork.travel_left == 125.0 - used


@pytest.mark.parametrize("position", [0.0, 8.0, 16.0])
def test_axle_stands_in_its_slot_where_it_was_put(position: float) -> None:
    build = trail_build(position)
    points = bike_points(stand(build), build)
    front, back = points.frame.slot
    axle = points.rear.axle
    # The slot turns with the frame, which turns a little as the axle slides.
    assert math.dist(front, axle) == pytest.approx(position, abs=1e-6)
    assert math.dist(front, back) == pytest.approx(16.0, abs=1e-6)


def test_steering_axis_meets_the_ground_ahead_by_the_trail() -> None:
    standing = stand(trail_build())
    points = bike_points(standing, trail_build())
    x, y = points.axis_on_ground
    top_x, top_y = points.frame.head_tube_top
    slope = math.degrees(math.atan2(top_y - y, x - top_x))
    assert slope == pytest.approx(float(standing.head_angle), abs=1e-6)


def test_parts_not_chosen_are_left_out() -> None:
    points = bike_points(stand(trail_build()), trail_build())
    assert points.cockpit is None
    assert points.saddle is None
    assert points.ring_radius is None
    assert points.rear.rim_radius == pytest.approx(RIM_SHARE * 370.0)


def test_chosen_parts_come_from_their_own_results() -> None:
    build = trail_build()
    standing = stand(build)
    held, sat = hands(standing, trail_cockpit()), seated(standing, build, Seat(height=740.0))
    points = bike_points(
        standing, build, hands=held, seated=sat, rear_rim_radius=311.0, ring_teeth=32
    )
    assert points.cockpit is not None
    assert points.saddle is not None
    assert points.cockpit.grips == held.grips
    assert math.hypot(*points.saddle.post_top) == pytest.approx(740.0)
    assert points.rear.rim_radius == 311.0
    assert points.ring_radius == pitch_radius(32)


@pytest.mark.parametrize(("teeth", "diameter"), [(11, 45.08), (16, 65.10), (34, 137.64)])
def test_pitch_circles_against_a_printed_table(teeth: int, diameter: float) -> None:
    # [E] printed sprocket table, 1-inch values halved.
    assert 2 * pitch_radius(teeth) == pytest.approx(diameter, abs=0.02)


def test_points_that_are_not_finite_are_refused() -> None:
    standing = replace(stand(trail_build()), trail=float("nan"))
    with pytest.raises(InvalidInput) as caught:
        bike_points(standing, trail_build())
    assert caught.value.field == "axis_on_ground"


def test_many_builds_at_once_cannot_be_drawn() -> None:
    build = replace(trail_build(), slot_position=np.array([0.0, 9.0]))
    with pytest.raises(TypeError):
        bike_points(stand(build), build)
