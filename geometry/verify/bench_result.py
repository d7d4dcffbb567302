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
from geometry.verify.bench_causes import (
    DECISIVE,
    Cause,
    Estimate,
    Explanation,
    Ranking,
    chi_square,
    combined,
    ranking,
    rivals,
)
from geometry.verify.bench_plan import Plan, plan
from geometry.verify.bench_readings import Gauge, means, relation_row, repeats
from geometry.verify.bench_sets import at_fault, blamed
from geometry.verify.relations import Gap, gaps, mended

Verdict = Literal[
    "as built", "one cause", "more than one cause", "cannot be told apart", "not explained"
]
"""What the readings say: nothing beyond chance; one cause stands out; two or three
together do; several explanations remain; or nothing that is looked for explains them."""


NOTHING_WRONG = Ranking(explanations=(), causes=(), none_of_these=0.0)


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
        Their figures.
    readings : frozenset of int
        Their places among the readings.
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
    blamed : mapping of str to float
        How likely each reading is misread by what the readings say of one another
        alone, likeliest first; see `geometry.verify.bench_sets.at_fault`.
    """

    name: str
    formula: str
    keys: tuple[str, ...]
    readings: frozenset[int]
    size: float
    spread: float
    normalised: float
    beyond: bool
    mends: Mapping[str, float]
    blamed: Mapping[str, float]


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
    explanations : tuple of Explanation
        One cause or several together, most likely first; empty without an alarm.
    causes : tuple of Cause
        Every cause by itself, most likely first; empty without an alarm.
    none_of_these : float
        How likely it is that no explanation is right, 0 to 1.
    rivals : tuple of Explanation
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
    explanations: tuple[Explanation, ...]
    causes: tuple[Cause, ...]
    none_of_these: float
    rivals: tuple[Explanation, ...]
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
    for the ranking, `geometry.verify.bench_fit` for the fits.

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
    contradictory = [one.readings for one in found if one.beyond]
    ranked = ranking(bike, made, values, contradictory) if alarm else NOTHING_WRONG
    others = rivals(ranked.explanations) if ranked.explanations else ()
    return BenchReport(
        contradictions=found,
        readings=_compared(made, values),
        alarm=alarm,
        threshold=made.threshold,
        chi_square=chi_square(made, differences),
        degrees=len(taken),
        explanations=ranked.explanations,
        causes=ranked.causes,
        none_of_these=ranked.none_of_these,
        rivals=others,
        combined=combined(made, differences) if alarm else (),
        verdict=_verdict(ranked, others) if alarm else "as built",
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
    keys = dict.fromkeys(gauge.key for gauge in made.figures)
    read = {key: float(means(made.figures, key) @ values) for key in keys}
    between = gaps(read)
    fault = at_fault(made, values, between)
    found = [_of_relation(made, gap, read, fault) for gap in between]
    found += [_of_repeat(made, values, i, row, fault) for i, row in repeats(made.figures)]
    return tuple(sorted(found, key=lambda one: -abs(one.normalised)))


def _of_relation(
    made: Plan, gap: Gap, read: Mapping[str, float], fault: FloatArray
) -> Contradiction:
    """One relation among the readings."""
    row = relation_row(made.figures, gap.slopes)
    spread = float(np.linalg.norm(row * made.spreads))
    normalised = gap.size / spread if spread > 0 else np.inf
    keys = gap.relation.keys
    trials = {key: mended(gap.relation, read, key) for key in keys}
    return Contradiction(
        name=gap.relation.name,
        formula=gap.relation.formula,
        keys=keys,
        readings=frozenset(i for i, gauge in enumerate(made.figures) if gauge.key in keys),
        size=gap.size,
        spread=spread,
        normalised=normalised,
        beyond=abs(normalised) > made.threshold,
        mends={key: value for key, value in trials.items() if value is not None},
        blamed=blamed(made, keys, fault),
    )


def _of_repeat(
    made: Plan, values: FloatArray, i: int, row: FloatArray, fault: FloatArray
) -> Contradiction:
    """One reading against the others of the same figure."""
    key, size = made.figures[i].key, float(row @ values)
    spread = float(np.linalg.norm(row * made.spreads))
    return Contradiction(
        name="repeated readings",
        formula="",
        keys=(key,),
        readings=frozenset(int(j) for j in np.flatnonzero(row)),
        size=size,
        spread=spread,
        normalised=size / spread,
        beyond=abs(size / spread) > made.threshold,
        mends={key: float(values[i]) - size},
        blamed={key: float(fault[i])},
    )


def _verdict(ranked: Ranking, others: tuple[Explanation, ...]) -> Verdict:
    """The report's verdict, from the odds that it shows."""
    if not ranked.explanations or ranked.none_of_these > ranked.explanations[0].odds:
        return "not explained"
    if others or ranked.none_of_these * DECISIVE > ranked.explanations[0].odds:
        return "cannot be told apart"
    return "one cause" if len(ranked.explanations[0].causes) == 1 else "more than one cause"
