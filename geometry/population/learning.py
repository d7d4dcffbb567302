"""Updates the builder's numbers from the verdicts of the shop's own riders.

A verdict "too short", "right" or "too long" gives limits for the length that was wanted: right
is anything near enough by the builder's own rules. What was wanted follows a straight line in
the numbers to be learnt, with a known spread (taste, what was not measured, the model)::

    wanted = base + design · numbers + spread · z,     z standard normal
    chance of a verdict = (1 − SLIP) * (chance that wanted lies within its limits) + SLIP / 3

A rider who chose the bike by its feel has shown some of z by that choice: it then lies between
the limits within which this very bike would be chosen. Whether somebody chose so or took what
was advised is a chance of its own, ``by_feel``; both cases are weighed by it.

The numbers start from a normal prior about the builder's present values and are held on a
grid: Bayes' rule at every point of it. A verdict in `SLIP` of the cases tells nothing
(mood, a misread form), so that one of them cannot move everything.

Source: Bayes' rule; interval-censored normal data, any textbook of survival analysis.
The prior spreads and `SLIP` are assumptions, said so where the answer is shown.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.core import (
    AsManyNumbers,
    AtLeast,
    ContradictoryInput,
    FloatArray,
    InvalidInput,
    MoreThan,
    OneOf,
)
from geometry.population.remedies import MoreThanLowLimit

SLIP = 0.04
"""Share of verdicts without information [1], assumed."""

LEAST_OUTCOMES = 20
"""With fewer outcomes nothing is offered: one rider's taste would weigh too much [CP]."""

TOO_SHORT, RIGHT, TOO_LONG = -1, 0, 1

_TABLE_AT = np.linspace(-9.0, 9.0, 9217)
_TABLE = np.array([0.5 * math.erfc(-z / math.sqrt(2.0)) for z in _TABLE_AT])


@dataclass(frozen=True)
class Learnt:
    """A number to be estimated from verdicts.

    Parameters
    ----------
    name : str
    present : float
        The builder's value, in the number's own unit.
    prior : float
        How far off it may be, one standard deviation, same unit.
    low, high : float
        It lies between these, same unit.
    points : int
        Places of the grid.

    Raises
    ------
    InvalidInput
        A spread that is not above 0, or fewer than 3 points.
    ContradictoryInput
        Limits between which nothing lies.
    """

    name: str
    present: float
    prior: float
    low: float
    high: float
    points: int

    def __post_init__(self) -> None:
        if not (self.prior > 0.0 and math.isfinite(self.prior)):
            raise InvalidInput("prior", self.prior, MoreThan(bound=0.0, unit=""))
        if self.points < 3:  # noqa: PLR2004  # two ends and a middle
            raise InvalidInput("points", self.points, AtLeast(bound=3.0, unit=""))
        if self.high <= self.low:
            raise ContradictoryInput("high", self.high, MoreThanLowLimit())

    @property
    def axis(self) -> FloatArray:
        """Places of the grid, (points,)."""
        return np.linspace(self.low, self.high, self.points)


@dataclass(frozen=True, eq=False)
class Verdicts:
    """What n riders said, and what it says of the numbers.

    Parameters
    ----------
    base : array, shape (n,)
        What was wanted, but for the numbers to be learnt.
    design : array, shape (n, k)
        What one unit of each number adds to it.
    low, high : array, shape (n,)
        Between these the wanted value would have been called right.
    spread : array, shape (n,)
        One standard deviation of what is wanted.
    chosen : array, shape (n, 2)
        Limits of ``spread · z`` within which this bike would be chosen by its feel.
    by_feel : array, shape (n,)
        Chance that it was chosen so; 0 where nobody chose [1].
    said : array of int, shape (n,)
        -1 where less was there than wanted ("too short"), 0 right, 1 more ("too long").

    Raises
    ------
    ContradictoryInput
        Shapes that differ, limits upside down, or a verdict that is none of the three.
    InvalidInput
        A spread that is not above 0.
    """

    base: FloatArray
    design: FloatArray
    low: FloatArray
    high: FloatArray
    spread: FloatArray
    chosen: FloatArray
    by_feel: FloatArray
    said: NDArray[np.intp]

    def __post_init__(self) -> None:
        count = len(self.said)
        for name in ("base", "low", "high", "spread", "by_feel"):
            if np.shape(getattr(self, name)) != (count,):
                remedy = AsManyNumbers(count=count)
                raise ContradictoryInput(name, np.shape(getattr(self, name)), remedy)
        if np.ndim(self.design) != 2 or len(self.design) != count:  # noqa: PLR2004
            remedy = AsManyNumbers(count=count)
            raise ContradictoryInput("design", np.shape(self.design), remedy)
        if np.shape(self.chosen) != (count, 2):
            remedy = AsManyNumbers(count=count)
            raise ContradictoryInput("chosen", np.shape(self.chosen), remedy)
        if not (self.high > self.low).all():
            raise ContradictoryInput("high", self.high, MoreThanLowLimit())
        if not (self.spread > 0.0).all():
            raise InvalidInput("spread", self.spread, MoreThan(bound=0.0, unit=""))
        if not np.isin(self.said, (TOO_SHORT, RIGHT, TOO_LONG)).all():
            raise ContradictoryInput("said", self.said, OneOf(choices=("-1", "0", "1")))

    def __len__(self) -> int:
        return len(self.said)


def anything(count: int) -> FloatArray:
    """Limits of a choice that say nothing, (count, 2) [any unit].

    Parameters
    ----------
    count : int
        Riders.

    Returns
    -------
    array, shape (count, 2)

    Examples
    --------
    >>> anything(1).tolist()
    [[-inf, inf]]
    """
    return np.tile([-np.inf, np.inf], (count, 1))


@dataclass(frozen=True, eq=False)
class Posterior:
    """What is believed of the numbers after the verdicts.

    Parameters
    ----------
    numbers : tuple of Learnt, length k
    weights : array, one axis a number
        Chance of every point of the grid; adds up to 1 [1].
    """

    numbers: tuple[Learnt, ...]
    weights: FloatArray

    def of(self, name: str) -> tuple[FloatArray, FloatArray]:
        """One number: places of its grid, and the chance of each.

        Raises
        ------
        InvalidInput
            For a number that is not learnt.
        """
        names = [each.name for each in self.numbers]
        if name not in names:
            raise InvalidInput("name", name, OneOf(choices=tuple(names)))
        place = names.index(name)
        others = tuple(i for i in range(len(names)) if i != place)
        return self.numbers[place].axis, np.asarray(self.weights.sum(axis=others))

    def mean(self, name: str) -> float:
        """The expected value of one number, in its unit."""
        axis, chances = self.of(name)
        return float(axis @ chances)

    def spread(self, name: str) -> float:
        """One standard deviation of it, in its unit."""
        axis, chances = self.of(name)
        return float(np.sqrt(chances @ (axis - axis @ chances) ** 2))

    def means(self) -> FloatArray:
        """All means, (k,)."""
        return np.array([self.mean(each.name) for each in self.numbers])


def learn(numbers: Sequence[Learnt], verdicts: Verdicts) -> Posterior:
    """Move the builder's numbers as far as the verdicts ask for.

    Parameters
    ----------
    numbers : sequence of Learnt, length k
        With the present values as prior; independent of one another.
    verdicts : Verdicts
        Of n riders, k numbers in their design; n may be 0.

    Returns
    -------
    Posterior

    Raises
    ------
    ContradictoryInput
        A design of another number of columns than there are numbers.

    Examples
    --------
    Ten riders who want 100 ± 5 by the builder's numbers and sit at 100: all say "too long".

    >>> ten = np.ones(10)
    >>> said = Verdicts(
    ...     base=100 * ten, design=ten[:, None], low=90 * ten, high=110 * ten, spread=5 * ten,
    ...     chosen=anything(10), by_feel=0 * ten, said=ten.astype(int))
    >>> offset = Learnt("offset", present=0.0, prior=15.0, low=-60.0, high=60.0, points=121)
    >>> found = learn([offset], said)
    >>> found.mean("offset") < -15.0, found.spread("offset") < 15.0
    (True, True)
    """
    if verdicts.design.shape[1] != len(numbers):
        remedy = AsManyNumbers(count=len(numbers))
        raise ContradictoryInput("design", verdicts.design.shape, remedy)
    axes = np.meshgrid(*(each.axis for each in numbers), indexing="ij")
    points = np.array([axis.ravel() for axis in axes])
    logs: FloatArray = np.zeros(points.shape[1])
    for number, place in zip(numbers, points, strict=True):
        logs -= 0.5 * ((place - number.present) / number.prior) ** 2
    for i in range(len(verdicts)):
        wanted = verdicts.base[i] + verdicts.design[i] @ points
        logs += np.log(_chance(verdicts, i, wanted))
    weights = np.exp(logs - logs.max())
    return Posterior(tuple(numbers), (weights / weights.sum()).reshape(axes[0].shape))


def _chance(verdicts: Verdicts, i: int, wanted: FloatArray) -> FloatArray:
    """Chance of what one rider said, where so much was wanted."""
    return np.asarray(_three(verdicts, np.array([i]), wanted, (int(verdicts.said[i]),))[0])


_LEAST_CHOICE = 1e-3
"""A choice of a smaller chance than this is no choice by feel [1]."""


def _three(
    verdicts: Verdicts, riders: NDArray[np.intp], wanted: FloatArray, said: Sequence[int]
) -> FloatArray:
    """Chances of some of the three verdicts, where so much is wanted on average."""
    spread = verdicts.spread[riders]
    low = np.asarray((verdicts.low[riders] - wanted) / spread)
    high = np.asarray((verdicts.high[riders] - wanted) / spread)
    endless = np.full_like(low, np.inf)
    limits = {TOO_LONG: (-endless, low), RIGHT: (low, high), TOO_SHORT: (high, endless)}
    first, last = (np.asarray(verdicts.chosen[riders, k] / spread) for k in (0, 1))
    choice = _between(first, last)
    feel = np.where(choice > _LEAST_CHOICE, verdicts.by_feel[riders], 0.0)
    found = []
    for a, b in (limits[each] for each in said):
        felt = _between(np.maximum(a, first), np.minimum(b, last))
        felt = np.maximum(felt, 0.0) / np.maximum(choice, _LEAST_CHOICE)
        found.append((1.0 - feel) * _between(a, b) + feel * felt)
    return np.asarray((1.0 - SLIP) * np.array(found) + SLIP / 3.0)


def _between(low: FloatArray, high: FloatArray) -> FloatArray:
    """Chance that a standard normal number lies between two others [1]."""
    return np.asarray(normal_below(high) - normal_below(low))


def normal_below(z: FloatArray) -> FloatArray:
    """Chance that a standard normal number lies below z, good to 1e-6 [1].

    Parameters
    ----------
    z : array
        With its standard deviation as the unit [1].

    Returns
    -------
    array

    Examples
    --------
    >>> normal_below(np.array([0.0, 1.96])).round(4).tolist()
    [0.5, 0.975]
    """
    return np.asarray(np.interp(z, _TABLE_AT, _TABLE))


def verdict_chances(verdicts: Verdicts, numbers: FloatArray) -> FloatArray:
    """Chance of each verdict for given values of the numbers.

    Parameters
    ----------
    verdicts : Verdicts
        Of n riders; what they said does not matter.
    numbers : array, shape (k,)
        Values to predict with, each in its unit.

    Returns
    -------
    array, shape (3, n)
        Too short, right, too long; each column adds up to 1 [1].

    Examples
    --------
    >>> one = np.ones(1)
    >>> rider = Verdicts(
    ...     base=0 * one, design=one[:, None], low=-1.96 * one, high=1.96 * one, spread=one,
    ...     chosen=anything(1), by_feel=0 * one, said=np.array([0]))
    >>> verdict_chances(rider, np.array([0.0]))[:, 0].round(2).tolist()
    [0.04, 0.93, 0.04]
    """
    wanted = verdicts.base + verdicts.design @ numbers
    everybody = np.arange(len(verdicts))
    return _three(verdicts, everybody, wanted, (TOO_SHORT, RIGHT, TOO_LONG))


def still_needed(count: int) -> int:
    """How many outcomes are missing before anything is offered.

    Parameters
    ----------
    count : int
        Outcomes there are.

    Returns
    -------
    int
        0 where there are enough.

    Examples
    --------
    >>> still_needed(12), still_needed(60)
    (8, 0)
    """
    return max(LEAST_OUTCOMES - count, 0)
