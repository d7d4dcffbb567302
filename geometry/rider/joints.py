"""Where a rider's joints are, seated or standing on a build: points for a drawing.

Points are (x, y) in the side view, BB centre at the origin [mm]. Crank angles are
counted from forward, positive lifts: −90 puts the right pedal lowest.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.core import Mask, Num, cos, sin
from geometry.loads import Joints, Leg, Point
from geometry.rider.posture import reach_posture
from geometry.rider.saddle_heights import hip_above_saddle
from geometry.rider.segments import Linkage, ankle_over_pedal, far_side, joint
from geometry.rider.windows import PostureWindows


@dataclass(frozen=True, eq=False)
class RiderPoints:
    """Joints of a rider on a build, and whether the limbs are long enough.

    Parameters
    ----------
    joints : Joints
        Each a point (x, y) [mm]; arms as seen in the side view.
    reaches : bool or array of bool
        False where a leg or the arms are too short: segments then end in the air.
    """

    joints: Joints
    reaches: Mask


def standing_hip(links: Linkage, windows: PostureWindows) -> Point:
    """Hip of a rider standing on level pedals, both legs taken as one over the BB.

    Parameters
    ----------
    links : Linkage
        Riders, (n,).
    windows : PostureWindows
        How far the hips are behind the BB, and the knees' flexion.

    Returns
    -------
    tuple
        x, y [mm]; a leg shorter than its own setback puts the hip level with the ankle.

    Examples
    --------
    >>> from geometry.examples import TRAIL
    >>> from geometry.rider import linkage, mean_bodies
    >>> x, y = standing_hip(linkage(mean_bodies()), TRAIL)
    >>> y.round(0).tolist()
    [918.0, 862.0]
    """
    ankle_x, ankle_y = ankle_over_pedal(links)
    leg = far_side(links.thigh, links.shank, flexion=windows.standing_knee_flexion)
    level = -windows.standing_hip_behind - ankle_x
    rise = np.sqrt(np.maximum(leg * leg - level * level, 0.0))
    return ankle_x + level, ankle_y + rise


def seated_hip(links: Linkage, saddle: Point) -> Point:
    """Hip of a seated rider, straight above the saddle top.

    Parameters
    ----------
    links : Linkage
        Riders, (n,).
    saddle : tuple
        Saddle top where the post's axis meets it, x, y [mm].

    Returns
    -------
    tuple
        x, y [mm].

    Examples
    --------
    >>> from geometry.rider import linkage, mean_bodies
    >>> x, y = seated_hip(linkage(mean_bodies()), (-200.0, 700.0))
    >>> y.round(1).tolist()
    [729.7, 738.4]
    """
    return saddle[0], saddle[1] + hip_above_saddle(links)


def rider_points(
    links: Linkage,
    *,
    hip: Point,
    grip: Point,
    grip_half_width: Num,
    crank_length: Num,
    crank_angle: Num,
    windows: PostureWindows,
    standing: bool,
) -> RiderPoints:
    """Every joint of a rider on a build, for a drawing or for the mass centre.

    Parameters
    ----------
    links : Linkage
        Riders, (n,).
    hip, grip : tuple
        x, y [mm]; the hip from `seated_hip` or `standing_hip`.
    grip_half_width : float or array
        Grip from the mid-plane [mm].
    crank_length : float or array
        [mm].
    crank_angle : float or array
        Right crank's angle, 0 forward, −90 lowest [°].
    windows : PostureWindows
        The riding style's windows.
    standing : bool
        Which pair of windows shares the reach between back and elbows.

    Returns
    -------
    RiderPoints
        Points of shape (n,) [mm], flagged where a limb is too short.

    Notes
    -----
    The head is held midway between the trunk's direction and upright, assumed.

    Examples
    --------
    >>> from geometry.examples import TRAIL
    >>> from geometry.rider import linkage, mean_bodies
    >>> points = rider_points(
    ...     linkage(mean_bodies()), hip=(-190.0, 690.0), grip=(440.0, 720.0),
    ...     grip_half_width=370.0, crank_length=170.0, crank_angle=-90.0,
    ...     windows=TRAIL, standing=False,
    ... )
    >>> points.reaches.tolist()
    [True, True]
    """
    posture = reach_posture(
        grip[0] - hip[0],
        grip[1] - hip[1],
        links=links,
        grip_half_width=grip_half_width,
        trunk=windows.standing_trunk_angle if standing else windows.trunk_angle,
        elbow=windows.standing_elbow_flexion if standing else windows.elbow_flexion,
    )
    shoulder = _along(hip, links.trunk, posture.trunk_angle)
    elbow = _elbow(links, shoulder, grip, posture.elbow_flexion)
    hand = links.elbow_to_wrist / links.forearm
    right, right_spans = _leg(links, hip, _along((0.0, 0.0), crank_length, crank_angle))
    left, left_spans = _leg(links, hip, _along((0.0, 0.0), -crank_length, crank_angle))
    joints = Joints(
        ear=_along(shoulder, links.shoulder_to_ear, 0.5 * (posture.trunk_angle + 90.0)),
        shoulder=shoulder,
        elbow=elbow,
        wrist=_between(elbow, grip, hand),
        grip=grip,
        hip=hip,
        right=right,
        left=left,
    )
    return RiderPoints(joints, posture.reachable & right_spans & left_spans)


def _along(start: Point, distance: Num, angle: Num) -> Point:
    """Point at a distance and angle from another [mm, °]."""
    return start[0] + distance * cos(angle), start[1] + distance * sin(angle)


def _between(start: Point, end: Point, share: Num) -> Point:
    """Point at a share of the way from one to another [mm]."""
    return start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])


def _leg(links: Linkage, hip: Point, pedal: Point) -> tuple[Leg, Mask]:
    """One leg from hip to pedal, and whether it is long enough [mm]."""
    ankle_x, ankle_y = ankle_over_pedal(links)
    ankle = pedal[0] + ankle_x, pedal[1] + ankle_y
    x, y, spans = joint(hip, ankle, first=links.thigh, second=links.shank, forward=True)
    return Leg(knee=(x, y), ankle=ankle, ball=pedal), spans


def _elbow(links: Linkage, shoulder: Point, grip: Point, bend: Num) -> Point:
    """Elbow in side view, with both parts of the splayed arm shortened equally [mm]."""
    seen = np.hypot(grip[0] - shoulder[0], grip[1] - shoulder[1])
    share = seen / far_side(links.upper_arm, links.forearm, flexion=bend)
    upper, fore = share * links.upper_arm, share * links.forearm
    x, y, _ = joint(shoulder, grip, first=upper, second=fore, forward=False)
    return x, y
