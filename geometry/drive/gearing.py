"""Rings, sprockets and what they gear: size of a ring, gear table, a hub's own limits."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.checks import Ask, Check, Source, judge, unknown
from geometry.core import Num, Statement, checked, plain, whole
from geometry.drive.loop import FEWEST_TEETH
from geometry.drive.statements import (
    ArmFixed,
    ArmLoose,
    FixingNotKnown,
    FrameWithFixing,
    HubRatio,
    KeepHubRatio,
    LargestRingNotKnown,
    RingAtMost,
    RingBesideStay,
    SmallestRatioNotKnown,
)

USUAL_CADENCE = 80.0
"""Turns of the cranks a minute for which a speed is stated when none is asked for [CP]."""


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Gears:
    """A gear table; all arrays of one shape.

    Parameters
    ----------
    ratio : float or array
        Turns of the rear wheel per turn of the cranks.
    development : float or array [m]
        Way per turn of the cranks.
    speed : float or array [km/h]
        At the cadence asked for.
    """

    ratio: Num
    development: Num
    speed: Num


def gears(
    *,
    ring: Num,
    sprocket: Num,
    wheel_diameter: Num,
    cadence: Num = USUAL_CADENCE,
    hub_ratio: Num = 1.0,
) -> Gears:
    """Gear table of any broadcastable rings, sprockets and hub gears.

    Parameters
    ----------
    ring, sprocket : int or array
        Teeth.
    wheel_diameter : float or array [mm]
        Over the rear tyre.
    cadence : float or array [1/min]
        Turns of the cranks.
    hub_ratio : float or array
        Wheel turns per sprocket turn: 1 without a geared hub.

    Returns
    -------
    Gears

    Raises
    ------
    InvalidInput
        Teeth not whole, lengths or ratios not above 0, a negative cadence.

    Notes
    -----
    ``ratio = N/n · hub``, development ``π D ratio``, speed
    ``development · cadence``. By definition.

    Examples
    --------
    >>> table = gears(ring=48, sprocket=19, wheel_diameter=27 * 25.4)
    >>> round(table.ratio, 3), round(table.development, 3), round(table.speed, 1)
    (2.526, 5.443, 26.1)
    """
    ring = whole("ring", ring, "teeth", least=FEWEST_TEETH)
    sprocket = whole("sprocket", sprocket, "teeth", least=FEWEST_TEETH)
    diameter = checked("wheel_diameter", wheel_diameter, "mm", above=0)
    cadence = checked("cadence", cadence, "turns a minute", least=0)
    ratio = ring / sprocket * checked("hub_ratio", hub_ratio, "wheel turns", above=0)
    development = np.pi * diameter * ratio / 1000.0
    return Gears(
        ratio=plain(ratio),
        development=plain(development),
        speed=plain(development * cadence * 60.0 / 1000.0),
    )


def smallest_ring(*, sprocket: Num, least_ratio: Num) -> Num:
    """Fewest ring teeth a geared hub's maker allows with a sprocket.

    Parameters
    ----------
    sprocket : int or array
        Teeth.
    least_ratio : float or array
        Smallest allowed ring ÷ sprocket.

    Returns
    -------
    float or array
        Whole teeth: ``ceil(n · ratio)``.

    Raises
    ------
    InvalidInput
        Teeth not whole, a ratio not above 0.

    Examples
    --------
    >>> smallest_ring(sprocket=25, least_ratio=2.2)
    55.0
    """
    sprocket = whole("sprocket", sprocket, "teeth", least=FEWEST_TEETH)
    ratio = checked("least_ratio", least_ratio, "turns", above=0)
    # the nudge keeps 25 × 2.2 = 55.00000000000001 from asking for 56 teeth
    return plain(np.ceil(sprocket * ratio - 1e-9))


def hub_ratio_check(
    *, ring: int, sprocket: int, least_ratio: float | None, source: str
) -> Check[Statement]:
    """Whether a geared hub's smallest allowed primary ratio is kept.

    A smaller ratio puts more torque into the hub than its maker allows.

    Parameters
    ----------
    ring, sprocket : int
        Teeth.
    least_ratio : float or None
        Smallest allowed ring ÷ sprocket; ``None`` when the maker's figure is not known.
    source : str
        Who states it.

    Returns
    -------
    Check
        Code ``drive.hub_ratio``; the remedy names the smallest ring and the
        largest sprocket that keep the limit.

    Raises
    ------
    InvalidInput
        Teeth not whole, a ratio not above 0.

    Examples
    --------
    >>> check = hub_ratio_check(ring=32, sprocket=20, least_ratio=1.75, source="hub maker")
    >>> check.outcome, check.remedy
    ('no', KeepHubRatio(ring=35.0, sprocket=18.0))
    """
    code = "drive.hub_ratio"
    if least_ratio is None:
        ask = Ask(whom=Source.HUB_MAKER)
        return unknown(code, missing=SmallestRatioNotKnown(), source=source, remedy=ask)
    ring_needed = smallest_ring(sprocket=sprocket, least_ratio=least_ratio)
    ratio = whole("ring", ring, "teeth", least=FEWEST_TEETH) / sprocket
    sprocket_needed = np.floor(ring / least_ratio + 1e-9)
    return judge(
        code,
        # judged in whole teeth, so that 55/25 against 2.2 is not lost to rounding
        figure=least_ratio if ring == ring_needed else float(ratio),
        limit=least_ratio,
        unit="",
        reason=HubRatio(ring=ring, sprocket=sprocket, ratio=float(ratio), least=least_ratio),
        source=source,
        remedy=KeepHubRatio(ring=float(ring_needed), sprocket=float(sprocket_needed)),
    )


def reaction_arm_check(*, fixing: str | None, needed: bool, source: str) -> Check[Statement] | None:
    """Whether a coaster brake's reaction arm can be fixed to the frame.

    An arm that is loose turns with the hub: the brake fails.

    Parameters
    ----------
    fixing : str or None
        What the frame offers ("boss on the left stay"); empty for nothing at
        all, ``None`` when it is not known.
    needed : bool
        True for a coaster brake.
    source : str
        Who says so.

    Returns
    -------
    Check or None
        Code ``drive.reaction_arm``, a check of safety; ``None`` when no arm is needed.

    Examples
    --------
    >>> reaction_arm_check(fixing="", needed=True, source="builder").outcome
    'no'
    """
    if not needed:
        return None
    code = "drive.reaction_arm"
    if fixing is None:
        ask = Ask(whom=Source.BUILDER)
        return unknown(code, missing=FixingNotKnown(), source=source, remedy=ask, safety=True)
    return Check(
        code=code,
        outcome="clear" if fixing else "no",
        reason=ArmFixed(fixing=fixing) if fixing else ArmLoose(),
        source=source,
        remedy="" if fixing else FrameWithFixing(),
        safety=True,
    )


def ring_check(*, ring: int, most: float | None, source: str = Source.BUILDER) -> Check[Statement]:
    """Whether the stays leave room for a chain ring.

    Parameters
    ----------
    ring : int
        Teeth.
    most : float or None
        Most teeth the stays allow at its chainline, as the builder states it or
        or the most teeth that its room takes; ``None`` when neither is known.
    source : str
        Where that comes from.

    Returns
    -------
    Check
        Code ``drive.ring_room``, of safety.

    Raises
    ------
    InvalidInput
        Teeth not whole.

    Examples
    --------
    >>> ring_check(ring=36, most=33).remedy
    RingAtMost(most=33)
    """
    code = "drive.ring_room"
    teeth = whole("ring", ring, "teeth", least=FEWEST_TEETH)
    if most is None:
        ask = Ask(whom=Source.BUILDER)
        return unknown(code, missing=LargestRingNotKnown(), source=source, remedy=ask, safety=True)
    return judge(
        code,
        figure=float(teeth),
        limit=most,
        unit="teeth",
        reason=RingBesideStay(ring=ring, most=most),
        source=source,
        remedy=RingAtMost(most=most),
        sense="at most",
        safety=True,
    )
