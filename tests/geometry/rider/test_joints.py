"""Joints of a rider on a build: lengths kept, sides right, and where the weight comes to lie."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

from geometry.examples import TRAIL, example_sizes
from geometry.loads import Point, rider_mass_centre
from geometry.rider import (
    Linkage,
    RiderPoints,
    linkage,
    mean_bodies,
    reach_posture,
    rider_points,
    saddle_height,
    seated_hip,
    standing_hip,
)

LINKS = linkage(mean_bodies())
SIZES = example_sizes()
MEDIUM = 2


def on_medium(crank_angle: float, *, standing: bool, links: Linkage = LINKS) -> RiderPoints:
    """Mean man and mean woman on the middle size."""
    axis, crank = SIZES.post_axis(), SIZES.crank_length[:, np.newaxis]
    height = saddle_height(links, axis=axis, crank_length=crank, knee_flexion=TRAIL.knee_flexion)
    x, y = (np.asarray(part)[MEDIUM] for part in axis.saddle(height))
    hip = seated_hip(links, (x, y))
    return rider_points(
        links,
        hip=standing_hip(links, TRAIL) if standing else hip,
        grip=(SIZES.grip_x[MEDIUM], SIZES.grip_y[MEDIUM]),
        grip_half_width=SIZES.grip_half_width[MEDIUM],
        crank_length=SIZES.crank_length[MEDIUM],
        crank_angle=crank_angle,
        windows=TRAIL,
        standing=standing,
    )


def apart(start: Point, end: Point) -> np.ndarray:
    """Distance of two points [mm]."""
    return np.asarray(np.hypot(end[0] - start[0], end[1] - start[1]))


@pytest.mark.parametrize(
    ("crank_angle", "standing"),
    [(-90.0, False), (0.0, False), (37.0, False), (180.0, False), (0.0, True), (180.0, True)],
)
def test_every_segment_keeps_its_length(crank_angle: float, standing: bool) -> None:
    points = on_medium(crank_angle, standing=standing)
    joints = points.joints
    assert np.all(points.reaches)
    assert np.allclose(apart(joints.hip, joints.shoulder), LINKS.trunk)
    assert np.allclose(apart(joints.shoulder, joints.ear), LINKS.shoulder_to_ear)
    for leg in (joints.right, joints.left):
        assert np.allclose(apart(joints.hip, leg.knee), LINKS.thigh)
        assert np.allclose(apart(leg.knee, leg.ankle), LINKS.shank)
    upper, fore = apart(joints.shoulder, joints.elbow), apart(joints.elbow, joints.grip)
    assert np.allclose(upper / fore, LINKS.upper_arm / LINKS.forearm)
    assert np.all(upper < LINKS.upper_arm)


def test_pedals_are_opposite_each_other_on_their_circle() -> None:
    joints = on_medium(20.0, standing=False).joints
    right, left = joints.right.ball, joints.left.ball
    assert right[0] == pytest.approx(170.0 * math.cos(math.radians(20.0)))
    assert right[1] == pytest.approx(170.0 * math.sin(math.radians(20.0)))
    assert left[0] == pytest.approx(-right[0])
    assert left[1] == pytest.approx(-right[1])


def test_knees_point_forward_and_elbows_hang() -> None:
    joints = on_medium(0.0, standing=False).joints
    for leg in (joints.right, joints.left):
        assert np.all(leg.knee[0] > np.maximum(joints.hip[0], leg.ankle[0]))
    straight = 0.5 * (joints.shoulder[1] + joints.grip[1])
    assert np.all(joints.elbow[1] < straight + 40.0)


def test_the_lowest_knee_has_the_wanted_flexion() -> None:
    leg = on_medium(-90.0, standing=False).joints.right
    hip = on_medium(-90.0, standing=False).joints.hip
    thigh = np.arctan2(leg.knee[1] - hip[1], leg.knee[0] - hip[0])
    shank = np.arctan2(leg.ankle[1] - leg.knee[1], leg.ankle[0] - leg.knee[0])
    assert np.allclose(np.degrees(thigh - shank), TRAIL.knee_flexion)


def test_standing_hips_are_behind_the_bb_and_above_the_saddle() -> None:
    x, y = standing_hip(LINKS, TRAIL)
    assert np.allclose(x, -TRAIL.standing_hip_behind)
    assert np.all(y > on_medium(-90.0, standing=False).joints.hip[1] + 50.0)


def test_a_seated_rider_puts_a_usual_share_on_the_front_wheel() -> None:
    # [R] by arithmetic from Meijaard et al. 2007 and Moore 2012: 28-34 % on the front for
    # an upright or seated rider. A wheelbase of 1,180 mm is the invented medium's.
    for crank_angle in (-90.0, 0.0):
        x, _ = rider_mass_centre(on_medium(crank_angle, standing=False).joints)
        share = (np.asarray(x) + 430.0) / 1180.0
        assert np.all((share > 0.26) & (share < 0.36))


def test_a_limb_too_short_is_flagged_and_finite() -> None:
    small = Linkage(**{name: 0.5 * values for name, values in vars(LINKS).items()})
    points = rider_points(
        small,
        hip=(-200.0, 750.0),
        grip=(440.0, 720.0),
        grip_half_width=350.0,
        crank_length=170.0,
        crank_angle=-90.0,
        windows=TRAIL,
        standing=False,
    )
    assert not np.any(points.reaches)
    assert all(np.all(np.isfinite(part)) for part in rider_mass_centre(points.joints))


def test_the_wrist_lies_on_the_forearm_a_hand_before_the_grip() -> None:
    joints = on_medium(0.0, standing=False).joints
    to_wrist, to_grip = apart(joints.elbow, joints.wrist), apart(joints.elbow, joints.grip)
    assert np.allclose(to_wrist + apart(joints.wrist, joints.grip), to_grip)
    assert np.all(to_wrist < to_grip)


@pytest.mark.parametrize("standing", [False, True])
def test_trunk_and_elbow_are_those_of_the_windows_seated_or_standing(standing: bool) -> None:
    joints = on_medium(0.0, standing=standing).joints
    windows = (TRAIL.trunk_angle, TRAIL.elbow_flexion)
    if standing:
        windows = (TRAIL.standing_trunk_angle, TRAIL.standing_elbow_flexion)
    found = reach_posture(
        SIZES.grip_x[MEDIUM] - joints.hip[0],
        SIZES.grip_y[MEDIUM] - joints.hip[1],
        links=LINKS,
        grip_half_width=SIZES.grip_half_width[MEDIUM],
        trunk=windows[0],
        elbow=windows[1],
    )
    trunk = (joints.shoulder[0] - joints.hip[0]) + 1j * (joints.shoulder[1] - joints.hip[1])
    assert np.allclose(np.degrees(np.angle(trunk)), found.trunk_angle)
    # The head midway between the trunk and upright [assumed].
    head = (joints.ear[0] - joints.shoulder[0]) + 1j * (joints.ear[1] - joints.shoulder[1])
    assert np.allclose(np.angle(head), (np.angle(trunk) + np.pi / 2.0) / 2.0)
    # An elbow below the arm, bent as in space but for the splay of both its parts.
    share = apart(joints.shoulder, joints.elbow) / LINKS.upper_arm
    assert np.allclose(
        apart(joints.shoulder, joints.grip) / share,
        np.sqrt(
            LINKS.upper_arm**2
            + LINKS.forearm**2
            + 2.0 * LINKS.upper_arm * LINKS.forearm * np.cos(np.radians(found.elbow_flexion))
        ),
    )
    arm = (joints.grip[0] - joints.shoulder[0]) + 1j * (joints.grip[1] - joints.shoulder[1])
    upper = (joints.elbow[0] - joints.shoulder[0]) + 1j * (joints.elbow[1] - joints.shoulder[1])
    assert np.all((np.conj(arm) * upper).imag < 0.0)
    assert np.allclose(
        apart(joints.elbow, joints.wrist) / apart(joints.elbow, joints.grip),
        LINKS.elbow_to_wrist / LINKS.forearm,
    )


def test_arms_too_short_are_enough_not_to_reach() -> None:
    arms = dataclasses.replace(LINKS, upper_arm=0.3 * LINKS.upper_arm, forearm=0.3 * LINKS.forearm)
    assert not np.any(on_medium(0.0, standing=False, links=arms).reaches)


def test_one_leg_too_short_is_enough_not_to_reach() -> None:
    """The saddle where the right pedal, at its top, is in reach and the left one is not."""
    short = dataclasses.replace(LINKS, thigh=0.93 * LINKS.thigh, shank=0.93 * LINKS.shank)
    for crank_angle in (90.0, -90.0):
        hip = on_medium(crank_angle, standing=False).joints.hip
        found = rider_points(
            short,
            hip=hip,
            grip=(SIZES.grip_x[MEDIUM], SIZES.grip_y[MEDIUM]),
            grip_half_width=SIZES.grip_half_width[MEDIUM],
            crank_length=SIZES.crank_length[MEDIUM],
            crank_angle=crank_angle,
            windows=TRAIL,
            standing=False,
        )
        assert not np.any(found.reaches)
