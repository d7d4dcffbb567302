"""A rider as a linkage of segments and joints.

Side view from the drive side, origin at the BB centre, x forward, y up [mm]::

              shoulder
               / \\            trunk angle: hip to shoulder against the level;
              /   \\ upper arm      90 is upright, less leans forward
       trunk /     \\          elbow flexion: 0 is a straight arm
            /    elbow----- grip     shoulder angle: between trunk and upper arm
          hip                 knee flexion: 0 is a straight leg
            \\___ knee
                /
             ankle__ ball of foot, on the pedal

Everything is closed-form and broadcasts; single precision stays single, so that
sizing can run it over hundreds of thousands of postures.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import numpy as np

from geometry.core import FloatArray, Mask, Num, cos, degrees, radians, sin
from geometry.rider.body import Bodies

HEEL_SHARE = 0.25
"""Ankle ahead of the back of the heel, as a share of foot length [1], assumed."""

SHOULDER_BELOW_ACROMION = 20.0
"""Shoulder joint below the acromion [mm], assumed; it brings trunk and upper arm to
the shares of stature of Drillis and Contini (1966)."""

ELBOW_DEPTH = 20.0
"""Elbow joint ahead of the back of the bent elbow [mm], assumed; as above."""

EAR_BELOW_VERTEX = 130.0
"""Ear canal below the top of the head [mm], assumed for every adult."""

PEDAL_TO_SOLE = 25.0
"""Pedal axle to the foot's sole: half a pedal and a shoe's sole [mm], assumed."""

SHOE_SOLE = 20.0
"""Shoe's sole under the heel when straddling the bike [mm], assumed."""

HEEL_RAISED = 15.0
"""Heel above the ball of the foot on a pedal: pitch of the foot [°], assumed."""


@dataclass(frozen=True, eq=False)
class Linkage:
    """Segments of one or many riders, each of shape (n,) [mm].

    Parameters
    ----------
    thigh, shank : array
        Hip to knee, knee to ankle.
    ankle_height, ankle_to_ball : array
        Ankle over the sole; ankle to ball of foot, level.
    trunk, upper_arm, forearm : array
        Hip to shoulder, shoulder to elbow, elbow to the centre of the grip.
    elbow_to_wrist, shoulder_to_ear : array
        Part of the forearm before the hand; shoulder to ear canal, head upright.
    shoulder_half_width : array
        Shoulder from the mid-plane.
    crotch_height : array
        Floor to crotch, barefoot.
    hip_above_crotch : array
        Hip joint over the crotch.
    """

    thigh: FloatArray
    shank: FloatArray
    ankle_height: FloatArray
    ankle_to_ball: FloatArray
    trunk: FloatArray
    upper_arm: FloatArray
    forearm: FloatArray
    elbow_to_wrist: FloatArray
    shoulder_to_ear: FloatArray
    shoulder_half_width: FloatArray
    crotch_height: FloatArray
    hip_above_crotch: FloatArray


def linkage(bodies: Bodies, dtype: type[np.float32 | np.float64] = np.float64) -> Linkage:
    """Segments of bodies, from their landmarks.

    Hip joint at the height of the trochanterion, knee at the lateral femoral
    epicondyle, ankle at the lateral malleolus; shoulder a little below the
    acromion, elbow a little ahead of the back of the bent elbow.

    Parameters
    ----------
    bodies : Bodies
        n bodies.
    dtype : numpy type
        Precision of the result.

    Returns
    -------
    Linkage
        Arrays of shape (n,) [mm].

    Examples
    --------
    >>> from geometry.rider import mean_bodies
    >>> linkage(mean_bodies()).thigh.round(1).tolist()
    [408.8, 379.4]
    """
    hip, crotch = bodies["trochanterion_height"], bodies["crotch_height"]
    shoulder = bodies["acromial_height"] - SHOULDER_BELOW_ACROMION
    segments = {
        "thigh": hip - bodies["knee_height"],
        "shank": bodies["knee_height"] - bodies["ankle_height"],
        "ankle_height": bodies["ankle_height"],
        "ankle_to_ball": bodies["ball_of_foot_length"] - HEEL_SHARE * bodies["foot_length"],
        "trunk": shoulder - hip,
        "upper_arm": bodies["upper_arm_length"] - SHOULDER_BELOW_ACROMION,
        "forearm": bodies["elbow_to_grip_length"] - ELBOW_DEPTH,
        "elbow_to_wrist": bodies["forearm_length"],
        "shoulder_to_ear": bodies["stature"] - EAR_BELOW_VERTEX - shoulder,
        "shoulder_half_width": 0.5 * bodies["biacromial_breadth"],
        "crotch_height": crotch,
        "hip_above_crotch": hip - crotch,
    }
    typed = {name: values.astype(dtype) for name, values in segments.items()}
    return Linkage(**cast("dict[str, FloatArray]", typed))


def far_side(first: Num, second: Num, *, flexion: Num) -> Num:
    """Distance between the ends of two segments bent by a flexion angle.

    c² = a² + b² + 2 a b cos(flexion).

    Parameters
    ----------
    first, second : float or array
        Segments a, b [mm].
    flexion : float or array
        0 is straight [°].

    Returns
    -------
    float or array
        Distance c [mm].

    Examples
    --------
    >>> round(float(far_side(3.0, 4.0, flexion=90.0)), 9)
    5.0
    """
    return np.sqrt(first**2 + second**2 + 2.0 * first * second * np.cos(radians(flexion)))


def flexion(first: Num, second: Num, *, far: Num) -> Num:
    """Flexion between two segments whose ends are a distance apart, the inverse of `far_side`.

    Parameters
    ----------
    first, second : float or array
        Segments [mm].
    far : float or array
        Distance of their ends [mm]. Beyond what the segments span the angle stays
        at its limit, never NaN; `within_reach` tells.

    Returns
    -------
    float or array
        Flexion, 0 is straight [°].

    Examples
    --------
    >>> round(float(flexion(3.0, 4.0, far=5.0)), 9)
    90.0
    """
    cosine = (far**2 - first**2 - second**2) / (2.0 * first * second)
    bend: Num = np.arccos(np.clip(cosine, -1.0, 1.0))
    return degrees(bend)


def within_reach(first: Num, second: Num, *, far: Num) -> Mask:
    """Whether two segments are long enough, and not too long, to span a distance.

    Parameters
    ----------
    first, second : float or array
        Segments [mm].
    far : float or array
        The distance [mm].

    Returns
    -------
    bool or array of bool

    Examples
    --------
    >>> bool(within_reach(3.0, 4.0, far=7.5))
    False
    """
    return (far <= first + second) & (far >= np.abs(first - second))


def joint(
    start: tuple[Num, Num], end: tuple[Num, Num], *, first: Num, second: Num, forward: bool
) -> tuple[Num, Num, Mask]:
    """Position of the joint between two segments, from start to end.

    Parameters
    ----------
    start, end : tuple of float or array
        Points (x, y) [mm].
    first, second : float or array
        Segment at the start, segment at the end [mm].
    forward : bool
        True puts the joint to the left of the way from start to end: ahead of a
        leg seen from hip to ankle; False to the right: below an outstretched arm.

    Returns
    -------
    tuple
        x, y of the joint [mm] and whether the segments reach; out of reach the
        joint lies on the straight line, `first` from the start.

    Examples
    --------
    >>> x, y, reaches = joint((0.0, 0.0), (5.0, 0.0), first=3.0, second=4.0, forward=True)
    >>> round(float(x), 3), round(float(y), 3), bool(reaches)
    (1.8, 2.4, True)
    """
    x, y = end[0] - start[0], end[1] - start[1]
    far2 = x * x + y * y
    far = np.sqrt(far2)
    cosine = np.clip((first**2 + far2 - second**2) / (2.0 * first * far), -1.0, 1.0)
    sine = np.sqrt(1.0 - cosine**2) * (1.0 if forward else -1.0)
    along, across = first * cosine / far, first * sine / far
    reaches = within_reach(first, second, far=far)
    return start[0] + along * x - across * y, start[1] + along * y + across * x, reaches


def ankle_over_pedal(links: Linkage) -> tuple[FloatArray, FloatArray]:
    """Ankle relative to the pedal axle, the ball of the foot over it and the heel raised.

    Parameters
    ----------
    links : Linkage
        The rider.

    Returns
    -------
    tuple of array
        x, y [mm].

    Examples
    --------
    >>> from geometry.rider import mean_bodies
    >>> x, y = ankle_over_pedal(linkage(mean_bodies()))
    >>> x.round(1).tolist(), y.round(1).tolist()
    ([-109.7, -100.0], [129.9, 116.9])
    """
    cosine, sine = float(cos(HEEL_RAISED)), float(sin(HEEL_RAISED))
    x = -links.ankle_to_ball * cosine + links.ankle_height * sine
    y = links.ankle_to_ball * sine + links.ankle_height * cosine + PEDAL_TO_SOLE
    return x, y
