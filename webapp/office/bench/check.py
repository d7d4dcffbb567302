"""Bench check: a built bike's readings against what that very build should read."""

from __future__ import annotations

from dataclasses import dataclass
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
from webapp.common.errors import Invalid, Problem
from webapp.common.text.glossary import entry
from webapp.common.text.language import tr
from webapp.common.text.statements import one_of
from webapp.office.bench.readings import SPREADS
from webapp.office.bench.report_words import shown


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


def check_bike(
    catalogue: Catalogue,
    choice: BuildChoice,
    readings: tuple[Reading, ...],
    *,
    state: str = UNLOADED,
) -> BenchFinding:
    """Compare a built bike's readings with its build.

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
