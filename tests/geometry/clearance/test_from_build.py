"""Standing builds handed to the checks: places agree, and states move them the right way."""

from __future__ import annotations

import numpy as np
import pytest

from geometry.bike.parts import Build, State
from geometry.bike.standing import Standing, stand
from geometry.clearance.from_build import slot_of, wheels_of
from geometry.clearance.pedals import Pedal, Wheel, pedal_ground_clearance
from geometry.clearance.toe import Toe, toe_clearance
from geometry.core import Num
from geometry.drive.slot import centre_at
from geometry.examples.trail_bike import trail_build, trail_fork, trail_hardtail

PEDAL = Pedal(crank_length=170.0, centre=140.0, outer=190.0)


@pytest.mark.parametrize("position", [0.0, 7.5, 16.0])
def test_the_slot_s_centre_distance_is_the_standing_chainstay(position: float) -> None:
    """Two roads to one length: closed form in the drawing, and the bike on the ground."""
    standing = stand(trail_build(position))
    assert centre_at(slot_of(trail_hardtail()), position) == pytest.approx(
        standing.chainstay_length, abs=1e-9
    )


def test_upright_clearance_is_bb_height_less_crank_and_half_a_pedal() -> None:
    standing = stand(trail_build())
    rear, front = wheels_of(standing, rear_width=58.0, front_width=60.0)
    upright = pedal_ground_clearance(rear=rear, front=front, pedal=PEDAL, lean=0.0)
    assert upright == pytest.approx(standing.bb_height - 180.0, abs=1e-9)


def test_sag_brings_the_pedal_nearer_the_ground() -> None:
    build = trail_build()
    clearances = []
    for state in (State.unloaded(), State.sagged(trail_fork(), fraction=0.25)):
        rear, front = wheels_of(stand(build, state), rear_width=58.0, front_width=60.0)
        clearances.append(pedal_ground_clearance(rear=rear, front=front, pedal=PEDAL))
    assert clearances[1] < clearances[0]


def test_the_steering_axis_passes_the_axle_at_the_fork_s_offset() -> None:
    """So that the wheel turns about the right line: distance of the axle from it."""
    standing = stand(trail_build())
    ha = np.radians(standing.head_angle)
    dx = standing.front_axle[0] - standing.head_tube_top[0]
    dy = standing.front_axle[1] - standing.head_tube_top[1]
    assert dx * np.sin(ha) + dy * np.cos(ha) == pytest.approx(48.0, abs=1e-9)


def toe_at(standing: Standing, *, radius: Num, width: float) -> Toe:
    """Toe clearance to a wheel of this size about a standing build's steering axis."""
    x, y = standing.front_axle
    axis_x, axis_y = standing.head_tube_top
    return toe_clearance(
        wheel=Wheel(x=x, y=y, radius=radius, width=width),
        head_angle=standing.head_angle,
        axis_x=axis_x,
        axis_y=axis_y,
        pedal=PEDAL,
    )


def test_a_mudguard_takes_toe_clearance_away() -> None:
    build = trail_build()
    standing = stand(build)
    bare = toe_at(standing, radius=build.front_radius, width=60.0)
    guarded = toe_at(standing, radius=build.front_radius + 15.0, width=70.0)
    # the wheel stands aslant to the bike's long axis where it comes closest
    taken = 15.0 / np.cos(np.radians(float(bare.steering_angle)))
    assert float(bare.clearance) - float(guarded.clearance) == pytest.approx(taken, abs=0.5)


def test_an_array_of_builds() -> None:
    build = Build(
        frame=trail_hardtail(),
        fork=trail_fork(),
        lower_headset_stack=12.0,
        front_radius=np.array([345.0, 370.0]),
        rear_radius=370.0,
    )
    standing = stand(build)
    toe = toe_at(standing, radius=build.front_radius, width=60.0)
    single = toe_at(stand(trail_build()), radius=trail_build().front_radius, width=60.0)
    assert np.shape(toe.clearance) == (2,)
    assert np.asarray(toe.clearance)[1] == pytest.approx(single.clearance, abs=1e-9)
    assert np.asarray(toe.clearance)[0] > np.asarray(toe.clearance)[1]
