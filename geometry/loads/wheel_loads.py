"""Where the mass is, what the front wheel carries of it, and when a wheel lifts.

Lengths in the side view, x forward and y up, from any one origin; mass in kg::

              o  mass centre
              |
              | h
     rear ____|________________ front contact
          --x--
          --------- w ---------

    share on the front wheel    x / w
    the front lifts at          x / h        of gravity, accelerating or climbing
    pitch-over at               (w − x) / h  of gravity, braking
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from geometry.checks import Ask, Check, Source, judge, unknown
from geometry.core import InvalidInput, Num, Statement, checked, plain, refuse
from geometry.loads.remedies import MassInAll, PointPerMass
from geometry.loads.statements import (
    FrontShare,
    LoadLess,
    NothingMore,
    Permitted,
    PermittedNotKnown,
    RiderForward,
)

Point = tuple[Num, Num]
"""x and y [mm]."""

FRONT_SHARE = 0.25
"""Least share of bike and rider on the front wheel with the rider rearmost, hands on
the grips: a national adoption of ISO 4210-2, cl. 4.7.5, from an excerpt."""

SEGMENT_MASS = MappingProxyType(
    {
        "hand": 0.006,
        "forearm": 0.016,
        "upper arm": 0.028,
        "foot": 0.0145,
        "leg": 0.0465,
        "thigh": 0.100,
        "head and neck": 0.081,
        "trunk": 0.497,
    }
)
"""Shares of body mass, one side of each limb: Dempster 1955, in Winter,
*Biomechanics and Motor Control of Human Movement*. Twice the limbs and the rest make 1."""

SEGMENT_CENTRE = MappingProxyType(
    {
        "hand": 0.506,
        "forearm": 0.430,
        "upper arm": 0.436,
        "foot": 0.500,
        "leg": 0.433,
        "thigh": 0.433,
        "head and neck": 1.0,
        "trunk": 0.50,
    }
)
"""Centre of mass as a share of the segment's length from its near end; the head's is
its far end, the ear. Source as for `SEGMENT_MASS`."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Leg:
    """One leg's joints, each a point (x, y) [mm].

    Parameters
    ----------
    knee, ankle, ball : tuple
        The ball of the foot rests on the pedal.
    """

    knee: Point
    ankle: Point
    ball: Point


@dataclass(frozen=True, kw_only=True, slots=True)
class Joints:
    """A rider's joints in the side view, each a point (x, y) [mm].

    Parameters
    ----------
    ear : tuple
        The ear canal, where head and neck have their mass centre.
    shoulder, elbow, wrist, grip : tuple
        Both arms alike; the grip stands for the knuckles that hold it.
    hip : tuple
        Of both legs.
    right, left : Leg
        They differ, being on opposite pedals.
    """

    ear: Point
    shoulder: Point
    elbow: Point
    wrist: Point
    grip: Point
    hip: Point
    right: Leg
    left: Leg


def _segments(joints: Joints) -> list[tuple[str, float, Point, Point]]:
    """Name, how many, near end and far end of each segment."""
    arm = [
        ("upper arm", 2.0, joints.shoulder, joints.elbow),
        ("forearm", 2.0, joints.elbow, joints.wrist),
        ("hand", 2.0, joints.wrist, joints.grip),
    ]
    legs = [
        segment
        for leg in (joints.right, joints.left)
        for segment in (
            ("thigh", 1.0, joints.hip, leg.knee),
            ("leg", 1.0, leg.knee, leg.ankle),
            ("foot", 1.0, leg.ankle, leg.ball),
        )
    ]
    middle = [
        ("trunk", 1.0, joints.hip, joints.shoulder),
        ("head and neck", 1.0, joints.shoulder, joints.ear),
    ]
    return [*arm, *legs, *middle]


def rider_mass_centre(joints: Joints) -> Point:
    """Mass centre of a rider from the positions of the joints.

    Parameters
    ----------
    joints : Joints
        Numbers or arrays of any broadcastable shapes.

    Returns
    -------
    x, y : float or array [mm]
        ``Σ share (near + c (far − near))`` over the segments.

    Raises
    ------
    InvalidInput
        A joint that is not finite.

    Notes
    -----
    Source: Dempster's segments, in Winter.

    Examples
    --------
    A rider folded into one point is there:

    >>> here = (100.0, 500.0)
    >>> leg = Leg(knee=here, ankle=here, ball=here)
    >>> x, y = rider_mass_centre(Joints(ear=here, shoulder=here, elbow=here, wrist=here,
    ...                                 grip=here, hip=here, right=leg, left=leg))
    >>> round(x, 6), round(y, 6)
    (100.0, 500.0)
    """
    segments = _segments(joints)
    x: Num = 0.0
    y: Num = 0.0
    for name, count, near, far in segments:
        share, centre = count * SEGMENT_MASS[name], SEGMENT_CENTRE[name]
        x = x + share * (near[0] + centre * (far[0] - near[0]))
        y = y + share * (near[1] + centre * (far[1] - near[1]))
    if not np.all(np.isfinite(x + y)):  # one joint that is not finite leaves no sum finite
        for name, _, *points in segments:
            for value in (value for point in points for value in point):
                checked(name, value, "mm")
    return plain(x), plain(y)


def mass_centre(masses: Sequence[Num], points: Sequence[Point]) -> tuple[Num, Num, Num]:
    """Total mass and mass centre of several bodies.

    Parameters
    ----------
    masses : sequence of float or array [kg]
        Each at least 0, their sum above 0.
    points : sequence of (x, y) [mm]
        One mass centre per mass.

    Returns
    -------
    mass, x, y : float or array [kg, mm, mm]

    Raises
    ------
    InvalidInput
        A mass that is negative or not finite, all of them 0, or not one point per mass.

    Examples
    --------
    >>> mass_centre([3.0, 1.0], [(0.0, 0.0), (400.0, 1000.0)])
    (4.0, 100.0, 250.0)
    """
    if len(masses) != len(points):
        raise InvalidInput("points", len(points), PointPerMass(masses=len(masses)))
    if not _are_plain(masses, points):
        masses = [checked(f"masses[{i}]", mass, "kg", least=0) for i, mass in enumerate(masses)]
        points = [
            (checked(f"points[{i}]", x, "mm"), checked(f"points[{i}]", y, "mm"))
            for i, (x, y) in enumerate(points)
        ]
    total: Num = sum(masses)
    refuse(np.asarray(total) <= 0, InvalidInput, "masses", total, MassInAll())
    x: Num = sum(mass * point[0] for mass, point in zip(masses, points, strict=True))
    y: Num = sum(mass * point[1] for mass, point in zip(masses, points, strict=True))
    return plain(total), plain(x / total), plain(y / total)


def _are_plain(masses: Sequence[Num], points: Sequence[Point]) -> bool:
    """Whether all are usable numbers, and none an array: then none needs a look of its own."""
    weights = [mass for mass in masses if type(mass) is float]
    places = [value for point in points for value in point if type(value) is float]
    if len(weights) < len(masses) or len(places) < 2 * len(points):
        return False
    return min(weights, default=-1.0) >= 0 and math.isfinite(sum(weights) + sum(places))


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Loading:
    """How the load stands on the two wheels.

    Parameters
    ----------
    front_share : float or array
        Of the weight, on level ground at rest.
    front_lift : float or array [g]
        Acceleration, or rise of the ground as a gradient, at which the front
        wheel lifts.
    pitch_over : float or array [g]
        Braking, or fall of the ground as a gradient, at which the rear wheel lifts.
    """

    front_share: Num
    front_lift: Num
    pitch_over: Num


def loading(*, ahead: Num, height: Num, wheelbase: Num) -> Loading:
    """Share on the front wheel, and when a wheel lifts.

    Parameters
    ----------
    ahead : float or array [mm]
        Mass centre of bike, rider and luggage ahead of the rear axle.
    height : float or array [mm]
        Of the mass centre above the ground.
    wheelbase : float or array [mm]

    Returns
    -------
    Loading

    Raises
    ------
    InvalidInput
        A length that is not finite, a height or wheelbase not above 0.

    Notes
    -----
    Moments about the two contacts. With the rider held still; a share below 0 or
    above 1 means that the bike would not stand. Source: statics; Meijaard and
    others, Proc. R. Soc. A 463 (2007), for the benchmark bicycle.

    Examples
    --------
    >>> benchmark = loading(ahead=342.1, height=861.2, wheelbase=1020.0)
    >>> round(benchmark.front_share, 3), round(benchmark.front_lift, 3)
    (0.335, 0.397)
    """
    ahead = checked("ahead", ahead, "mm")
    height = checked("height", height, "mm", above=0)
    wheelbase = checked("wheelbase", wheelbase, "mm", above=0)
    return Loading(
        front_share=plain(ahead / wheelbase),
        front_lift=plain(ahead / height),
        pitch_over=plain((wheelbase - ahead) / height),
    )


def front_share_check(
    share: float, *, wheelbase: float, total: float, rider: float, limit: float = FRONT_SHARE
) -> Check[Statement]:
    """Whether the front wheel carries enough with the rider rearmost.

    Parameters
    ----------
    share : float
        Of bike and rider, the saddle rearmost, hands on the grips.
    wheelbase : float [mm]
    total, rider : float [kg]
        Of bike and rider, and of the rider alone.
    limit : float
        Least share.

    Returns
    -------
    Check
        Code ``load.front_share``, of safety; tight below 0.28, where upright
        and seated riders begin. The remedy is how far forward the rider must move.

    Raises
    ------
    InvalidInput
        A number out of range, a rider heavier than the total.

    Examples
    --------
    >>> check = front_share_check(0.24, wheelbase=1100.0, total=95.0, rider=80.0)
    >>> check.outcome, check.remedy
    ('no', RiderForward(by=53.0))
    """
    wheelbase = float(checked("wheelbase", wheelbase, "mm", above=0))
    total = float(checked("total", total, "kg", above=0))
    rider = float(checked("rider", rider, "kg", above=0, most=total))
    wished = max(limit, 0.28)
    forward = np.ceil(max(wished - share, 0.0) * wheelbase * total / rider)
    return judge(
        "load.front_share",
        figure=float(share),
        limit=limit,
        unit="",
        reason=FrontShare(percent=100 * float(share)),
        source=Source.ISO_4210_FRONT_SHARE,
        remedy=RiderForward(by=float(forward)),
        band=wished - limit,
        safety=True,
    )


def permissible_check(
    code: str, *, what: str, mass: float, limit: float | None, source: str = Source.BUILDER
) -> Check[Statement]:
    """Whether a load keeps a mass that builder or part maker permits.

    Parameters
    ----------
    code : str
        Which limit ("load.rider", "load.bike", "load.rack").
    what : str
        What is loaded, as whoever asks calls it.
    mass : float [kg]
    limit : float or None [kg]
        ``None`` when none is stated.
    source : str
        Who states it.

    Returns
    -------
    Check
        Of safety; tight within 5 % of the limit.

    Raises
    ------
    InvalidInput
        A mass or a limit that is negative or not finite.

    Examples
    --------
    >>> permissible_check("load.rider", what="Rider", mass=115.0, limit=110.0).remedy
    LoadLess(less=5.0, mass=115.0)
    """
    mass = float(checked("mass", mass, "kg", least=0))
    if limit is None:
        missing, ask = PermittedNotKnown(what=what), Ask(whom=source)
        return unknown(code, missing=missing, source=source, remedy=ask, safety=True)
    limit = float(checked("limit", limit, "kg", least=0))
    return judge(
        code,
        figure=mass,
        limit=limit,
        unit="kg",
        reason=Permitted(what=what, mass=mass, source=source, limit=limit),
        source=source,
        remedy=LoadLess(less=mass - limit, mass=mass) if mass > limit else NothingMore(),
        sense="at most",
        band=0.05 * limit,
        safety=True,
    )
