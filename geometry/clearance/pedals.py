"""A pedal and the ground: how far the bike can lean before a pedal touches.

The bike as it stands: x forward, y up, z to the rider's right, origin at the BB
centre. A tyre is a torus: its centre line is a circle of radius R − r, swept by
a round section of radius r = half its width, R the wheel's radius over the tyre.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.bike import LessThanWheelRadius
from geometry.checks import Check, Source, judge
from geometry.clearance.remedies import AheadOfRearAxle, AtLeastPedalCentre
from geometry.clearance.statements import CranksAtMost, Loaded, PedalLeaning
from geometry.core import (
    Checked,
    ContradictoryInput,
    InvalidInput,
    Num,
    Statement,
    checked,
    cos,
    number,
    plain,
    refuse,
    sin,
)

LEAN = 25.0
"""Lean that a bike must allow with the pedal lowest [deg]: 16 CFR 1512.17(c)."""

_PEDAL_BAND = 5.0  # a pedal this close to the ground is tight [mm, common practice]


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Wheel(Checked):
    """A wheel as it stands, seen as a torus; also a mudguard over it.

    Parameters
    ----------
    x, y : float or array [mm]
        Its axle, from the BB centre.
    radius : float or array [mm]
        Over the tyre, or over the mudguard.
    width : float or array [mm]
        Of the tyre or mudguard, as measured.

    Raises
    ------
    InvalidInput
        Not finite, or a size not above 0.
    ContradictoryInput
        A tyre wider than the wheel is high.
    """

    x: Num = number("mm")
    y: Num = number("mm")
    radius: Num = number("mm", above=0)
    width: Num = number("mm", above=0)

    def __post_init__(self) -> None:
        Checked.__post_init__(self)
        remedy = LessThanWheelRadius()
        refuse(self.width >= self.radius, ContradictoryInput, "width", self.width, remedy)


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Pedal(Checked):
    """A crank and its pedal.

    Parameters
    ----------
    crank_length : float or array [mm]
        BB centre to pedal axle.
    centre : float or array [mm]
        From the bike's middle plane out to the pedal's centre.
    outer : float or array [mm]
        From the middle plane out to the pedal's outer edge.
    length : float or array [mm]
        Of the pedal along the bike, when level.
    thickness : float or array [mm]
        Of the pedal, half of it below its axle.

    Raises
    ------
    InvalidInput
        Not finite, or an impossible size.
    ContradictoryInput
        An outer edge inside the pedal's centre.
    """

    crank_length: Num = number("mm", above=0)
    centre: Num = number("mm", above=0)
    outer: Num = number("mm", above=0)
    length: Num = number("mm", least=0, default=100.0)
    thickness: Num = number("mm", least=0, default=20.0)

    def __post_init__(self) -> None:
        Checked.__post_init__(self)
        remedy = AtLeastPedalCentre()
        refuse(self.outer < self.centre, ContradictoryInput, "outer", self.outer, remedy)


def pedal_ground_clearance(*, rear: Wheel, front: Wheel, pedal: Pedal, lean: Num = LEAN) -> Num:
    """Height of the lowest corner of the lowest pedal over the ground, leaning to its side.

    Parameters
    ----------
    rear, front : Wheel
        As they stand, both touching the ground when upright.
    pedal : Pedal
        Straight below the BB, level.
    lean : float or array [deg]
        From upright, at least 0 and below 90.

    Returns
    -------
    float or array [mm]
        Negative when the pedal would be below the ground.

    Raises
    ------
    InvalidInput
        A lean out of range, or a front axle not ahead of the rear.

    Notes
    -----
    The ground touches both tori. Its distance from a wheel's centre is
    ``H = (R − r) cos lean + r``; seen in the bike's own plane it is the common
    tangent of two circles of radius ``H / cos lean`` about the axles, whose
    slope is closed-form. A fatter front tyre thus pitches the leaning bike.
    Source: 16 CFR 1512.17(c) for the lean; the rest is geometry.

    Examples
    --------
    Two wheels alike, so that the bike does not pitch:

    >>> rear = Wheel(x=-430.0, y=30.0, radius=350.0, width=50.0)
    >>> front = Wheel(x=700.0, y=30.0, radius=350.0, width=50.0)
    >>> pedal = Pedal(crank_length=170.0, centre=125.0, outer=175.0)
    >>> round(pedal_ground_clearance(rear=rear, front=front, pedal=pedal), 1)
    55.3
    """
    lean = checked("lean", lean, "degrees", least=0, most=89)
    refuse(front.x <= rear.x, InvalidInput, "front.x", front.x, AheadOfRearAxle())
    forward, up, below = _leaning_ground(rear, front, lean)
    down = -pedal.crank_length - pedal.thickness / 2.0
    corner = up * down - np.abs(forward) * pedal.length / 2.0 - sin(lean) * pedal.outer
    return plain(corner + below)


def _leaning_ground(rear: Wheel, front: Wheel, lean: Num) -> tuple[Num, Num, Num]:
    """Ground's upward normal in the bike's plane (x, y), and how far the BB is above it."""
    upright = cos(lean)
    height_rear = (rear.radius - rear.width / 2.0) * upright + rear.width / 2.0
    height_front = (front.radius - front.width / 2.0) * upright + front.width / 2.0
    dx, dy = front.x - rear.x, front.y - rear.y
    apart = np.sqrt(dx * dx + dy * dy)
    sine = (height_front - height_rear) / upright / apart
    cosine = np.sqrt(1.0 - sine * sine)
    # the normal n with n·d = (Hf − Hr)/cos lean, d the vector between the axles
    forward = upright * (sine * dx - cosine * dy) / apart
    up = upright * (sine * dy + cosine * dx) / apart
    return forward, up, height_rear - forward * rear.x - up * rear.y


def pedal_lean_check(
    *, rear: Wheel, front: Wheel, pedal: Pedal, state: Loaded = Loaded.UNLOADED, lean: float = LEAN
) -> Check[Statement]:
    """Whether nothing but the tyres touches the ground at the lean required.

    Parameters
    ----------
    rear, front : Wheel
        As they stand in that state.
    pedal : Pedal
        The crank and pedal fitted.
    state : Loaded
        Of the suspension, for the code.
    lean : float [deg]
        Required.

    Returns
    -------
    Check
        Code ``feet.pedal.<state>``, of safety. Figure: height of the pedal's
        lowest corner at that lean [mm]; tight below 5 mm. The remedy names the
        crank length that would be clear.

    Raises
    ------
    InvalidInput
        As for `pedal_ground_clearance`.

    Examples
    --------
    >>> rear = Wheel(x=-430.0, y=60.0, radius=350.0, width=50.0)
    >>> front = Wheel(x=700.0, y=60.0, radius=350.0, width=50.0)
    >>> long = Pedal(crank_length=200.0, centre=125.0, outer=175.0)
    >>> check = pedal_lean_check(rear=rear, front=front, pedal=long)
    >>> check.outcome, check.remedy
    ('tight', CranksAtMost(length=195.0))
    """
    figure = float(pedal_ground_clearance(rear=rear, front=front, pedal=pedal, lean=lean))
    _, up, _ = _leaning_ground(rear, front, lean)
    most = np.floor(pedal.crank_length - max(_PEDAL_BAND - figure, 0.0) / up)
    return judge(
        f"feet.pedal.{state}",
        figure=figure,
        limit=0.0,
        unit="mm",
        reason=PedalLeaning(lean=lean, state=state, height=figure),
        source=Source.CFR_PEDAL,
        remedy=CranksAtMost(length=float(most)),
        band=_PEDAL_BAND,
        safety=True,
    )
