"""Bench check: a built bike's readings against what that very build should read."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from geometry.bike import Bike
from geometry.core import GeometryError
from geometry.verify import (
    BenchReport,
    Gauge,
    Reading,
    bench_check,
    next_reading,
    observed,
)
from webapp.builds.choice.build_choice import BuildChoice
from webapp.builds.evaluation import BuildResult, compute
from webapp.builds.solving.solver_inputs import UNLOADED
from webapp.builds.solving.tolerances import tolerances_of
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import (
    Gathering,
    Invalid,
    Problem,
)
from webapp.common.text.glossary import GLOSSARY, entry
from webapp.common.text.language import tr
from webapp.common.text.statements import one_of
from webapp.office.bench.words import shown
from webapp.office.forms.typed_numbers import read_number

MOST_READINGS = 40

SPREADS: Mapping[str, float] = MappingProxyType(
    {
        "head_angle": 0.2,
        "seat_tube_angle": 0.2,
        "effective_seat_angle": 0.3,
        "reach": 2.0,
        "stack": 2.0,
        "effective_top_tube": 2.0,
        "chainstay_length": 1.0,
        "rear_centre": 1.0,
        "front_centre": 2.0,
        "front_centre_straight": 1.0,
        "wheelbase": 2.0,
        "bb_drop": 1.0,
        "bb_height": 1.0,
        "trail": 2.0,
        "standover": 3.0,
        "frame.head_tube_length": 0.5,
        "frame.seat_tube_length": 1.0,
        "fork.axle_to_crown": 1.0,
        "fork.offset": 1.0,
        "build.lower_headset_stack": 0.3,
        "build.front_radius": 1.0,
        "build.rear_radius": 1.0,
        "build.slot_position": 0.5,
    }
)
"""What is usually read off a bike, and with which spread (1 σ) [mm, deg]. Head angle,
offset, wheelbase and trail: Moore, Human Control of a Bicycle, UC Davis 2012, chapter
Physical Parameters; the others are common practice with a tape, a rule and a level."""


@dataclass(frozen=True, kw_only=True)
class BenchFinding:
    """The result of a bench check, with the figures it was compared with.

    Parameters
    ----------
    result : BuildResult
        The build.
    state : str
        The state it was measured in.
    report : BenchReport
    next_words : tuple of str
        What to read next, where causes are not told apart.
    """

    result: BuildResult
    state: str
    report: BenchReport
    next_words: tuple[str, ...]


def measurable(result: BuildResult, state: str = UNLOADED) -> tuple[str, ...]:
    """What can be read off a build, in the order of `SPREADS`."""
    known = observed(result.states[state].bike)
    return tuple(key for key in SPREADS if key in known)


def read_readings(
    given: Iterable[tuple[str, str, str]], *, field: str = "reading"
) -> tuple[Reading, ...]:
    """Readings as somebody typed them; lines without a value are left out.

    Parameters
    ----------
    given : iterable of (key, value, spread)
        Texts; an empty spread means the usual one.
    field : str
        First word of a problem's field.

    Returns
    -------
    tuple of Reading

    Raises
    ------
    Invalid
        For a value that is no number, a spread that is not positive, a key
        nobody knows, or no reading at all.

    Examples
    --------
    >>> [(r.key, r.value, r.spread) for r in read_readings([("wheelbase", "1172", "")])]
    [('wheelbase', 1172.0, 2.0)]
    """
    gathering, found = Gathering(), []
    for key, value, spread in given:
        if not value.strip():
            continue
        made = gathering.take(lambda k=key, v=value, s=spread: _reading(k, v, s, field))  # type: ignore[misc]
        if made is not None:
            found.append(made)
    if not found and not gathering.problems:
        gathering.add(field, "", tr("at least one value read off the bike"))
    if len(found) > MOST_READINGS:
        gathering.add(field, len(found), tr("at most {most_readings}", most_readings=MOST_READINGS))
    gathering.finish()
    return tuple(found)


def _reading(key: str, value: str, spread: str, field: str) -> Reading:
    at = f"{field}.{key}"
    if key not in GLOSSARY:
        raise Invalid(at, key, tr("one of {choices}", choices=", ".join(SPREADS)))
    unit = entry(key).unit or tr("as the figure")
    read = read_number(value)
    if isinstance(read, str):
        raise Invalid(at, value, tr("a number [{unit}]", unit=unit))
    width = read_number(spread) if spread.strip() else SPREADS.get(key, 1.0)
    if isinstance(width, str) or not width > 0:
        raise Invalid(f"spread.{key}", spread, tr("a number above 0 [{unit}]", unit=unit))
    return Reading(key=key, value=float(read), spread=float(width))


def check_bike(
    catalogue: Catalogue,
    choice: BuildChoice,
    readings: tuple[Reading, ...],
    *,
    state: str = UNLOADED,
) -> BenchFinding:
    """Hold a built bike's readings against its build.

    Parameters
    ----------
    catalogue : Catalogue
        The revision it was built from.
    choice : BuildChoice
    readings : tuple of Reading
    state : str
        ``unloaded``, or ``sagged`` with the rider aboard.

    Returns
    -------
    BenchFinding

    Raises
    ------
    Invalid
        A build that cannot stand, a state it does not have, or a reading that
        cannot be taken of it.
    """
    result = compute(catalogue, choice)
    if state not in result.states:
        raise Invalid("state", state, tr("one of {choices}", choices=", ".join(result.states)))
    bike = result.states[state].bike
    tolerances = tolerances_of(catalogue.revision.data.tolerances, result.assembly)
    try:
        report = bench_check(bike, readings, tolerances)
    except GeometryError as error:
        raise Invalid.of([Problem.of(error)]) from error
    return BenchFinding(
        result=result,
        state=state,
        report=report,
        next_words=_next(bike, report, readings, tolerances),
    )


_NEXT = 3


def _next(
    bike: Bike, report: BenchReport, readings: tuple[Reading, ...], tolerances: Any
) -> tuple[str, ...]:
    """What to read next to tell the first cause from its rivals."""
    if not report.rivals:
        return ()
    known, taken = observed(bike), {reading.key for reading in readings}
    gauges = [
        Gauge(key=key, spread=spread)
        for key, spread in SPREADS.items()
        if key in known and (key not in taken or _misread(report, key))
    ]
    try:
        standing = (report.explanations[0], *report.rivals)
        found = next_reading(bike, standing, gauges, tolerances)
    except GeometryError:
        return ()
    return tuple(
        tr(
            "{name}: {values}",
            name=entry(telling.key).name,
            values=one_of(list(dict.fromkeys(shown(telling.key, v) for v in telling.values))),
        )
        for telling in found[:_NEXT]
        if telling.apart > 1
    )


def _misread(report: BenchReport, key: str) -> bool:
    standing = (*report.explanations[:1], *report.rivals)
    return any(("misread", key) == (one.kind, one.key) for e in standing for one in e.causes)
