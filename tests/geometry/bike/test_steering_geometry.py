"""Trail and its kin against published values, and the front turned against a root finder."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import least_squares

from geometry.bike.parts import Build, Fork
from geometry.bike.standing import Standing, stand
from geometry.bike.steering_geometry import Caster, caster
from geometry.examples.trail_bike import trail_build


def caster_at(head_angle: float, *, front_radius: float, offset: float) -> Caster:
    """`caster` of a head angle in degrees."""
    a = math.radians(head_angle)
    return caster(front_radius=front_radius, offset=offset, sine=math.sin(a), cosine=math.cos(a))


# [R] Moore, Human Control of a Bicycle, diss. UC Davis 2012, chapter Physical
# Parameters: front radius m, head angle deg, offset mm, trail mm; ±1.5 mm.
MEASURED_BICYCLES = [
    (0.3435, 67.1, 70, 69),
    (0.3426, 67.1, 70, 68),
    (0.3400, 73.1, 45, 56),
    (0.3426, 69.0, 45, 83),
    (0.3302, 71.1, 38, 72),
    (0.3338, 74.2, 32, 62),
    (0.3419, 72.7, 57, 47),
]


@pytest.mark.parametrize(("radius", "angle", "offset", "expected"), MEASURED_BICYCLES)
def test_trail_of_seven_measured_bicycles(
    radius: float, angle: float, offset: float, expected: float
) -> None:
    found = caster_at(angle, front_radius=radius * 1000, offset=offset)
    assert found.trail == pytest.approx(expected, abs=1.5)


def test_benchmark_bicycle() -> None:
    # [R] Meijaard, Papadopoulos, Ruina, Schwab, Proc. R. Soc. A 463 (2007),
    # Table 1: trail 0.08 m, steering axis tilt 18°, rF 0.35 m; by arithmetic.
    found = caster_at(72.0, front_radius=350.0, offset=32.07)
    assert found.trail == pytest.approx(80.0, abs=0.005)
    assert found.mechanical_trail == pytest.approx(76.09, abs=0.01)
    assert found.wheel_flop == pytest.approx(23.51, abs=0.005)


def test_the_offset_of_the_benchmark_bicycle() -> None:
    """[R] the same table: trail 0.08 m; ``o = rF cos HA − T sin HA`` is 32.07 mm."""
    angle = math.radians(90.0 - 18.0)
    offset = 350.0 * math.cos(angle) - 80.0 * math.sin(angle)
    assert offset == pytest.approx(32.07, abs=0.005)
    found = caster_at(72.0, front_radius=350.0, offset=offset)
    assert found.trail == pytest.approx(80.0, abs=1e-9)


@given(st.floats(30, 150), st.floats(200, 450), st.floats(-80, 80))
def test_three_trails_are_one_triangle(angle: float, radius: float, offset: float) -> None:
    a = math.radians(angle)
    found = caster(front_radius=radius, offset=offset, sine=math.sin(a), cosine=math.cos(a))
    assert found.mechanical_trail == pytest.approx(found.trail * math.sin(a), abs=1e-9)
    assert found.wheel_flop == pytest.approx(found.trail * math.sin(a) * math.cos(a), abs=1e-9)


def test_a_right_angle_makes_trail_minus_the_offset() -> None:
    found = caster_at(90.0, front_radius=350.0, offset=45.0)
    assert found.trail == pytest.approx(-45.0)


def build(*, offset: float = 48.0, front: float = 370.0, rear: float = 370.0) -> Build:
    drawn = trail_build()
    return Build(
        frame=drawn.frame,
        fork=Fork(axle_to_crown=520.0, offset=offset, travel=125.0),
        lower_headset_stack=12.0,
        front_radius=front,
        rear_radius=rear,
    )


def turned_in_space(bike: Build, standing: Standing, angle: float) -> tuple[float, np.ndarray]:
    """Pitch [deg] and front contact from a root finder, in three dimensions.

    Unknown: pitch, the contact (3 numbers). Fed with: the contact lies on the
    ground, in the wheel's plane, one radius from the axle, and the wheel's rim
    runs level there.
    """
    ha = math.radians(float(standing.head_angle))
    axis = np.array([-math.cos(ha), math.sin(ha), 0.0])
    axle = np.array([*map(float, standing.front_axle), 0.0])
    foot = axle - float(bike.fork.offset) * np.array([math.sin(ha), math.cos(ha), 0.0])
    # Positive to the right turns x towards +z, which is minus the turn about
    # the upward axis in a frame where x × y = z.
    s = -math.radians(angle)

    def about_axis(v: np.ndarray) -> np.ndarray:
        return (
            v * math.cos(s)
            + np.cross(axis, v) * math.sin(s)
            + axis * float(axis @ v) * (1 - math.cos(s))
        )

    def pitched(v: np.ndarray, p: float) -> np.ndarray:
        c, q = math.cos(p), math.sin(p)
        return np.array([c * v[0] - q * v[1], q * v[0] + c * v[1], v[2]])

    def gaps(unknown: np.ndarray) -> np.ndarray:
        p, contact = unknown[0], unknown[1:] * 1000
        centre = pitched(foot + about_axis(axle - foot), p)
        spindle = pitched(about_axis(np.array([0.0, 0.0, 1.0])), p)
        ground = pitched(np.array([*standing.rear_axle, 0.0]), p)[1] - float(bike.rear_radius)
        arm = contact - centre
        tangent = np.cross(spindle, arm)
        radius = float(bike.front_radius)
        return np.array(
            [
                contact[1] - ground,
                arm @ spindle,
                np.linalg.norm(arm) - radius,
                tangent[1],
            ]
        )

    start = np.array([0.05, *(axle + np.array([20.0, -300.0, 10.0])) / 1000])
    found = least_squares(gaps, start, xtol=1e-15, ftol=1e-15, gtol=1e-15)
    assert np.max(np.abs(found.fun)) < 1e-7
    return math.degrees(found.x[0]), found.x[1:] * 1000


def test_small_turns_dip_the_front_as_wheel_flop_says() -> None:
    # The front axle's foot sinks by flop · s²/2 to second order in s.
    bike = build()
    standing = stand(bike)
    s = 0.05
    pitch, _ = turned_in_space(bike, standing, math.degrees(s))
    wanted = math.degrees(float(standing.wheel_flop) * s * s / 2 / float(standing.wheelbase))
    assert -pitch == pytest.approx(wanted, rel=5e-3)
