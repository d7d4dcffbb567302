"""Bike and rider drawn once, for every layout that shows them.

They have the same lines whatever the size of the lettering; only the pens differ, which
belong to the sheet that they are laid on.
"""

from __future__ import annotations

from dataclasses import dataclass

from webapp.drawing.bike import draw_bike
from webapp.drawing.outline import Outline, draw_ghost
from webapp.drawing.points import BikePoints, RiderPoints
from webapp.drawing.rider import draw_far_leg, draw_rider
from webapp.drawing.svg_sheet import Pens, Sheet


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Traced:
    """One bike in layers, from back to front.

    Parameters
    ----------
    behind : Sheet
        The ground, and a second bike.
    bike : Sheet
        The bike, and the rider's leg behind it.
    rider : Sheet or None
        The rider before it.
    """

    behind: Sheet
    bike: Sheet
    rider: Sheet | None


def traced(
    points: BikePoints,
    rider: RiderPoints | None = None,
    *,
    ghost: Outline | None = None,
    finish: str = "",
) -> Traced:
    """Draw a bike and what stands on and behind it.

    Parameters
    ----------
    points : BikePoints
        Standing coordinates [mm].
    rider : RiderPoints, optional
        A rider on the bike.
    ghost : Outline, optional
        A second bike, dashed behind it.
    finish : str
        Colour of the frame, #rrggbb, laid thinly over its tubes; none if empty.

    Returns
    -------
    Traced
    """
    behind, bike = Sheet(Pens()), Sheet(Pens())
    with behind.group("ground-line"):
        _ground(behind, points)
    if ghost is not None:
        draw_ghost(behind, ghost)
    if rider is not None:
        draw_far_leg(bike, rider)
    draw_bike(bike, points, finish=finish)
    return Traced(behind=behind, bike=bike, rider=_before(rider))


def _before(rider: RiderPoints | None) -> Sheet | None:
    if rider is None:
        return None
    sheet = Sheet(Pens())
    draw_rider(sheet, rider)
    return sheet


def _ground(sheet: Sheet, points: BikePoints) -> None:
    left = points.rear.axle[0] - points.rear.radius
    right = max(points.front.axle[0] + points.front.radius, points.axis_on_ground[0])
    sheet.line((left, points.ground), (right, points.ground))
