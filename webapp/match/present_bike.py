"""The bike a rider has now, from what a tape says: read from an address, one value."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from geometry.core import GeometryError
from geometry.position import Fixed, Measured, Suspect, fix_points, most_telling
from geometry.search import Target
from webapp.common.errors import Invalid, Problem
from webapp.common.text.language import tr
from webapp.common.text.units import length_mm

Query = Mapping[str, Sequence[str]]
LONGEST_VALUE = 40


@dataclass(frozen=True, kw_only=True)
class TapeField:
    """One measurement that is asked for: between what, how, and its limits [mm]."""

    kind: str
    label: str
    how: str
    low: float
    high: float


TAPE: tuple[TapeField, ...] = (
    TapeField(
        kind="bb_above_floor", label=tr("Crank axle above the floor"),
        how=tr("Bike upright, tape straight down from the middle of the crank axle."),
        low=180, high=500,
    ),
    TapeField(
        kind="saddle_above_floor", label=tr("Saddle above the floor"),
        how=tr("From the middle of the saddle, where you sit, straight down."),
        low=500, high=1500,
    ),
    TapeField(
        kind="bb_to_saddle", label=tr("Crank axle to saddle"),
        how=tr("Straight from the middle of the crank axle to the same place on the saddle."),
        low=400, high=1100,
    ),
    TapeField(
        kind="saddle_behind_bb", label=tr("Saddle behind the crank axle"),
        how=tr("Level, from a plumb line through the crank axle back to the same place."),
        low=1, high=500,
    ),
    TapeField(
        kind="grip_above_floor", label=tr("Grips above the floor"),
        how=tr("Lay a straight stick over both grips; straight down from its middle."),
        low=500, high=1500,
    ),
    TapeField(
        kind="bb_to_grip", label=tr("Crank axle to grips"),
        how=tr("Straight from the crank axle to the middle of that stick."),
        low=400, high=1300,
    ),
    TapeField(
        kind="saddle_to_grip", label=tr("Saddle to grips"),
        how=tr("Straight from the place on the saddle to the middle of that stick."),
        low=250, high=1100,
    ),
)  # fmt: skip
"""What is asked for, the floor first; any five that fix both points are enough."""

LABEL_OF: Mapping[str, str] = MappingProxyType({field.kind: field.label for field in TAPE})

WANTED = ("saddle_x", "saddle_y", "grip_x", "grip_y")


@dataclass(frozen=True, kw_only=True)
class PresentBike:
    """What was measured, and what follows.

    Parameters
    ----------
    typed : mapping of kind to str
        As typed.
    problems : tuple of Problem
        At their fields.
    found : Fixed or None
        None where nothing usable was measured.
    measure_next : str or None
        Kind of the one measurement that would help most; None when both points are known.
    """

    typed: Mapping[str, str]
    problems: tuple[Problem, ...]
    found: Fixed | None
    measure_next: str | None

    @property
    def target(self) -> Target | None:
        """Grips and saddle, when both are known and nothing contradicts."""
        if self.found is None or self.problems or self.found.suspects:
            return None
        (grip, _), (saddle, _) = self.found.point("grip"), self.found.point("saddle")
        return Target(grip=grip, saddle=saddle) if np.isfinite([*grip, *saddle]).all() else None

    @property
    def suspects(self) -> tuple[Suspect, ...]:
        """Measurements that the others contradict."""
        return self.found.suspects if self.found is not None else ()

    def spread(self, point: str) -> float:
        """How far off a point may be, two standard deviations of its worse direction [mm]."""
        if self.found is None:
            return float("nan")
        _, covariance = self.found.point(point)
        return 2.0 * float(np.sqrt(np.linalg.eigvalsh(covariance)[-1]))


def text_of(query: Query, name: str) -> str:
    """A field's one value, without spaces around it."""
    return next((value.strip()[:LONGEST_VALUE] for value in query.get(name, ())), "")


def read_present_bike(query: Query) -> PresentBike:
    """The present bike of an address; nothing typed is lost.

    Parameters
    ----------
    query : mapping of str to sequence of str

    Returns
    -------
    PresentBike
    """
    typed = {field.kind: text_of(query, field.kind) for field in TAPE}
    measured: list[Measured] = []
    problems: list[Problem] = []
    for field in TAPE:
        if typed[field.kind]:
            try:
                value = length_mm(
                    typed[field.kind], field=field.kind, low=field.low, high=field.high
                )
                measured.append(Measured(kind=field.kind, value=value))
            except Invalid as error:
                problems += error.problems
    found = None
    try:
        found = fix_points(measured) if measured else None
    except GeometryError as error:
        problems.append(Problem(error.field, error.value, _named(error.remedy)))
    return PresentBike(
        typed=MappingProxyType(typed),
        problems=tuple(problems),
        found=found,
        measure_next=_next(measured, found),
    )


def _named(remedy: str) -> str:
    """A remedy with the measurements called as the page calls them."""
    for kind, label in LABEL_OF.items():
        remedy = remedy.replace(kind, f"“{label}”")
    return remedy


def _next(measured: Sequence[Measured], found: Fixed | None) -> str | None:
    if found is not None and all(np.isfinite(found.value(name)) for name in WANTED):
        return None
    return most_telling(measured, WANTED, among=tuple(LABEL_OF))
