"""Which further measurement would settle the size best: computed, not guessed.

Each drawn body has a size that is best for it, and a value for every measurement
the rider could still take. Sorting the bodies by that value, its error included,
shows how often the size would be right once the value were known.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

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

PRECISION: tuple[Way, ...] = ("told", "self_measured", "measured")
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
    best: NDArray[np.intp],
    *,
    given: Iterable[Measurement],
    rng: np.random.Generator,
) -> tuple[NextMeasurement, ...]:
    """Rank the measurements a rider could still take by what they are expected to settle.

    The bodies, each with the measurement's value as it would be read, are sorted
    into groups of equal number. In each group the size that is best for most of
    one half is held against the other half, both ways round, so that a meaningless
    number shows no gain.

    Parameters
    ----------
    bodies : Bodies
        n bodies drawn from what is believed.
    best : array of int, shape (n,)
        Best size of each, from `geometry.sizing.distance.judge`.
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
    >>> long_legs = (drawn["crotch_height"] > 815.0).astype(int)
    >>> next_measurements(drawn, long_legs, given=known, rng=rng)[0].landmark
    'crotch_height'
    """
    categories = best - best.min()
    present = float(np.bincount(categories).max() / len(best))
    known = {m.landmark: PRECISION.index(m.way) for m in given}
    asked = [q for q in QUESTIONS if known.get(q, -1) < PRECISION.index("self_measured")]
    found = []
    for landmark in asked:
        reading = simulated_reading(bodies, landmark, rng)
        chance = _right_once_known(reading, categories)
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


def _right_once_known(reading: FloatArray, categories: NDArray[np.intp]) -> float:
    """Share of bodies whose best size is the commonest of the other half of their group."""
    groups = np.array_split(np.argsort(reading), BINS)
    count = int(categories.max()) + 1
    right = sum(
        _agreeing(categories[group[::2]], categories[group[1::2]], count) for group in groups
    )
    return right / len(reading)


def _agreeing(one: Sequence[int] | NDArray[np.intp], other: NDArray[np.intp], count: int) -> int:
    """How many of two halves have the category commonest in the opposite half."""
    first, second = (np.bincount(half, minlength=count) for half in (one, other))
    return int(second[first.argmax()] + first[second.argmax()])
