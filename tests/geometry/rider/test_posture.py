"""Posture of trunk and arms: closure, an outside minimiser, edges and monotonic effects."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar

from geometry.core import AtLeast
from geometry.core.errors import ContradictoryInput, InvalidInput
from geometry.examples.fitting import TRAIL
from geometry.rider.body import mean_bodies
from geometry.rider.body_estimate import condition
from geometry.rider.joints import standing_hip
from geometry.rider.posture import ArmPosture, reach_posture
from geometry.rider.segments import Linkage, ankle_over_pedal, linkage
from geometry.rider.windows import Window

TRUNK, ELBOW = Window(45.0, 65.0), Window(10.0, 40.0)
WIDTH = 350.0


def posture(links: Linkage, level: float, rise: float, width: float = WIDTH) -> ArmPosture:
    """Posture in the windows of this module."""
    return reach_posture(level, rise, links=links, grip_half_width=width, trunk=TRUNK, elbow=ELBOW)


def closure(links: Linkage, found: ArmPosture, level: float, rise: float) -> np.ndarray:
    """How far hip, trunk, arm and grips fail to close, in space [mm]."""
    trunk = np.radians(found.trunk_angle)
    x, y = level - links.trunk * np.cos(trunk), rise - links.trunk * np.sin(trunk)
    z = WIDTH - links.shoulder_half_width
    bend = np.radians(found.elbow_flexion)
    upper, fore = links.upper_arm, links.forearm
    arm = np.hypot(upper + fore * np.cos(bend), fore * np.sin(bend))
    return np.asarray(np.sqrt(x * x + y * y + z * z) - arm)


@given(level=st.floats(480.0, 850.0), rise=st.floats(-250.0, 200.0))
def test_a_reachable_posture_closes_the_linkage(level: float, rise: float) -> None:
    links = linkage(mean_bodies())
    found = posture(links, level, rise)
    assert np.all(found.reachable)
    assert np.allclose(closure(links, found, level, rise), 0.0, atol=1e-6)


def test_sharing_lands_near_the_least_sum_of_squares() -> None:
    # Independent: scipy searches the elbow flexion for the least distance from both windows.
    links = linkage(mean_bodies())
    man = Linkage(**{name: values[:1] for name, values in vars(links).items()})
    for level, rise in ((560.0, -60.0), (640.0, -40.0), (700.0, -20.0), (640.0, 60.0)):

        def cost(elbow: float, level: float = level, rise: float = rise) -> float:
            upper, fore = float(man.upper_arm[0]), float(man.forearm[0])
            across = WIDTH - float(man.shoulder_half_width[0])
            arm2 = upper**2 + fore**2 + 2 * upper * fore * math.cos(math.radians(elbow))
            chord2, span = arm2 - across**2, math.hypot(level, rise)
            trunk = float(man.trunk[0])
            inner = math.acos((trunk**2 + span**2 - chord2) / (2 * trunk * span))
            angle = math.degrees(math.atan2(rise, level) + inner)
            return ((angle - 55.0) / 10.0) ** 2 + ((elbow - 25.0) / 15.0) ** 2

        best = minimize_scalar(cost, bounds=(0.0, 90.0), method="bounded")
        found = posture(man, level, rise)
        # One derivative step is not the exact least; it must come close to it.
        assert cost(float(found.elbow_flexion[0])) < best.fun + 0.05


def trunk_for(links: Linkage, level: float, rise: float, elbow: float) -> float:
    """Trunk angle that closes the linkage for an elbow's flexion, both [rad]: law of cosines."""
    upper, fore, trunk = (float(each[0]) for each in (links.upper_arm, links.forearm, links.trunk))
    across = WIDTH - float(links.shoulder_half_width[0])
    chord2 = upper**2 + fore**2 + 2 * upper * fore * math.cos(elbow) - across**2
    span = math.hypot(level, rise)
    inner = math.acos((trunk**2 + span**2 - chord2) / (2 * trunk * span))
    return math.atan2(rise, level) + inner


@pytest.mark.parametrize(
    ("level", "rise"), [(560.0, -60.0), (640.0, -40.0), (700.0, -20.0), (640.0, 60.0)]
)
def test_one_step_along_the_closure_s_derivative(level: float, rise: float) -> None:
    """The least of two squares along a line, its slope taken numerically.

    With m the trunk's miss at the elbow's middle, by its sine, and s the slope of
    trunk by elbow: −s m / (s² + (10/15)²), the windows' half widths being 10° and 15°.
    """
    links = linkage(mean_bodies())
    middle, step = math.radians(25.0), 1e-5
    miss = math.sin(trunk_for(links, level, rise, middle) - math.radians(55.0))
    ahead, behind = (trunk_for(links, level, rise, middle + d) for d in (step, -step))
    slope = (ahead - behind) / (2 * step)
    bend = middle - slope * miss / (slope**2 + (10.0 / 15.0) ** 2)
    found = posture(links, level, rise)
    assert found.elbow_flexion[0] == pytest.approx(math.degrees(bend), abs=1e-5)
    trunk = trunk_for(links, level, rise, bend)
    assert found.trunk_angle[0] == pytest.approx(math.degrees(trunk), abs=1e-5)


def test_a_trunk_that_nearly_points_at_the_grips_shares_by_a_sine_of_three_tenths() -> None:
    """Assumed: below a sine of 0.3 of the angle between them the step is taken as at 0.3.

    With q = upper × fore × sin(elbow)/(trunk × span) the slope is −q/0.3.
    """
    links = linkage(mean_bodies())
    middle, level, rise = math.radians(25.0), 1110.0, -30.0
    upper, fore, trunk = (float(each[0]) for each in (links.upper_arm, links.forearm, links.trunk))
    at = trunk_for(links, level, rise, middle)
    assert 0.02 < math.sin(at - math.atan2(rise, level)) < 0.25
    slope = -upper * fore * math.sin(middle) / (trunk * math.hypot(level, rise)) / 0.3
    miss = math.sin(at - math.radians(55.0))
    bend = middle - slope * miss / (slope**2 + (10.0 / 15.0) ** 2)
    found = posture(links, level, rise)
    assert found.elbow_flexion[0] == pytest.approx(math.degrees(bend), abs=1e-5)


def test_an_elbow_bends_no_further_than_2_6_radians() -> None:
    """Where grips at the hips would ask for more [assumed]."""
    found = reach_posture(
        250.0, 250.0, links=linkage(mean_bodies()), grip_half_width=220.0,
        trunk=Window(54.0, 56.0), elbow=Window(90.0, 170.0),
    )  # fmt: skip
    assert found.elbow_flexion == pytest.approx([math.degrees(2.6)] * 2)


def test_shoulder_angle_by_the_points_of_the_arm() -> None:
    """Grips at shoulder width, so that all lies in one plane: the points set out, the angle
    between shoulder to hip and shoulder to elbow taken from its cosine."""
    man = linkage(mean_bodies())
    links = replace(man, shoulder_half_width=np.array([WIDTH, WIDTH]))
    level, rise = 600.0, -30.0
    found = posture(links, level, rise)
    trunk = np.radians(found.trunk_angle)
    bend = np.radians(found.elbow_flexion)
    shoulder = links.trunk * np.exp(1j * trunk)
    arm = level + 1j * rise - shoulder
    # The elbow lies to the right of the arm, which is below it.
    inner = np.arctan2(links.forearm * np.sin(bend), links.upper_arm + links.forearm * np.cos(bend))
    elbow = links.upper_arm * arm / np.abs(arm) * np.exp(-1j * inner)
    assert np.allclose(np.abs(shoulder + elbow - (level + 1j * rise)), links.forearm)
    cosine = np.real(elbow * np.conj(-shoulder)) / (links.upper_arm * links.trunk)
    assert np.allclose(found.shoulder_angle, np.degrees(np.arccos(cosine)), atol=1e-6)


@given(level=st.floats(500.0, 760.0), rise=st.floats(-150.0, 100.0), more=st.floats(1.0, 60.0))
def test_grips_further_away_lower_the_back_and_open_the_shoulder(
    level: float, rise: float, more: float
) -> None:
    links = linkage(mean_bodies())
    near, far = posture(links, level, rise), posture(links, level + more, rise)
    assert np.all(far.trunk_angle < near.trunk_angle)
    assert np.all(far.elbow_flexion < near.elbow_flexion)
    assert np.all(far.shoulder_angle > near.shoulder_angle)


@given(width=st.floats(250.0, 400.0), more=st.floats(1.0, 40.0))
def test_wider_grips_lower_the_back(width: float, more: float) -> None:
    links = linkage(mean_bodies())
    narrow, wide = posture(links, 640.0, -40.0, width), posture(links, 640.0, -40.0, width + more)
    assert np.all(wide.trunk_angle < narrow.trunk_angle)


def test_shoulder_angle_of_a_straight_arm_is_that_of_the_triangle() -> None:
    # Straight arm, grips at shoulder width: law of cosines on trunk, arm and span.
    links = replace(linkage(mean_bodies()), shoulder_half_width=np.array([WIDTH, WIDTH]))
    arm = links.upper_arm + links.forearm
    span = np.sqrt(links.trunk**2 + arm**2)
    found = reach_posture(
        span, 0.0, links=links, grip_half_width=WIDTH, trunk=TRUNK, elbow=Window(-1.0, 1.0)
    )
    assert found.elbow_flexion == pytest.approx([0.0, 0.0], abs=1e-9)
    assert found.shoulder_angle == pytest.approx([90.0, 90.0], abs=1e-6)


@pytest.mark.parametrize("level", [1200.0, 1500.0, 5000.0])
def test_grips_out_of_reach_are_flagged_and_finite(level: float) -> None:
    found = posture(linkage(mean_bodies()), level, 0.0)
    assert not np.any(found.reachable)
    assert np.all(found.elbow_flexion == 0.0)
    assert np.allclose(found.trunk_angle, 0.0, atol=1e-9)
    assert np.all(np.isfinite(found.shoulder_angle))


def test_arms_straighten_before_the_grips_are_out_of_reach() -> None:
    links = linkage(mean_bodies())
    arm = np.sqrt((links.upper_arm + links.forearm) ** 2 - (WIDTH - links.shoulder_half_width) ** 2)
    limit = float((links.trunk + arm)[0])
    inside, outside = posture(links, limit - 1.0, 0.0), posture(links, limit + 1.0, 0.0)
    assert bool(inside.reachable[0])
    assert not bool(outside.reachable[0])
    assert closure(links, inside, limit - 1.0, 0.0)[0] == pytest.approx(0.0, abs=1e-6)


def test_arms_shorter_than_the_bar_is_wide_are_flagged() -> None:
    links = linkage(mean_bodies())
    found = posture(links, 500.0, 0.0, width=2000.0)
    assert not np.any(found.reachable)
    assert np.all(np.isfinite(found.trunk_angle))


def test_single_and_double_precision_agree() -> None:
    bodies = condition([]).draw(500, np.random.default_rng(2))
    double = posture(linkage(bodies), 640.0, -40.0)
    single = reach_posture(
        np.full(1, 640.0, np.float32),
        np.full(1, -40.0, np.float32),
        links=linkage(bodies, np.float32),
        grip_half_width=WIDTH,
        trunk=TRUNK,
        elbow=ELBOW,
    )
    assert single.trunk_angle.dtype == np.float32
    for name in ("trunk_angle", "elbow_flexion", "shoulder_angle"):
        assert np.allclose(getattr(single, name), getattr(double, name), atol=2e-3)


def test_standing_hip_of_a_tiny_leg_stays_finite() -> None:
    links = Linkage(**{name: 0.1 * values for name, values in vars(linkage(mean_bodies())).items()})
    x, y = standing_hip(links, TRAIL)
    assert np.allclose(x, -150.0)
    assert np.allclose(y, ankle_over_pedal(links)[1], rtol=0.0, atol=1e-9)


@pytest.mark.parametrize("edges", [(math.nan, 1.0), (0.0, math.inf)])
def test_a_window_of_no_number_is_refused(edges: tuple[float, float]) -> None:
    with pytest.raises(InvalidInput):
        Window(*edges)


def test_contradictory_windows_are_refused_with_their_field() -> None:
    with pytest.raises(ContradictoryInput) as caught:
        Window(50.0, 40.0)
    assert caught.value.field == "high"
    with pytest.raises(InvalidInput) as negative:
        Window(40.0, 50.0, weight=-1.0)
    assert negative.value.remedy == AtLeast(bound=0.0, unit="")
    assert Window(40.0, 50.0, weight=0.005).weight == 0.005
    assert Window(40.0, 50.0).weight == 1.0
    with pytest.raises(ContradictoryInput):
        replace(TRAIL, straddle_room_clear=10.0)
    with pytest.raises(InvalidInput):
        replace(TRAIL, knee_flexion=math.nan)
