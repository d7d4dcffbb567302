"""What to measure next, when the readings of a bike do not tell its causes apart.

Each explanation that is still standing, if true, would make a further reading come
out at its own value. The reading whose values lie furthest apart, in spreads of
that reading, tells the most.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.bike import Bike, moved
from geometry.core import (
    FigureOrInputOfBike,
    InvalidInput,
)
from geometry.uncertainty import Tolerances, applying, sensitivities, standard_deviation
from geometry.verify.bench_causes import Explanation
from geometry.verify.bench_plan import observed
from geometry.verify.bench_readings import Gauge
from geometry.verify.remedies import CausesToTellApart


@dataclass(frozen=True, kw_only=True, slots=True)
class Telling:
    """A further reading, and how far it would tell the causes apart.

    Parameters
    ----------
    key : str
        Figure or input, by its key in the glossary.
    values : tuple of float [mm, deg]
        What it should read under each cause, in their order.
    apart : float
        Least difference between the first cause's value and another's, in
        standard deviations of such a reading; 2 or more tells them apart.
    """

    key: str
    values: tuple[float, ...]
    apart: float


def next_reading(
    bike: Bike, standing: Sequence[Explanation], gauges: Iterable[Gauge], tolerances: Tolerances
) -> list[Telling]:
    """Further readings by how far each would tell the causes apart, best first.

    Parameters
    ----------
    bike : Bike
        As it should have been built.
    standing : sequence of Explanation
        The likeliest and its rivals.
    gauges : iterable of Gauge
        What else could be read, and how well; a figure that a cause says was
        misread may be read again.
    tolerances : mapping of str to Tolerance or sequence of Tolerance
        Of the bike's inputs, as made.

    Returns
    -------
    list of Telling

    Raises
    ------
    InvalidInput
        Fewer than two causes, or a key that cannot be read off this bike.

    Examples
    --------
    A fork that is 20 mm short or pressed in by 20 mm looks the same from
    outside; its own length tells.

    >>> from geometry.verify.bench_causes import ranking
    >>> from geometry.verify.bench_plan import plan
    >>> from geometry.examples import trail_build
    >>> bike = Bike(build=trail_build())
    >>> made = plan(bike, [Gauge(key=k, spread=1.0) for k in ("bb_height", "wheelbase")], {})
    >>> read = observed(moved(bike, {"state.fork_compression": 20.0}))
    >>> found = ranking(bike, made, np.array([read["bb_height"], read["wheelbase"]]))
    >>> fork = ("fork.axle_to_crown", "state.fork_compression")
    >>> both = [e for e in found.explanations if len(e.causes) == 1 and e.causes[0].key in fork]
    >>> further = [Gauge(key="head_angle", spread=0.2), Gauge(key="fork.axle_to_crown", spread=1.0)]
    >>> [telling.key for telling in next_reading(bike, both, further, {})]
    ['fork.axle_to_crown', 'head_angle']
    """
    if len(standing) < _TWO:
        raise InvalidInput("standing", len(standing), CausesToTellApart())
    gauges = tuple(gauges)
    under = [observed(_with(bike, explanation)) for explanation in standing]
    spreads = _spreads(bike, gauges, tolerances)
    found = []
    for gauge, spread in zip(gauges, spreads, strict=True):
        values = tuple(float(values[gauge.key]) for values in under)
        apart = min(abs(value - values[0]) for value in values[1:]) / spread
        found.append(Telling(key=gauge.key, values=values, apart=apart))
    return sorted(found, key=lambda telling: -telling.apart)


_TWO = 2


def _with(bike: Bike, explanation: Explanation) -> Bike:
    """The bike as it stands if an explanation is true; a misread value leaves it as it is."""
    return moved(bike, {one.key: one.change for one in explanation.causes if one.kind == "off"})


def _spreads(bike: Bike, gauges: Sequence[Gauge], tolerances: Tolerances) -> list[float]:
    """Standard deviation of each further reading, the bike's tolerances included [mm, deg]."""
    applied = applying(bike, tolerances)
    found = sensitivities(bike, applied, of=observed)
    made = np.array([float(standard_deviation(one)) for one in applied.values()])
    for gauge in gauges:
        if gauge.key not in found.values:
            raise InvalidInput("gauges", gauge.key, FigureOrInputOfBike())
    return [
        float(np.sqrt(gauge.spread**2 + np.square(found.slopes[gauge.key] * made).sum()))
        for gauge in gauges
    ]
