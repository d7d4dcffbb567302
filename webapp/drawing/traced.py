"""Bike and rider drawn once, and the figures printed once, for every layout that shows them.

They have the same lines whatever the size of the lettering; only the pens differ, which
belong to the sheet that they are laid on.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from webapp.common.text.units import LengthUnit
from webapp.drawing.bike import draw_bike
from webapp.drawing.dimensioning.dimensions import Figure
from webapp.drawing.labels import figures_of, printed_in_words
from webapp.drawing.outline import Outline, draw_ghost, ghost_words
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
    figures : mapping of str to Figure
        Its figures, printed in full.
    words : str
        The text equivalent.
    """

    behind: Sheet
    bike: Sheet
    rider: Sheet | None
    figures: Mapping[str, Figure]
    words: str


def traced(
    points: BikePoints,
    values: Mapping[str, float],
    rider: RiderPoints | None = None,
    *,
    unit: LengthUnit = "mm",
    ghost: Outline | None = None,
    finish: str = "",
) -> Traced:
    """Draw a bike and what stands on and behind it.

    Parameters
    ----------
    points : BikePoints
        Standing coordinates [mm].
    values : mapping of str to float [mm or deg]
        Its figures by key of `webapp.drawing.labels.NAMES`.
    rider : RiderPoints, optional
        A rider on the bike.
    unit : {"mm", "cm", "in"}
        Of the lettering.
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
    figures = figures_of(values, unit)
    words = printed_in_words(figures, unit)
    return Traced(
        behind=behind,
        bike=bike,
        rider=_before(rider),
        figures=figures,
        words=words if ghost is None else f"{words} {ghost_words(ghost)}",
    )


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
