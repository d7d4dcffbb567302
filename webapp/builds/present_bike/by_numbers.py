"""The present bike from its published numbers, its stem, its bar and its saddle."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from geometry.bike import radius, read_marking
from geometry.core import GeometryError
from geometry.position import FIGURES, Placed, place_published
from webapp.builds.present_bike.bike import Known, Measured, Point, Spot
from webapp.builds.present_bike.fields import FIELD_OF, NUMBERS
from webapp.builds.present_bike.typed import read_number
from webapp.common.errors import Invalid, Problem
from webapp.common.text.language import tr
from webapp.drawing.outline import Outline

_TYRES = {"rear_tyre": "rear_radius", "front_tyre": "front_radius"}
_KEYS = (
    "reach", "stack", "head_angle", "seat_tube_angle", "chainstay_length", "bb_drop", "bb_height",
    "rear_centre", "front_centre", "wheelbase", "trail",
)  # fmt: skip

_NEEDED: Mapping[str, tuple[str, ...]] = {
    "grip": ("reach", "stack", "head_angle", "stem_length"),
    "saddle": ("saddle_height", "saddle_setback"),
}


def by_numbers(typed: Mapping[str, str]) -> Measured:
    """A bike from its numbers.

    Parameters
    ----------
    typed : mapping of field to str

    Returns
    -------
    Measured
    """
    problems: list[Problem] = []
    given: dict[str, float] = {}
    for field in NUMBERS:
        if typed[field.name]:
            try:
                given |= _read(field.name, typed[field.name])
            except Invalid as error:
                problems += error.problems
    if "rear_radius" in given:
        given.setdefault("front_radius", given["rear_radius"])
    try:
        found = place_published(given)
    except GeometryError as error:
        problems.append(Problem.of(error))
        found = place_published({})
    return Measured(
        grip=_spot(found, "grip"),
        saddle=_spot(found, "saddle"),
        figures=_figures(found),
        outline=_outline(found),
        problems=tuple(problems),
        measure_next=_next(found, given),
    )


def _read(name: str, text: str) -> dict[str, float]:
    if name not in _TYRES:
        return {name: read_number(FIELD_OF[name], text)}
    try:
        width, seat = read_marking(text)
        return {_TYRES[name]: float(radius(nominal_width=width, bead_seat_diameter=seat))}
    except GeometryError as error:
        remedy = tr("as moulded on the tyre: its width and its bead seat, such as 60-622")
        raise Invalid(name, text, remedy) from error


def _spot(found: Placed, name: str) -> Spot:
    at, covariance = found.point(name)
    return Spot(at=at, covariance=covariance)


def _figures(found: Placed) -> dict[str, Known]:
    known = {
        key: Known(value=found.value(key), half_width=2.0 * found.spread(key))
        for key in _KEYS
        if np.isfinite(found.value(key))
    }
    sums = {
        "grip_height": ("grip_y", "bb_height", 1.0),
        "saddle_above_ground": ("saddle_y", "bb_height", 1.0),
        "grips_to_rear_axle": ("grip_x", "rear_axle_x", -1.0),
    }
    for key, (one, other, way) in sums.items():
        value = found.value(one) + way * found.value(other)
        if np.isfinite(value):
            known[key] = Known(value=value, half_width=2.0 * _spread_of(found, one, other, way))
    return known


def _spread_of(found: Placed, one: str, other: str, way: float) -> float:
    """Standard deviation of one figure and, added or taken off, another [mm]."""
    first, second = FIGURES.index(one), FIGURES.index(other)
    both = found.covariance[first, first] + found.covariance[second, second]
    return float(np.sqrt(max(both + 2.0 * way * found.covariance[first, second], 0.0)))


def _next(found: Placed, given: Mapping[str, float]) -> str:
    """The first field that a point still needs."""
    for name, needed in _NEEDED.items():
        if not np.isfinite(found.point(name)[0]).all():
            return next((each for each in needed if each not in given), "")
    return ""


def _outline(found: Placed) -> Outline:
    at = {name: _point(found, name) for name in ("grip", "saddle")}
    axles = {
        end: (found.value(f"{end}_axle_x"), found.value(f"axle_y_{end}"))
        for end in ("rear", "front")
    }
    top = found.value("reach"), found.value("stack")
    lines = [
        ((0.0, 0.0), axles["rear"]),
        ((0.0, 0.0), top),
        (top, axles["front"]),
        *(((0.0, 0.0), point) for point in (at["saddle"],) if point),
        *((top, point) for point in (at["grip"],) if point),
    ]
    height = found.value("bb_height")
    return Outline(
        grips=at["grip"],
        saddle=at["saddle"],
        ground=-height if np.isfinite(height) else None,
        wheels=tuple(
            (axle, found.value(f"{end}_radius"))
            for end, axle in axles.items()
            if np.isfinite([*axle, found.value(f"{end}_radius")]).all()
        ),
        lines=tuple(line for line in lines if np.isfinite(line).all()),
    )


def _point(found: Placed, name: str) -> Point | None:
    point, _ = found.point(name)
    return point if np.isfinite(point).all() else None
