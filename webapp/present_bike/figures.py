"""What is known of the present bike, as rows, and as a drawing with the tape on it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from markupsafe import Markup

from webapp.builds.present_bike.bike import Known, PresentBike, Spot
from webapp.builds.present_bike.by_tape import KINDS
from webapp.builds.present_bike.fields import FIELD_OF
from webapp.common.text.glossary import entry
from webapp.common.text.language import tr
from webapp.common.text.units import number, with_unit
from webapp.drawing.guides.measured_bike import Held, measured_bike
from webapp.drawing.outline import Outline
from webapp.drawing.points import Point

SHOWN = (
    "trail", "wheelbase", "front_centre", "rear_centre", "bb_height", "head_angle",
    "chainstay_length", "reach", "stack", "grip_height", "saddle_above_ground",
)  # fmt: skip
"""Figures shown of the present bike beside its contact points."""


@dataclass(frozen=True, kw_only=True)
class KnownRow:
    """One figure, or that it is not known."""

    key: str
    name: str
    shown: str


def known_rows(bike: PresentBike) -> tuple[KnownRow, ...]:
    """Contact points and figures of a bike, each with its ± or as not known."""
    now = bike.measured
    spots = (
        ("grips", tr("Grips from the crank axle"), now.grip, 1.0),
        ("saddle", tr("Saddle from the crank axle"), now.saddle, -1.0),
    )
    points = [
        KnownRow(key=key, name=name, shown=_spot(spot, way)) for key, name, spot, way in spots
    ]
    figures = [
        KnownRow(key=key, name=entry(key).name, shown=_figure(key, now.figures.get(key)))
        for key in SHOWN
    ]
    return (*points, *figures)


def _spot(spot: Spot, way: float) -> str:
    if not spot.known:
        return tr("unknown")
    x, y = spot.at
    level, half = abs(x), spot.half_width
    if x > 0 or (x == 0 and way > 0):
        return tr(
            "{level:.0f} mm ahead, {up:.0f} mm above, ± {half:.0f} mm", level=level, up=y, half=half
        )
    return tr(
        "{level:.0f} mm behind, {up:.0f} mm above, ± {half:.0f} mm", level=level, up=y, half=half
    )


def _figure(key: str, known: Known | None) -> str:
    if known is None:
        return tr("unknown")
    unit = entry(key).unit
    places = 1 if unit == "°" else 0
    half = max(known.half_width, 0.1 if places else 1.0)
    value = f"{number(known.value, places)} ± {number(half, places)}"
    return with_unit(value, unit)


def present_drawing(bike: PresentBike) -> Markup:
    """The bike as far as it is known, the tape where it was held, and what is wished dashed."""
    outline = bike.measured.outline
    target = bike.target
    moved = None
    if target is not None and bike.position != target:
        moved = Outline(grips=target.grip, saddle=target.saddle)
    held = _held(bike) if bike.way == "tape" else []
    drawn = measured_bike(outline, held, moved=moved)
    return Markup(drawn)  # noqa: S704  # the drawing escapes every text it is given


def _held(bike: PresentBike) -> list[Held]:
    """Measurements whose both ends are known."""
    found = []
    ends = _ends(bike)
    for name in KINDS:
        typed, place = bike.typed[name], ends.get(name)
        if typed and place is not None and name not in {p.field for p in bike.problems}:
            found.append(Held(start=place[0], end=place[1], words=typed))
    return found


def _ends(bike: PresentBike) -> dict[str, tuple[Point, Point]]:
    outline = bike.measured.outline
    points: dict[str, Point] = {"bb": (0.0, 0.0)}
    if outline.grips:
        points["grip"] = outline.grips
    if outline.saddle:
        points["saddle"] = outline.saddle
    for (axle, _), name in zip(outline.wheels, ("rear_axle", "front_axle"), strict=False):
        points[name if axle[0] < 0 else "front_axle"] = axle
    found = {
        f"{one}_to_{other}": (points[one], points[other])
        for one in points
        for other in points
        if f"{one}_to_{other}" in FIELD_OF
    }
    if "rear_axle" in points and "front_axle" in points:
        found["wheelbase"] = points["rear_axle"], points["front_axle"]
    if outline.ground is not None and not math.isnan(outline.ground):
        for name, (x, y) in points.items():
            if f"{name}_above_floor" in FIELD_OF:
                found[f"{name}_above_floor"] = (x, y), (x, outline.ground)
    if outline.saddle:
        found["saddle_behind_bb"] = (outline.saddle[0], 0.0), (0.0, 0.0)
    return found
