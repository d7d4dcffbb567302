"""The standing bike with its front turned: how far it dips, and where it touches.

The bike stays upright (no lean) and both wheels stay on level ground; only the
frame's pitch can give way. Turned by s about the steering axis, the front axle
swings to ``S + o (n cos s + z sin s)`` around its foot S on the axis, and the
wheel, seen as a thin disc with axle direction ``k = z cos s − n sin s``, reaches
``Rf sqrt(1 − (sin s cos HA)²)`` below it. n is the forward normal of the axis,
z points to the rider's right; a positive angle steers to the right.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from geometry.bike.parts import Build
from geometry.bike.remedies import AngleBothWheelsReach
from geometry.bike.standing import Standing
from geometry.core import (
    NoSolution,
    Num,
    check_shapes,
    checked,
    cos,
    degrees,
    plain,
    refuse,
    rotate,
    sin,
)

STEPS = 12
"""Newton steps taken; from straight ahead four or five reach the last digit."""

_CLOSE_ENOUGH = 1e-9  # mm between front wheel and ground, well above rounding


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class TurnedFront:
    """A standing build with its front turned, lengths [mm], angles [deg].

    Parameters
    ----------
    angle : float or array [deg]
        Steering angle about the steering axis, positive to the right.
    pitch : float or array [deg]
        Turn of the frame against straight ahead; positive lifts the front.
    head_angle : float or array [deg]
        Of the pitched frame.
    bb_height : float or array [mm]
        BB centre above the ground.
    front_drop : float or array [mm]
        How much lower the head tube's top is than straight ahead.
    front_axle, front_contact : (x, y, z) each [mm]
        From the BB centre: x forward, y up, z to the rider's right.
    """

    angle: Num
    pitch: Num
    head_angle: Num
    bb_height: Num
    front_drop: Num
    front_axle: tuple[Num, Num, Num]
    front_contact: tuple[Num, Num, Num]


class _Front(NamedTuple):
    """What the pitch acts on: points from the rear axle, and the turned front."""

    foot_x: Num
    foot_y: Num
    head_sine: Num
    head_cosine: Num
    offset: Num
    radius: Num
    rear_radius: Num
    steer_sine: Num
    steer_cosine: Num


def turn_front(standing: Standing, build: Build, *, angle: Num) -> TurnedFront:
    """Turn the front of a standing build, both wheels kept on the ground.

    Parameters
    ----------
    standing : Standing
        The build on the ground, straight ahead.
    build : Build
        For the fork's offset.
    angle : float or array [deg]
        About the steering axis, −180 to 180, positive to the right.

    Returns
    -------
    TurnedFront
        Of the broadcast shape; the same for ± angle but for the sides' sign.

    Raises
    ------
    InvalidInput
        An angle that is not finite or out of range.
    NoSolution
        No pitch within reach keeps both wheels on the ground; ``index`` names
        the row.

    Notes
    -----
    One unknown, the pitch p: height of the front wheel's lowest point above
    the ground is 0. Newton's method with the exact derivative, a fixed number
    of steps, then checked. Source: geometry of a thin disc; checked against a
    general-purpose root finder in three dimensions.

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> from geometry.bike import stand
    >>> build = trail_build()
    >>> turned = turn_front(stand(build), build, angle=45.0)
    >>> round(turned.front_drop, 1), round(turned.pitch, 2)
    (5.8, -0.37)
    """
    turned = checked("angle", angle, "degrees", least=-180, most=180)
    offset = build.fork.offset
    check_shapes({"standing": standing.head_angle, "fork.offset": offset, "angle": turned})
    front = _front(standing, offset, turned)
    sine, cosine = _pitch(front, turned)
    return _steered(standing, front, turned, sine=sine, cosine=cosine)


def _front(standing: Standing, offset: Num, angle: Num) -> _Front:
    """The turned front of a standing build, from the rear axle."""
    head_sine, head_cosine = sin(standing.head_angle), cos(standing.head_angle)
    axle_x, axle_y = standing.front_axle
    rear_x, rear_y = standing.rear_axle
    return _Front(
        foot_x=axle_x - offset * head_sine - rear_x,
        foot_y=axle_y - offset * head_cosine - rear_y,
        head_sine=head_sine,
        head_cosine=head_cosine,
        offset=offset,
        radius=standing.front_radius,
        rear_radius=standing.rear_radius,
        steer_sine=sin(angle),
        steer_cosine=cos(angle),
    )


def _clearance(front: _Front, sine: Num, cosine: Num) -> tuple[Num, Num]:
    """Front wheel above the ground at a pitch [mm], and its derivative [mm/rad]."""
    x, y = rotate(front.foot_x, front.foot_y, cosine=cosine, sine=sine)
    # Lifting the front slackens the head angle by the pitch.
    head_cosine = front.head_cosine * cosine + front.head_sine * sine
    head_sine = front.head_sine * cosine - front.head_cosine * sine
    swing = front.offset * front.steer_cosine
    tilt = front.steer_sine * head_cosine
    upright = np.sqrt(1.0 - tilt * tilt)
    height = y + swing * head_cosine - front.radius * upright + front.rear_radius
    slope = x + swing * head_sine
    slope = slope + front.radius * tilt * front.steer_sine * head_sine / upright
    return height, slope


def _pitch(front: _Front, angle: Num) -> tuple[Num, Num]:
    """Sine and cosine of the pitch that puts the front wheel on the ground."""
    with np.errstate(all="ignore"):  # what fails to converge is refused below
        pitch = np.zeros(np.broadcast_shapes(*(np.shape(part) for part in front)))
        for _ in range(STEPS):
            height, slope = _clearance(front, np.sin(pitch), np.cos(pitch))
            pitch = pitch - height / slope
        height, _ = _clearance(front, np.sin(pitch), np.cos(pitch))
        lost = ~((np.abs(height) < _CLOSE_ENOUGH) & (np.abs(pitch) < np.pi / 2))
    refuse(lost, NoSolution, "angle", angle, AngleBothWheelsReach())
    return np.sin(pitch), np.cos(pitch)


def _steered(
    standing: Standing, front: _Front, angle: Num, *, sine: Num, cosine: Num
) -> TurnedFront:
    """The figures of the pitched frame; all points turn about the BB."""
    rear_x, rear_y = rotate(*standing.rear_axle, cosine=cosine, sine=sine)
    foot_x, foot_y = rotate(front.foot_x, front.foot_y, cosine=cosine, sine=sine)
    _, top_y = rotate(*standing.head_tube_top, cosine=cosine, sine=sine)
    bb_height = standing.rear_radius - rear_y
    pitch = degrees(np.arcsin(sine))
    head_angle = standing.head_angle - pitch
    normal_x, normal_y = sin(head_angle), cos(head_angle)
    swing = front.offset * front.steer_cosine
    axle = (
        rear_x + foot_x + swing * normal_x,
        rear_y + foot_y + swing * normal_y,
        front.offset * front.steer_sine + 0.0 * normal_x,
    )
    # Steepest way down in the disc: −y with its part along the disc's axle
    # k = z cos s − n sin s taken out, brought to the radius.
    tilt = front.steer_sine * normal_y
    share = front.radius / np.sqrt(1.0 - tilt * tilt)
    contact = (
        axle[0] + share * tilt * front.steer_sine * normal_x,
        -bb_height,
        axle[2] - share * tilt * front.steer_cosine,
    )
    return TurnedFront(
        angle=angle,
        pitch=plain(pitch),
        head_angle=plain(head_angle),
        bb_height=plain(bb_height),
        front_drop=plain(standing.stack + standing.bb_height - top_y - bb_height),
        front_axle=(plain(axle[0]), plain(axle[1]), plain(axle[2])),
        front_contact=(plain(contact[0]), plain(contact[1]), plain(contact[2])),
    )
