"""Bench check: a built bike's readings against what that very build should read.

First what needs no drawing: readings that contradict one another. Then every
reading against its prediction, in the spread that its own error and the bike's
tolerances allow. If anything is beyond chance, the likely causes, most likely
first, and whether the readings tell them apart. The statistics, and what no
test can find, are told in `geometry.verify.bench_plan`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from geometry.bike import Bike
from geometry.core import FloatArray, number
from geometry.uncertainty import Tolerances
from geometry.verify.bench_causes import Cause, Estimate, causes, chi_square, combined, rivals
from geometry.verify.bench_plan import Plan, plan
from geometry.verify.bench_readings import Gauge, means, relation_row, repeats
from geometry.verify.relations import Gap, gaps, mended

Verdict = Literal["as built", "one cause", "cannot be told apart", "more than one cause"]
"""What the readings say: nothing beyond chance; one cause stands out; several would
explain them; or none alone does."""

_POINT = 1.6448536269514722
"""95 % point of the standard normal distribution, one-sided."""


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Reading(Gauge):
    """One reading off a built bike.

    Parameters
    ----------
    key : str
        Figure or input, by its key in the glossary.
    spread : float [mm, deg]
        Standard deviation (1 σ) of the reading's error.
    value : float [mm, deg]
        What was read.

    Examples
    --------
    >>> Reading(key="wheelbase", value=1172, spread=2).value
    1172.0
    """

    value: float = number("the figure's unit")


@dataclass(frozen=True, kw_only=True, slots=True)
class Compared:
    """One reading beside its prediction.

    Parameters
    ----------
    key : str
    value, spread : float [mm, deg]
        As read; its standard deviation.
    predicted : float [mm, deg]
        For this very build.
    residual : float [mm, deg]
        ``value − predicted``.
    expected : float [mm, deg]
        Standard deviation of the residual where nothing is wrong, the bike's
        tolerances included.
    normalised : float
        ``residual / expected``.
    detectable : float [mm, deg]
        Smallest misreading that would be found in 95 of 100 cases.
    """

    key: str
    value: float
    spread: float
    predicted: float
    residual: float
    expected: float
    normalised: float
    detectable: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Contradiction:
    """Readings that cannot all be true of any bicycle.

    Parameters
    ----------
    name : str
        What they make up together.
    formula : str
        In the glossary's symbols.
    keys : tuple of str
        The readings.
    size : float [mm, deg]
        How far they are from agreeing; infinite where no such bike can be.
    spread : float [mm, deg]
        Standard deviation of the size from the readings' own errors.
    normalised : float
        ``size / spread``.
    beyond : bool
        Whether chance does not explain it.
    mends : mapping of str to float [mm, deg]
        For each reading the value that alone would make them agree.
    """

    name: str
    formula: str
    keys: tuple[str, ...]
    size: float
    spread: float
    normalised: float
    beyond: bool
    mends: Mapping[str, float]


@dataclass(frozen=True, kw_only=True, slots=True)
class BenchReport:
    """What the readings of a built bike say.

    Parameters
    ----------
    contradictions : tuple of Contradiction
        Every relation among the readings, worst first.
    readings : tuple of Compared
        In the order given.
    alarm : bool
        Whether anything is beyond chance (at most 5 false alarms in 100).
    threshold : float
        Size of a normalised number beyond which chance is no explanation.
    chi_square : float
        How much the readings disagree with the build, weighted.
    degrees : int
        What ``chi_square`` is on average where nothing is wrong.
    causes : tuple of Cause
        Most likely first; empty without an alarm.
    rivals : tuple of Cause
        Those that the readings do not tell from the first.
    combined : tuple of Estimate
        Every suspect at once; empty without an alarm.
    verdict : str
        See `Verdict`.
    """

    contradictions: tuple[Contradiction, ...]
    readings: tuple[Compared, ...]
    alarm: bool
    threshold: float
    chi_square: float
    degrees: int
    causes: tuple[Cause, ...]
    rivals: tuple[Cause, ...]
    combined: tuple[Estimate, ...]
    verdict: Verdict


def bench_check(
    bike: Bike,
    readings: Iterable[Reading],
    tolerances: Tolerances,
    suspects: Mapping[str, float] | None = None,
) -> BenchReport:
    """A built bike's readings against its drawing, contradictions first, then causes.

    Parameters
    ----------
    bike : Bike
        One bike, as it should have been built and in the state it was measured.
    readings : iterable of Reading
        Any figures and measurable inputs, each with its own spread.
    tolerances : mapping of str to Tolerance or sequence of Tolerance
        Of the bike's inputs, as made; see `geometry.uncertainty.tolerance`.
    suspects : mapping of str to float, optional [mm, deg]
        What may be off beyond its tolerance, and by how much (1 σ);
        `geometry.verify.bench_plan.COMMON_CAUSES` if not given.

    Returns
    -------
    BenchReport

    Raises
    ------
    InvalidInput
        No readings, a reading that is no number, a spread that is not
        positive, an array of bikes, or a key that cannot be read off this bike.

    Notes
    -----
    Normalised residuals and one-cause fits by generalised least squares; see
    `geometry.verify.bench_plan` for the alarm and its power, `geometry.verify.bench_causes`
    for the ranking.

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> taken = [
    ...     Reading(key="chainstay_length", value=430.0, spread=1.0),
    ...     Reading(key="rear_centre", value=434.9, spread=1.0),
    ...     Reading(key="bb_drop", value=66.0, spread=1.0),
    ...     Reading(key="wheelbase", value=1180.0, spread=2.0),
    ... ]
    >>> report = bench_check(Bike(build=trail_build()), taken, {})
    >>> report.contradictions[0].formula, round(report.contradictions[0].size, 1)
    ('CS² = RC² + D²', -9.9)
    >>> report.verdict, report.causes[0].key, round(report.causes[0].change)
    ('one cause', 'rear_centre', -10)
    """
    taken = tuple(readings)
    made = plan(bike, taken, tolerances, suspects)
    values = np.array([reading.value for reading in taken])
    differences = values - made.predicted
    found = _contradictions(made, values)
    alarm = bool(made.alarm(differences)) or any(one.beyond for one in found)
    ranked = causes(bike, made, values) if alarm else []
    others = rivals(ranked) if ranked else ()
    disagreement = chi_square(made, differences)
    return BenchReport(
        contradictions=found,
        readings=_compared(made, values),
        alarm=alarm,
        threshold=made.threshold,
        chi_square=disagreement,
        degrees=len(taken),
        causes=tuple(ranked),
        rivals=others,
        combined=combined(made, differences) if alarm else (),
        verdict=_verdict(ranked, others, disagreement, len(taken)),
    )


def _compared(made: Plan, values: FloatArray) -> tuple[Compared, ...]:
    """Every reading beside its prediction."""
    expected = np.sqrt(np.diag(made.covariance))
    return tuple(
        Compared(
            key=gauge.key,
            value=float(values[i]),
            spread=gauge.spread,
            predicted=float(made.predicted[i]),
            residual=float(values[i] - made.predicted[i]),
            expected=float(expected[i]),
            normalised=float((values[i] - made.predicted[i]) / expected[i]),
            detectable=float(made.detectable[i]),
        )
        for i, gauge in enumerate(made.gauges)
    )


def _contradictions(made: Plan, values: FloatArray) -> tuple[Contradiction, ...]:
    """Every relation among the readings, and repeated ones among themselves, worst first."""
    keys = dict.fromkeys(gauge.key for gauge in made.gauges)
    read = {key: float(means(made.gauges, key) @ values) for key in keys}
    found = [_of_relation(made, gap, read) for gap in gaps(read)]
    found += [_of_repeat(made, values, i, row) for i, row in repeats(made.gauges)]
    return tuple(sorted(found, key=lambda one: -abs(one.normalised)))


def _of_relation(made: Plan, gap: Gap, read: Mapping[str, float]) -> Contradiction:
    """One relation among the readings."""
    row = relation_row(made.gauges, gap.slopes)
    spread = float(np.linalg.norm(row * made.spreads))
    normalised = gap.size / spread if spread > 0 else np.inf
    trials = {key: mended(gap.relation, read, key) for key in gap.relation.keys}
    return Contradiction(
        name=gap.relation.name,
        formula=gap.relation.formula,
        keys=gap.relation.keys,
        size=gap.size,
        spread=spread,
        normalised=normalised,
        beyond=abs(normalised) > made.threshold,
        mends={key: value for key, value in trials.items() if value is not None},
    )


def _of_repeat(made: Plan, values: FloatArray, i: int, row: FloatArray) -> Contradiction:
    """One reading against the others of the same figure."""
    key, size = made.gauges[i].key, float(row @ values)
    spread = float(np.linalg.norm(row * made.spreads))
    return Contradiction(
        name="repeated readings",
        formula="",
        keys=(key,),
        size=size,
        spread=spread,
        normalised=size / spread,
        beyond=abs(size / spread) > made.threshold,
        mends={key: float(values[i]) - size},
    )


def _verdict(
    ranked: list[Cause], others: tuple[Cause, ...], disagreement: float, count: int
) -> Verdict:
    """What the report says in a word."""
    if not ranked:
        return "as built"
    if disagreement - ranked[0].explains > _chance(count - 1):
        return "more than one cause"
    return "cannot be told apart" if others else "one cause"


def _chance(degrees: int) -> float:
    """Chi-square that chance exceeds in 5 of 100 cases, by Wilson and Hilferty's cube."""
    if degrees == 0:  # one cause always explains one reading
        return np.inf
    part = 2.0 / (9.0 * degrees)
    return float(degrees * (1.0 - part + _POINT * np.sqrt(part)) ** 3)
