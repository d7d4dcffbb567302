"""Computes which further measurement would make the size most certain.

Each drawn body has chances to choose each size, and a value for every measurement
the rider could still take. Sorting the bodies by that value, its error included,
shows how often the size named would be the one chosen once the value were known.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from geometry.core import FloatArray
from geometry.rider import Bodies, Landmark, Measurement, Way, measuring_error

QUESTIONS: tuple[Landmark, ...] = (
    "stature",
    "crotch_height",
    "span",
    "sternal_notch_height",
    "sitting_height",
    "weight",
)
"""What a rider can find out at home with a wall, a book and a tape, or scales."""

BINS = 10
"""Groups that the drawn bodies are sorted into by the measurement's value."""

NOTICEABLE = 0.02
"""Below this gain a measurement is not worth a rider's time, and with 2,000 bodies
not to be told from chance [1]."""

PRECISION: tuple[Way, ...] = ("trousers", "told", "self_measured", "measured")
"""Ways of finding a number, from coarse to fine."""


@dataclass(frozen=True)
class NextMeasurement:
    """What one further measurement is expected to bring.

    Parameters
    ----------
    landmark : Landmark
        What to measure.
    probability : float
        How often the size would then be right, expected [1].
    gain : float
        That less the present probability [1].
    """

    landmark: Landmark
    probability: float
    gain: float


def next_measurements(
    bodies: Bodies,
    chances: FloatArray,
    *,
    given: Iterable[Measurement],
    rng: np.random.Generator,
) -> tuple[NextMeasurement, ...]:
    """Rank the measurements a rider could still take by how much certainty they should add.

    The bodies, each with the measurement's value as it would be read, are sorted
    into groups of equal number. In each group the size that one half would choose
    most is held against the other half, both ways round, so that a meaningless
    number shows no gain.

    Parameters
    ----------
    bodies : Bodies
        n bodies drawn from what is believed.
    chances : array, shape (k, n)
        That each body would choose each of k sizes, or none [1].
    given : iterable of Measurement
        What is known already; only a finer way of finding it is asked again.
    rng : numpy.random.Generator
        For the errors of reading.

    Returns
    -------
    tuple of NextMeasurement
        The most useful first; empty when nothing would change much.

    Examples
    --------
    >>> from geometry.rider import condition
    >>> known = [Measurement("stature", 1700.0, "measured")]
    >>> rng = np.random.default_rng(1)
    >>> drawn = condition(known).draw(2000, rng)
    >>> long_legs = drawn["crotch_height"] > 815.0
    >>> chances = np.array([long_legs, ~long_legs], dtype=float)
    >>> next_measurements(drawn, chances, given=known, rng=rng)[0].landmark
    'crotch_height'
    """
    present = float(chances.mean(axis=1).max())
    known = {m.landmark: PRECISION.index(m.way) for m in given}
    asked = [q for q in QUESTIONS if known.get(q, -1) < PRECISION.index("self_measured")]
    found = []
    for landmark in asked:
        reading = simulated_reading(bodies, landmark, rng)
        chance = _right_once_known(reading, chances)
        if chance - present >= NOTICEABLE:
            found.append(NextMeasurement(landmark, chance, chance - present))
    return tuple(sorted(found, key=lambda item: -item.gain))


def simulated_reading(bodies: Bodies, landmark: Landmark, rng: np.random.Generator) -> FloatArray:
    """A landmark of each body as its rider would read it, error included.

    Parameters
    ----------
    bodies : Bodies
        n bodies.
    landmark : Landmark
        What is measured, by the rider alone.
    rng : numpy.random.Generator
        For the error.

    Returns
    -------
    array, shape (n,)
        [mm; weight ln kg].
    """
    true = bodies[landmark]
    error = measuring_error(landmark, "self_measured")
    scaled = np.log(true) if landmark == "weight" else true
    noisy: FloatArray = scaled + error * rng.standard_normal(len(true))
    return noisy


def _right_once_known(reading: FloatArray, chances: FloatArray) -> float:
    """Share of bodies whose size is the most likely one of the other half of their group."""
    groups = np.array_split(np.argsort(reading), BINS)
    right = sum(_agreeing(chances[:, g[::2]], chances[:, g[1::2]]) for g in groups)
    return right / len(reading)


def _agreeing(one: FloatArray, other: FloatArray) -> float:
    """How many bodies of two halves would choose what most of the other half choose."""
    first, second = one.sum(axis=1), other.sum(axis=1)
    return float(second[first.argmax()] + first[second.argmax()])
