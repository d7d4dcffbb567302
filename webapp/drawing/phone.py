"""How large lettering is drawn so that a phone shows it legibly, and how far it may reach."""

from __future__ import annotations

import math

from webapp.drawing.dimensioning.lettering import HALF_LINE
from webapp.drawing.points import BikePoints, RiderPoints
from webapp.drawing.svg_sheet import Pens, Sheet

STEP = 20.0
"""A sheet grows by this much at a time [mm]."""

_PHONE = (268.0, 214.0)  # [px] width and height a drawing has at least on a phone,
_RIDDEN = (268.0, 270.0)  # and one with a rider
_LEGIBLE = 12.05  # [px] lettering on a phone is at least as large
_GRIP = 16.0  # [mm] of the bar's radius
_LARGEST = 6.0  # of the pens: no bike needs as large ones
_OUTSIDE = 9.5  # cost of a text that makes the sheet larger than it must be


def pens_of_phone(points: BikePoints, rider: RiderPoints | None) -> Pens:
    """Pens that leave lettering legible when all of this is as wide or high as a phone."""
    (wide, high), phone = _extent(points, rider), _PHONE if rider is None else _RIDDEN
    unit = Pens()
    # Lettering takes the same room on the phone whatever the bike's size: tiers below the
    # ground, a row above a bike without rider, the gaps around the sheet.
    px = _LEGIBLE / unit.text
    rows = 2 * unit.tier + 2 * unit.gap + _row(unit) if rider is None else unit.tier + unit.gap
    across, up = phone[0] - 6 * px * unit.gap, phone[1] - px * (rows + 2 * unit.gap)
    share = max((wide + 2 * STEP) / across, (high + 2 * STEP) / up)
    return Pens(math.ceil(100 * share * px) / 100)


def larger_pens(sheet: Sheet, *, ridden: bool) -> Pens | None:
    """Pens for another try where rows below left lettering too small; None where it is legible."""
    pens, frame = sheet.pens, sheet.frame(sheet.pens.gap, STEP)
    wide, high = _RIDDEN if ridden else _PHONE
    share = max((frame.right - frame.left) / wide, (frame.top - frame.bottom) / high)
    short_of = _LEGIBLE * share / pens.text
    if short_of <= 1.0 or pens.unit > _LARGEST:
        return None
    # What surrounds the bike grows with the pens, so more than the share is needed.
    return Pens(math.ceil(100 * pens.unit * short_of**1.5) / 100)


def _row(pens: Pens) -> float:
    """Room of one row of lettering above everything else [mm]."""
    return 2 * HALF_LINE * pens.text + 2 * pens.gap


def _extent(points: BikePoints, rider: RiderPoints | None) -> tuple[float, float]:
    """Width and height of bike and rider [mm]."""
    top = points.frame.head_tube_top[1]
    if points.saddle is not None:
        top = max(top, points.saddle.saddle[1])
    if points.cockpit is not None:
        top = max(top, points.cockpit.grips[1] + _GRIP)
    if rider is not None:
        top = max(top, rider.head[1] + rider.head_radius)
    rear, front = points.rear, points.front
    return front.axle[0] + front.radius - rear.axle[0] + rear.radius, top - points.ground


def keep_within(
    sheet: Sheet, points: BikePoints, rider: RiderPoints | None, *, compact: bool
) -> None:
    """Let lettering make the sheet larger than the bike only where that costs no scale."""
    pens = sheet.pens
    (wide, high), phone = _extent(points, rider), _PHONE if rider is None else _RIDDEN
    if compact:
        whole = phone[0] * pens.text / _LEGIBLE - 2 * STEP - 2 * pens.gap
        sheet.obstacles.top = points.ground + high + _row(pens)
    else:
        whole = high * phone[0] / phone[1]
    spare = max((2 if compact else 3) * pens.gap, (whole - wide) / 2)
    sheet.obstacles.left = points.rear.axle[0] - points.rear.radius - spare
    sheet.obstacles.right = points.front.axle[0] + points.front.radius + spare
    sheet.obstacles.outside = _OUTSIDE
