"""The linkage against published proportions, and its inverse kinematics against themselves."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.rider.body import LANDMARKS, Bodies, Landmark, mean_bodies
from geometry.rider.body_estimate import condition
from geometry.rider.segments import (
    SHOULDER_BELOW_ACROMION,
    ankle_over_pedal,
    far_side,
    flexion,
    joint,
    linkage,
    within_reach,
)

# [E] Drillis and Contini 1966, in Winter, Biomechanics and Motor Control of Human
# Movement: segments as shares of stature. Half a hand reaches from wrist to grip.
SHARES = {
    "thigh": 0.245,
    "shank": 0.246,
    "ankle_height": 0.039,
    "trunk": 0.288,
    "upper_arm": 0.186,
    "forearm": 0.146 + 0.5 * 0.108,
}
DEFINITIONS = 0.018
"""Joint centres and landmarks of the two surveys differ by up to 3 cm, 0.018 of stature."""


@pytest.mark.parametrize("segment", SHARES)
def test_segments_have_the_published_shares_of_stature(segment: str) -> None:
    bodies = mean_bodies()
    shares = getattr(linkage(bodies), segment) / bodies["stature"]
    assert shares.tolist() == pytest.approx([SHARES[segment]] * 2, abs=DEFINITIONS)


def test_hip_and_shoulder_have_the_published_heights() -> None:
    # [E] same: hip .530, shoulder .818 of stature.
    bodies = mean_bodies()
    hip = bodies["trochanterion_height"] / bodies["stature"]
    shoulder = (bodies["acromial_height"] - SHOULDER_BELOW_ACROMION) / bodies["stature"]
    assert hip.tolist() == pytest.approx([0.530] * 2, abs=DEFINITIONS)
    assert shoulder.tolist() == pytest.approx([0.818] * 2, abs=DEFINITIONS)


def test_leg_segments_add_up_to_the_standing_hip() -> None:
    bodies = condition([]).draw(100, np.random.default_rng(4))
    links = linkage(bodies)
    standing = links.thigh + links.shank + links.ankle_height
    assert np.allclose(standing, bodies["trochanterion_height"], rtol=1e-12)


def test_segments_of_a_body_of_round_numbers() -> None:
    """By subtraction on paper; assumed are a shoulder 20 mm below the acromion, an elbow
    20 mm deep, an ear 130 mm below the top of the head, a heel a quarter of the foot long."""
    body: dict[Landmark, float] = {
        "stature": 1800.0,
        "crotch_height": 850.0,
        "trochanterion_height": 950.0,
        "knee_height": 500.0,
        "ankle_height": 70.0,
        "acromial_height": 1500.0,
        "upper_arm_length": 350.0,
        "forearm_length": 280.0,
        "elbow_to_grip_length": 360.0,
        "biacromial_breadth": 400.0,
        "foot_length": 280.0,
        "ball_of_foot_length": 200.0,
    }
    links = linkage(Bodies(np.array([[body.get(landmark, 0.0) for landmark in LANDMARKS]])))
    assert {name: values.tolist() for name, values in vars(links).items()} == {
        "thigh": [450.0],
        "shank": [430.0],
        "ankle_height": [70.0],
        "ankle_to_ball": [130.0],
        "trunk": [530.0],
        "upper_arm": [330.0],
        "forearm": [340.0],
        "elbow_to_wrist": [280.0],
        "shoulder_to_ear": [190.0],
        "shoulder_half_width": [200.0],
        "crotch_height": [850.0],
        "hip_above_crotch": [100.0],
    }


def test_ankle_over_pedal_of_a_foot_of_round_numbers() -> None:
    """A foot pitched by 15°, on a pedal and sole 25 mm thick: turned by complex numbers."""
    links = linkage(mean_bodies())
    foot = (-links.ankle_to_ball + 1j * links.ankle_height) * np.exp(-1j * math.radians(15.0))
    x, y = ankle_over_pedal(links)
    assert np.allclose(x, foot.real, rtol=1e-12)
    assert np.allclose(y, foot.imag + 25.0, rtol=1e-12)


def test_precision_asked_for_is_kept() -> None:
    single = linkage(mean_bodies(), np.float32)
    assert single.trunk.dtype == np.float32
    assert np.allclose(single.trunk, linkage(mean_bodies()).trunk, atol=1e-4)


def test_ankle_over_pedal_keeps_its_distance_from_the_ball() -> None:
    # Turning the foot must not change ankle to sole point under the ball.
    links = linkage(mean_bodies())
    x, y = ankle_over_pedal(links)
    flat = np.hypot(links.ankle_to_ball, links.ankle_height)
    assert np.allclose(np.hypot(x, y - 25.0), flat, rtol=1e-12)


@pytest.mark.parametrize(
    ("angle", "far"), [(0.0, 7.0), (90.0, 5.0), (180.0, 1.0)]
)  # by the law of cosines on a 3-4-5 triangle
def test_far_side_at_its_edges(angle: float, far: float) -> None:
    assert far_side(3.0, 4.0, flexion=angle) == pytest.approx(far, abs=1e-12)
    assert flexion(3.0, 4.0, far=far) == pytest.approx(angle, abs=1e-5)


def test_flexion_beyond_reach_stays_at_its_limit_and_is_told() -> None:
    far = np.array([0.5, 7.0, 9.0])
    assert np.asarray(flexion(3.0, 4.0, far=far)).tolist() == [180.0, 0.0, 0.0]
    assert np.asarray(within_reach(3.0, 4.0, far=far)).tolist() == [False, True, False]


@given(
    first=st.floats(50.0, 600.0),
    second=st.floats(50.0, 600.0),
    angle=st.floats(0.5, 175.0),
)
def test_flexion_and_far_side_are_inverse(first: float, second: float, angle: float) -> None:
    far = far_side(first, second, flexion=angle)
    assert flexion(first, second, far=far) == pytest.approx(angle, abs=1e-3)


@given(
    start=st.tuples(st.floats(-500, 500), st.floats(-500, 500)),
    first=st.floats(100.0, 600.0),
    second=st.floats(100.0, 600.0),
    angle=st.floats(2.0, 170.0),
    heading=st.floats(-math.pi, math.pi),
    forward=st.booleans(),
)
def test_joint_keeps_both_segments_on_the_side_asked_for(
    *,
    start: tuple[float, float],
    first: float,
    second: float,
    angle: float,
    heading: float,
    forward: bool,
) -> None:
    far = float(far_side(first, second, flexion=angle))
    end = start[0] + far * math.cos(heading), start[1] + far * math.sin(heading)
    x, y, reaches = joint(start, end, first=first, second=second, forward=forward)
    assert reaches
    assert math.dist(start, (x, y)) == pytest.approx(first, rel=1e-6)
    assert math.dist((x, y), end) == pytest.approx(second, rel=1e-5)
    cross = (end[0] - start[0]) * (y - start[1]) - (end[1] - start[1]) * (x - start[0])
    assert (cross > 0.0) == forward


def test_joint_out_of_reach_is_told_and_finite() -> None:
    x, y, reaches = joint((0.0, 0.0), (900.0, 0.0), first=300.0, second=400.0, forward=True)
    assert not reaches
    assert (x, y) == (300.0, 0.0)
