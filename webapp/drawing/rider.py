"""A rider on the bike: limbs as thin tapering outlines, joints as small circles."""

from __future__ import annotations

import math

from webapp.drawing.directions import direction, fan, polar
from webapp.drawing.points import Point, RiderPoints
from webapp.drawing.svg_sheet import Sheet

_THIGH, _SHANK, _FOOT, _TRUNK, _ARM, _FOREARM = (
    (78, 54),
    (54, 36),
    (34, 22),
    (92, 104),
    (46, 36),
    (36, 26),
)
_JOINT = 9.0


def draw_far_leg(sheet: Sheet, rider: RiderPoints) -> None:
    """Draw the leg behind the bike, where it is known: before the bike, which hides it.

    Parameters
    ----------
    sheet : Sheet
    rider : RiderPoints
        Joints in standing coordinates [mm].
    """
    if rider.far_knee and rider.far_ankle and rider.far_toe:
        with sheet.group("part-rider"):
            _leg(sheet, (rider.hip, rider.far_knee, rider.far_ankle, rider.far_toe))


def draw_rider(sheet: Sheet, rider: RiderPoints) -> None:
    """Draw the rider before the bike, hiding what lies behind.

    Parameters
    ----------
    sheet : Sheet
    rider : RiderPoints
        Joints in standing coordinates [mm].
    """
    with sheet.group("part-rider"):
        neck = polar(rider.shoulder, 40.0, direction(rider.shoulder, rider.head))
        limb(sheet, neck, rider.head, (64.0, 56.0), paper=True)
        limb(sheet, rider.hip, rider.shoulder, _TRUNK, paper=True)
        sheet.circle(rider.head, rider.head_radius, paper=True)
        _leg(sheet, (rider.hip, rider.knee, rider.ankle, rider.toe))
        limb(sheet, rider.shoulder, rider.elbow, _ARM, paper=True)
        limb(sheet, rider.elbow, rider.hand, _FOREARM, paper=True)
        joints = (rider.hip, rider.knee, rider.ankle, rider.toe)
        for joint in (*joints, rider.shoulder, rider.elbow, rider.hand):
            sheet.circle(joint, _JOINT, paper=True)


def limb(
    sheet: Sheet, start: Point, end: Point, widths: tuple[float, float], *, paper: bool = False
) -> None:
    """A rounded, tapering outline around a line: two circles and their outer tangents.

    Parameters
    ----------
    sheet : Sheet
    start, end : (x, y) [mm]
    widths : (start, end) [mm]
        Diameters at the two ends.
    paper : bool
        Hide what lies behind; no text is put along the line then.
    """
    if paper:
        sheet.keep_clear(start, end)
    long = math.dist(start, end)
    if long <= abs(widths[0] - widths[1]) / 2:
        sheet.circle(start, max(widths) / 2, paper=paper)
        return
    way = direction(start, end)
    lean = math.degrees(math.acos((widths[0] - widths[1]) / 2 / long))
    far = fan(end, widths[1] / 2, way - lean, lean / 4, 9)
    near = fan(start, widths[0] / 2, way + lean, (360.0 - 2 * lean) / 8, 9)
    sheet.polyline([*far, *near], closed=True, paper=paper)


def _leg(sheet: Sheet, joints: tuple[Point, Point, Point, Point]) -> None:
    hip, knee, ankle, toe = joints
    limb(sheet, ankle, toe, _FOOT, paper=True)
    limb(sheet, knee, ankle, _SHANK, paper=True)
    limb(sheet, hip, knee, _THIGH, paper=True)
