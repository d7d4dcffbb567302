"""What a set of readings on a bike can tell, before a single one is taken.

A reading differs from its prediction by its own error (spread σ of the reading)
and by what the bike's tolerances allow. With r the differences of m readings,
Σ the spreads, J the exact slopes and P the tolerances' variances, r has the
covariance ``S = Σ + J P Jᵀ`` when nothing is wrong. Every question put to the
readings is one direction in r:

* a relation among the readings contradicts itself: the relation's own slopes;
* reading i was misread: row i of ``S⁻¹``;
* input k is off beyond its tolerance: ``(column k of J)ᵀ S⁻¹``.

Each gives a number that is standard normal when nothing is wrong, and the most
powerful test there is of its question. The alarm is raised when the largest of
them exceeds one threshold, found by drawing from the joint normal distribution
itself, so that all the questions together raise a false alarm in at most 5 of
100 clean cases, however much they overlap.

What no test can do: a misreading of exactly 3 σ on top of the reading's own
error moves its number by at most 3, whatever else is known. A test that knew
which reading, and in which direction, and allowed 5 false alarms in 100, would
find it with probability Φ(3 − 1.645) = 0.912; a two-sided one with
Φ(3 − 1.960) = 0.851; this one, which watches ten readings, with 0.55. The size
found in 95 of 100 cases is each reading's ``detectable`` [mm, deg]:
``(threshold + 1.645) / sqrt((S⁻¹)ᵢᵢ)``; for any test it is at least 3.29 σ.

What it does, simulated on a bike whose parts were measured beforehand, so that
its figures are known much better than they are read: misreadings of 3 to 10 σ
in place of the ordinary error are found in 99.5 of 100 cases with ten readings
and in more with five; of exactly 3 σ in 62 and 95 of 100; of 3 to 10 σ on top
of the ordinary error in 95 and 96. On a bike known from its drawing only, 93
of 100 misreadings of 3 to 10 σ are found. False alarms: 5 in 100 at most.
Source: Baarda, A Testing Procedure for Use in Geodetic Networks, Netherlands
Geodetic Commission 1968 (data snooping, minimal detectable errors).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.bike import Bike, figures, jacobian, numbers
from geometry.core import (
    FigureOrInputOfBike,
    FloatArray,
    InvalidInput,
    Num,
    OneAtATime,
    SomethingGiven,
)
from geometry.uncertainty import Tolerances, applying, standard_deviation
from geometry.verify.bench_readings import Gauge, as_figures, relation_row, repeats
from geometry.verify.relations import RELATIONS, Relation, applies, slopes

FALSE_ALARMS = 0.047
"""Share of clean cases in which the alarm is raised by chance; a little under 5 in
100, so that curvature of the geometry and the draw of the threshold stay under it."""

_POWER = 1.6448536269514722
"""95 % point of the standard normal distribution, one-sided."""

_DRAWS = 100_000
_SEED = 20_250_301
_BLIND = 1e-9

COMMON_CAUSES: Mapping[str, float] = {
    "build.front_radius": 5.0,
    "build.rear_radius": 5.0,
    "fork.axle_to_crown": 10.0,
    "state.fork_compression": 10.0,
    "build.slot_position": 5.0,
    "build.lower_headset_stack": 5.0,
    "fork.offset": 5.0,
    "frame.head_angle": 0.5,
    "frame.seat_tube_angle": 0.5,
    "frame.reach": 5.0,
    "frame.stack": 5.0,
    "frame.head_tube_length": 5.0,
    "frame.chainstay_length": 4.0,
    "frame.bb_drop": 4.0,
    "stem.length": 10.0,
    "cockpit.spacers": 10.0,
    "seat.height": 10.0,
}
"""What is usually wrong with a built bike, and by how much when it is [mm, deg]: one
standard deviation. Common practice of the trade; a builder's own list replaces it."""


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Plan:
    """What some readings on a bike can tell.

    Parameters
    ----------
    gauges : tuple of Gauge
        The m readings.
    figures : tuple of Gauge
        The same, by the figures that relations hold between.
    predicted : array (m,) [mm, deg]
        What each should read on this very build.
    covariance : array (m, m)
        S, of the differences between readings and predictions.
    inverse : array (m, m)
        ``S⁻¹``.
    suspects : tuple of str
        Inputs that may be off and that the readings say something about.
    scales : array (k,) [mm, deg]
        By how much each may be off, one standard deviation.
    effects : array (m, k)
        Slopes of the readings by each suspect.
    relations : tuple of Relation
        Relations among the readings.
    directions : array (q, m)
        Every question: relations first, then misreadings, then suspects;
        scaled so that ``directions @ r`` has standard deviation 1.
    threshold : float
        Largest size of any of the q numbers that chance explains.
    """

    gauges: tuple[Gauge, ...]
    figures: tuple[Gauge, ...]
    predicted: FloatArray
    covariance: FloatArray
    inverse: FloatArray
    suspects: tuple[str, ...]
    scales: FloatArray
    effects: FloatArray
    relations: tuple[Relation, ...]
    directions: FloatArray
    threshold: float

    @property
    def spreads(self) -> FloatArray:
        """Standard deviations (m,) of the readings' own errors [mm, deg]."""
        return np.array([gauge.spread for gauge in self.gauges])

    @property
    def detectable(self) -> FloatArray:
        """Smallest misreading (m,) that is found in 95 of 100 cases [mm, deg]."""
        return (self.threshold + _POWER) / np.sqrt(np.diag(self.inverse))

    def statistics(self, differences: FloatArray) -> FloatArray:
        """The number of each question.

        Parameters
        ----------
        differences : array (..., m) [mm, deg]
            Readings less predictions, for one bike or many.

        Returns
        -------
        array (..., q)
            Standard normal where nothing is wrong.
        """
        return np.asarray(differences @ self.directions.T)

    def alarm(self, differences: FloatArray) -> FloatArray:
        """Whether something is wrong with the readings or the bike.

        Parameters
        ----------
        differences : array (..., m) [mm, deg]

        Returns
        -------
        array (...) of bool
        """
        return np.asarray(np.abs(self.statistics(differences)).max(axis=-1) > self.threshold)


def observed(bike: Bike) -> dict[str, Num]:
    """Everything that can be read off a bike: its figures, and the inputs themselves.

    Parameters
    ----------
    bike : Bike

    Returns
    -------
    dict of str to float or array [mm, deg]

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> found = observed(Bike(build=trail_build()))
    >>> round(found["bb_height"]), found["fork.offset"]
    (304, 48.0)
    """
    return {**numbers(bike), **figures(bike)}


def plan(
    bike: Bike,
    gauges: Iterable[Gauge],
    tolerances: Tolerances,
    suspects: Mapping[str, float] | None = None,
) -> Plan:
    """What some readings on a bike can tell, before they are taken.

    Parameters
    ----------
    bike : Bike
        One bike, as it should have been built.
    gauges : iterable of Gauge
        What is read, and how well; the same figure may be read more than once.
    tolerances : mapping of str to Tolerance or sequence of Tolerance
        Of the bike's inputs, as made; an input without one is taken as exact.
    suspects : mapping of str to float, optional [mm, deg]
        Inputs that may be off beyond their tolerance, and by how much (1 σ);
        `COMMON_CAUSES` if not given. Those that this bike does not have, or
        that no reading follows, are left out.

    Returns
    -------
    Plan

    Raises
    ------
    InvalidInput
        No readings, an array of bikes, or a key that cannot be read off this
        bike.

    Notes
    -----
    Generalised least squares of the readings' differences; see the module.

    Examples
    --------
    Chainstay, rear centre and BB drop read with a tape: a misreading of the
    chainstay must be this large to be found in 95 of 100 cases.

    >>> from geometry.examples import trail_build
    >>> gauges = [Gauge(key=k, spread=1.0) for k in ("chainstay_length", "rear_centre", "bb_drop")]
    >>> found = plan(Bike(build=trail_build()), gauges, {})
    >>> bool(3.9 < found.detectable[0] < 4.3)
    True
    """
    values = observed(bike)
    gauges = _readable(bike, gauges, values)
    spreads = np.array([gauge.spread for gauge in gauges])
    covariance = np.diag(spreads**2) + _allowed(bike, gauges, tolerances)
    inverse = np.asarray(np.linalg.inv(covariance), dtype=np.float64)
    keys, scales, effects = _effects(bike, gauges, COMMON_CAUSES if suspects is None else suspects)
    named = as_figures(gauges, values)
    relations, own = _contradictions(named, values)
    raw = np.vstack([*own, inverse, effects.T @ inverse])
    directions = raw / np.sqrt(np.einsum("qi,ij,qj->q", raw, covariance, raw))[:, None]
    return Plan(
        gauges=gauges,
        figures=named,
        predicted=np.array([values[gauge.key] for gauge in gauges], dtype=np.float64),
        covariance=covariance,
        inverse=inverse,
        suspects=keys,
        scales=scales,
        effects=effects,
        relations=relations,
        directions=directions,
        threshold=_threshold(directions, covariance),
    )


def _readable(bike: Bike, gauges: Iterable[Gauge], values: Mapping[str, Num]) -> tuple[Gauge, ...]:
    """The gauges, where each can be read off this one bike."""
    gauges = tuple(gauges)
    if not gauges:
        raise InvalidInput("readings", "none", SomethingGiven())
    if bike.shape != ():
        raise InvalidInput("bike", f"of shape {bike.shape}", OneAtATime())
    for gauge in gauges:
        if gauge.key not in values:
            raise InvalidInput("readings", gauge.key, FigureOrInputOfBike())
    return gauges


def _slopes_of(bike: Bike, gauges: Sequence[Gauge], keys: Sequence[str]) -> FloatArray:
    """Slopes (m, k) of readings by inputs."""
    found = jacobian(observed, bike, keys)
    return np.array([found[gauge.key] for gauge in gauges])


def _allowed(bike: Bike, gauges: Sequence[Gauge], tolerances: Tolerances) -> FloatArray:
    """Covariance (m, m) of the readings that the bike's tolerances allow."""
    applied = applying(bike, tolerances)
    scales = np.array([float(standard_deviation(one)) for one in applied.values()])
    effects = _slopes_of(bike, gauges, list(applied)) * scales
    return np.asarray(effects @ effects.T)


def _effects(
    bike: Bike, gauges: Sequence[Gauge], suspects: Mapping[str, float]
) -> tuple[tuple[str, ...], FloatArray, FloatArray]:
    """Suspects that the readings say something about, their scales and their effects."""
    has = numbers(bike)
    keys = [key for key in suspects if key in has]
    effects = _slopes_of(bike, gauges, keys)
    seen = [i for i in range(len(keys)) if np.abs(effects[:, i]).max() > _BLIND]
    scales = np.array([suspects[keys[i]] for i in seen], dtype=np.float64)
    return tuple(keys[i] for i in seen), scales, effects[:, seen]


def _contradictions(
    gauges: Sequence[Gauge], values: Mapping[str, Num]
) -> tuple[tuple[Relation, ...], list[FloatArray]]:
    """Relations among the readings, and all directions (m,) in which they can contradict
    one another, repeated readings included."""
    read = {gauge.key: float(values[gauge.key]) for gauge in gauges}
    relations = tuple(relation for relation in RELATIONS if applies(relation, read))
    rows = [relation_row(gauges, slopes(relation, read)) for relation in relations]
    return relations, rows + [row for _, row in repeats(gauges)]


def _threshold(directions: FloatArray, covariance: FloatArray) -> float:
    """Size that the largest number exceeds by chance in `FALSE_ALARMS` of clean cases."""
    draws = np.random.default_rng(_SEED).standard_normal((len(covariance), _DRAWS))
    questions = (directions @ np.linalg.cholesky(covariance)) @ draws
    largest = np.maximum(questions.max(axis=0), -questions.min(axis=0))
    return float(np.quantile(largest, 1.0 - FALSE_ALARMS))
