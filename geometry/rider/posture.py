"""The posture in which a rider's trunk and arms meet the grips.

Seated and standing alike: a hip, the grips, and a linkage (`geometry.rider.segments`)
between them. Trunk angle is hip to shoulder against the level, 90 upright; elbow
flexion is 0 for a straight arm; shoulder angle is between trunk and upper arm.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.core import FloatArray, Num, degrees, radians
from geometry.rider.segments import Linkage
from geometry.rider.windows import Window

MOST_BENT = 2.6
"""An elbow bends no further than this, about 150° [rad]."""

LEAST_SINE = 0.3
"""Below this the trunk nearly points at the grips, and sharing a mismatch between
back and elbows by its first derivative no longer means anything [1]."""


@dataclass(frozen=True, eq=False)
class ArmPosture:
    """How a rider reaches the grips; arrays that broadcast together.

    Parameters
    ----------
    trunk_angle, elbow_flexion : array
        [°]; see `geometry.rider.segments`.
    reachable : array of bool
        False where even straight arms end short of the grips: the angles are
        then those of straight arms pointed at them.
    """

    trunk_angle: FloatArray
    elbow_flexion: FloatArray
    shoulder_angle: FloatArray
    reachable: NDArray[np.bool_]


def reach_posture(
    level: Num,
    rise: Num,
    *,
    links: Linkage,
    grip_half_width: Num,
    trunk: Window,
    elbow: Window,
) -> ArmPosture:
    """Posture of trunk and arms between a hip and the grips.

    Two angles and one distance leave one freedom. The rider is taken to share a
    mismatch between back and elbows as the windows allow: from the elbow at its
    window's middle, one step along the closure's derivative towards the least sum
    of squared distances from both windows' middles; the trunk then closes the
    linkage exactly. Wide grips draw the arms apart and so shorten them in side view.

    Parameters
    ----------
    level, rise : float or array
        Grips ahead of and above the hip [mm].
    links : Linkage
        Riders, (n,).
    grip_half_width : float or array
        Grip from the mid-plane [mm].
    trunk, elbow : Window
        The builder's windows for both [°].

    Returns
    -------
    ArmPosture
        Angles [°], flagged where the grips are out of reach.

    Examples
    --------
    >>> from geometry.rider import linkage, mean_bodies
    >>> posture = reach_posture(
    ...     650.0, -40.0, links=linkage(mean_bodies()), grip_half_width=340.0,
    ...     trunk=Window(45.0, 65.0), elbow=Window(10.0, 40.0),
    ... )
    >>> posture.trunk_angle.round(1).tolist(), posture.elbow_flexion.round(1).tolist()
    ([58.4, 52.9], [26.1, 24.3])
    """
    target = _Target(level, rise, np.sqrt(level * level + rise * rise), links.trunk)
    splay2 = (grip_half_width - links.shoulder_half_width) ** 2
    bend = _shared_bend(target, links, splay2, trunk=trunk, elbow=elbow)
    chord2 = _chord2(links, splay2, np.cos(bend))
    straight2 = _chord2(links, splay2, 1.0)
    missing2 = (target.span - links.trunk) ** 2
    short = missing2 > chord2
    bend = np.where(short, bend.dtype.type(0.0), bend)
    cosine, sine, _ = _trunk_direction(target, np.where(short, straight2, chord2))
    return ArmPosture(
        trunk_angle=np.asarray(degrees(np.arctan2(sine, cosine))),
        elbow_flexion=np.asarray(degrees(bend)),
        shoulder_angle=np.asarray(degrees(_shoulder(target, links, cosine, sine, bend))),
        reachable=missing2 <= straight2,
    )


@dataclass(frozen=True, eq=False)
class _Target:
    """Grips seen from the hip: ahead, above, straight; and the trunk that starts there [mm]."""

    level: Num
    rise: Num
    span: Num
    trunk: Num


def _chord2(links: Linkage, splay2: Num, cosine: Num) -> Num:
    """Square of shoulder to grip in side view, for the cosine of the elbow's flexion [mm²]."""
    upper, fore = links.upper_arm, links.forearm
    return upper * upper + fore * fore - splay2 + (2.0 * upper * fore) * cosine


def _trunk_direction(target: _Target, chord2: Num) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Cosine and sine of the trunk's angle, and the sine of its angle to the grips [1]."""
    trunk, span = target.trunk, target.span
    cosine = (trunk * trunk + span * span - chord2) / (2.0 * trunk * span)
    cosine = np.minimum(np.maximum(cosine, -1.0), 1.0)
    sine = np.sqrt(1.0 - cosine * cosine)
    ahead = (target.level * cosine - target.rise * sine) / span
    up = (target.rise * cosine + target.level * sine) / span
    return ahead, up, sine


def _shared_bend(
    target: _Target, links: Linkage, splay2: Num, *, trunk: Window, elbow: Window
) -> FloatArray:
    """Elbow's flexion after one step from its window's middle [rad]; see `reach_posture`.

    With γ the angle between trunk and hip-to-grip line, the closure gives
    d trunk / d elbow = −q / sin γ, q = upper × fore × sin(elbow) / (trunk × span).
    The trunk's miss enters by its sine, which is enough for a first-order step.
    """
    start, back, arm = radians(elbow.middle), radians(trunk.half), radians(elbow.half)
    ahead, up, sine = _trunk_direction(target, _chord2(links, splay2, float(np.cos(start))))
    wanted = radians(trunk.middle)
    miss = up * float(np.cos(wanted)) - ahead * float(np.sin(wanted))
    sine = np.maximum(sine, LEAST_SINE)
    lever = links.upper_arm * links.forearm * float(np.sin(start)) / (target.trunk * target.span)
    step = lever * sine * miss / ((back / arm) ** 2 * sine * sine + lever * lever)
    bend: FloatArray = np.minimum(np.maximum(start + step, 0.0), MOST_BENT)
    return bend


def _shoulder(
    target: _Target, links: Linkage, cosine: FloatArray, sine: FloatArray, bend: FloatArray
) -> FloatArray:
    """Angle between trunk and upper arm, the elbow hanging below the arm's chord [rad]."""
    fold = links.forearm * np.sin(bend)
    along = links.upper_arm + links.forearm * np.cos(bend)
    across = sine * target.level - cosine * target.rise
    down = target.trunk - cosine * target.level - sine * target.rise
    angle: FloatArray = np.arctan2(across * along - down * fold, down * along + across * fold)
    return angle
