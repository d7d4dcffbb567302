"""The present bike from measurements with a tape."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields, replace

import numpy as np
from numpy.typing import NDArray

from geometry.core import FloatArray, GeometryError
from geometry.position import UNKNOWNS, Fixed, fix_points, most_telling
from geometry.position import Measured as Reading
from webapp.builds.present_bike.bike import Known, Measured, Spot
from webapp.builds.present_bike.fields import MORE_TAPE, TAPE
from webapp.builds.present_bike.typed import read_number
from webapp.common.errors import Invalid, Problem
from webapp.drawing.outline import Outline

KINDS = {field.name: field for field in (*TAPE, *MORE_TAPE)}
WANTED = ("saddle_x", "saddle_y", "grip_x", "grip_y")

Rows = NDArray[np.intp]

_OPEN = Spot(at=(np.nan, np.nan), covariance=np.full((2, 2), np.nan))
_LEVEL: Mapping[str, Mapping[str, float]] = {
    "bb_height": {"bb_height": 1.0},
    "bb_drop": {"rear_radius": 1.0, "bb_height": -1.0},
    "rear_centre": {"rear_axle_x": -1.0},
    "front_centre": {"front_axle_x": 1.0},
    "wheelbase": {"front_axle_x": 1.0, "rear_axle_x": -1.0},
    "grip_height": {"grip_y": 1.0, "bb_height": 1.0},
    "saddle_above_ground": {"saddle_y": 1.0, "bb_height": 1.0},
    "grips_to_rear_axle": {"grip_x": 1.0, "rear_axle_x": -1.0},
}
"""Figures that are sums of points a tape measures."""

_MEASURED = {
    "wheelbase": "wheelbase",
    "bb_to_rear_axle": "chainstay_length",
    "grip_above_floor": "grip_height",
    "saddle_above_floor": "saddle_above_ground",
}
"""Figures that a tape measures directly, whatever else is unknown."""


def by_tape(typed: Mapping[str, str]) -> Measured:
    """A bike from its measurements.

    Parameters
    ----------
    typed : mapping of field to str

    Returns
    -------
    Measured
    """
    readings: list[Reading] = []
    problems: list[Problem] = []
    for field in KINDS.values():
        if typed[field.name]:
            try:
                value = read_number(field, typed[field.name])
                readings.append(Reading(kind=field.name, value=value))
            except Invalid as error:
                problems += error.problems
    found = None
    try:
        found = fix_points(readings) if readings else None
    except GeometryError as error:
        problems.append(Problem.of(_in_words_of_page(error)))
    return Measured(
        grip=_spot(found, "grip"),
        saddle=_spot(found, "saddle"),
        figures=_figures(found, readings) if found else {},
        outline=_outline(found) if found else Outline(),
        problems=tuple(problems),
        suspects=found.suspects if found else (),
        measure_next=_next(readings, found),
    )


def _in_words_of_page(error: GeometryError) -> GeometryError:
    """The same, the measurements in its remedy called as the page calls them."""
    values = ((each.name, getattr(error.remedy, each.name)) for each in fields(error.remedy))
    labels = {name: f"“{KINDS[value].label}”" for name, value in values if value in KINDS}
    return type(error)(error.field, error.value, replace(error.remedy, **labels))


def _next(readings: Sequence[Reading], found: Fixed | None) -> str:
    if found is not None and all(np.isfinite(found.value(name)) for name in WANTED):
        return ""
    first = [field.name for field in TAPE]
    return most_telling(readings, WANTED, among=first) or ""


def _spot(found: Fixed | None, name: str) -> Spot:
    if found is None:
        return _OPEN
    at, covariance = found.point(name)
    return Spot(at=at, covariance=covariance)


def _figures(found: Fixed, readings: Sequence[Reading]) -> dict[str, Known]:
    known = {
        _MEASURED[each.kind]: Known(value=each.value, half_width=2.0 * each.spread)
        for each in readings
        if each.kind in _MEASURED
    }
    for key, shares in _LEVEL.items():
        row = np.array([shares.get(name, 0.0) for name in UNKNOWNS])
        used = np.flatnonzero(row)
        _put(known, key, _sum(found, row, used))
    rear, drop = found.value("rear_axle_x"), found.value("rear_radius") - found.value("bb_height")
    length = float(np.hypot(rear, drop))
    row = np.zeros(len(UNKNOWNS))
    for name, share in (("rear_axle_x", rear), ("rear_radius", drop), ("bb_height", -drop)):
        row[UNKNOWNS.index(name)] = share / length if length else 0.0
    used = np.array([UNKNOWNS.index(n) for n in ("rear_axle_x", "rear_radius", "bb_height")])
    _, half = _sum(found, row, used)
    _put(known, "chainstay_length", (length, half))
    return known


def _put(known: dict[str, Known], key: str, found: tuple[float, float]) -> None:
    if np.isfinite(found).all():
        known[key] = Known(value=found[0], half_width=found[1])


def _sum(found: Fixed, row: FloatArray, used: Rows) -> tuple[float, float]:
    """A weighted sum of what was fixed, with two standard deviations of it."""
    value = float(row[used] @ found.values[used])
    variance = float(row[used] @ found.covariance[np.ix_(used, used)] @ row[used])
    return value, 2.0 * float(np.sqrt(max(variance, 0.0))) if np.isfinite(variance) else np.nan


def _outline(found: Fixed) -> Outline:
    wheels = []
    lines: list[tuple[tuple[float, float], ...]] = []
    for end in ("rear", "front"):
        (axle, _), radius = found.point(f"{end}_axle"), found.value(f"{end}_radius")
        if np.isfinite([*axle, radius]).all():
            wheels.append((axle, radius))
            lines.append(((0.0, 0.0), axle))
    points = {}
    for name in ("grip", "saddle"):
        at, _ = found.point(name)
        if np.isfinite(at).all():
            points[name] = at
            lines.append(((0.0, 0.0), at))
    if len(points) > 1:
        lines.append((points["saddle"], points["grip"]))
    height = found.value("bb_height")
    return Outline(
        grips=points.get("grip"),
        saddle=points.get("saddle"),
        ground=-height if np.isfinite(height) else None,
        wheels=tuple(wheels),
        lines=tuple(lines),
    )
