"""A toe and the front wheel: a clearance that is surely there, found without a search.

Points, balls and halves of the wheel are those of `geometry.clearance.toe`. Along the steering
axis and behind it, the BB lies at (ā, b̄). A ball of the rear half that is abreast of the pedal
lies at ``(a, B)`` with ``a = along + ρ sin u``, ``e = ρ cos u − ahead`` and

    B = √(e² − Z²)  ≤  e − Z²/2e  ≤  ρ cos u − ahead − δ,    δ = Z²/2(ρ − ahead)

so it is no nearer to the BB than the circle of radius ρ about ``(along, −ahead − δ)``, and what
is left of that distance after crank and tyre, ``− ρ − c − s``, is less than the way forward: the
straight way between two circles is the shortest. The front half stays ahead of the axis and thus
``b̄`` away. Z grows with φ and s falls beyond the middle, so the least lies at φ ≤ 0; there it is
taken between steps, with the Z of the one and the s of the other.
"""

from __future__ import annotations

import numpy as np

from geometry.clearance.pedals import Pedal, Wheel
from geometry.core import Num, checked, cos, plain, sin

_PHI = np.linspace(-np.pi / 2.0, 0.0, 13)
_SIDE = np.sin(_PHI)
_SECTION = np.append(np.cos(_PHI[1:]), 1.0)  # of the next step, the larger


def toe_clearance_least(
    *, wheel: Wheel, head_angle: Num, axis_x: Num, axis_y: Num, pedal: Pedal
) -> Num:
    """A toe clearance that is surely there: the true one is at least as large.

    Parameters
    ----------
    wheel : Wheel
        The front wheel standing straight ahead, or its mudguard.
    head_angle : float or array [deg]
        Of the standing bike.
    axis_x, axis_y : float or array [mm]
        Any point of the steering axis.
    pedal : Pedal
        Crank length and the pedal centre's distance from the middle plane.

    Returns
    -------
    float or array [mm]
        Some millimetres less than `toe_clearance` finds with the pedal's path, in a small part
        of its time; ``-inf`` where nothing is sure: toe and tyre may touch, or the bike is of
        an unusual shape.

    Raises
    ------
    InvalidInput
        As for `toe_clearance`.

    Notes
    -----
    The inequalities stand at the head of this module; checked against `toe_clearance`.

    Examples
    --------
    >>> wheel = Wheel(x=640.0, y=60.0, radius=360.0, width=55.0)
    >>> pedal = Pedal(crank_length=170.0, centre=135.0, outer=185.0)
    >>> least = toe_clearance_least(
    ...     wheel=wheel, head_angle=70.0, axis_x=590.0, axis_y=60.0, pedal=pedal)
    >>> round(least, 1)  # in truth 144.4
    139.8
    """
    head_angle = checked("head_angle", head_angle, "degrees", least=30, most=100)
    axis_x, axis_y = checked("axis_x", axis_x, "mm"), checked("axis_y", axis_y, "mm")
    x, y, tyre = wheel.x - axis_x, wheel.y - axis_y, wheel.width / 2.0
    cosine, sine = cos(head_angle), sin(head_angle)
    up = axis_x * cosine - axis_y * sine - (sine * y - cosine * x)  # of the BB over the wheel
    behind = axis_x * sine + axis_y * cosine  # of the BB behind the axis
    ahead, circle = sine * x + cosine * y, wheel.radius - tyre
    reach = circle - ahead  # of the ball furthest behind the axis
    rear = _to_rear_half(up, behind + ahead, reach=reach, wheel=wheel, side=pedal.centre)
    least = np.minimum(rear, behind - tyre) - pedal.crank_length
    # No ball is behind the BB, neither square to the axis nor level.
    before = (behind - reach) * sine + (up * cosine - circle * np.abs(cosine))
    sure = (reach > 0) & (behind > reach) & (before > 0) & (least > 0)
    return plain(np.where(sure, least, -np.inf))


def _to_rear_half(up: Num, back: Num, *, reach: Num, wheel: Wheel, side: Num) -> Num:
    """No less than this lies between the BB and a disc of the rear half [mm]."""
    up, back, reach, plane, tyre, radius = (
        np.asarray(each)[..., None]
        for each in (up, back, reach, side, wheel.width / 2.0, wheel.radius)
    )
    abreast = np.maximum(plane + tyre * _SIDE, 0.0)
    nearer = abreast * abreast / (2.0 * np.maximum(reach, 1.0))
    away = np.sqrt(up * up + (back + nearer) ** 2)
    found: Num = np.min(away - (radius - tyre) - tyre * _SECTION, axis=-1)
    return found
