"""A batch of frames: how many of each size, for riders whose wishes are not known.

The share of riders who ask for each size has a Dirichlet distribution: what the sizes
serve counts as so many riders seen before, and the shop's own quotes and sales are added
to it. How many riders come in the time of the batch is a Poisson number about what the
builder expects, each with a size drawn from the shares. With D the demand for a size and
q frames of it::

    cost = sum over sizes of  unsold_cost * E max(q − D, 0) + turned_away_cost * E max(D − q, 0)

It is convex in each q and adds up over the sizes, so that giving frame after frame to the
size where the next one saves most is the best split there is (marginal analysis, Fox 1966).
Since E max(D − q, 0) = E max(q − D, 0) + E D − q, a fixed number of frames is split
alike whatever the two costs are; they decide how many frames are worth making.

No rider is taken to accept a neighbouring size; where two sizes fit, fewer are turned away.

Source: B. Fox, *Discrete optimization via marginal analysis*, Management Science 13 (1966)
210-216; the newsvendor's critical ratio, any textbook of operations research; the
distribution of a demand is beta-binomial within a Poisson number, by its definition.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.core import (
    AtLeast,
    ContradictoryInput,
    FloatArray,
    InvalidInput,
    MoreThan,
    NumberBetween,
    SomethingGiven,
)

MOST_FRAMES = 2000
"""Frames of one batch, and riders expected, at most: far beyond a small builder's year."""

BATCH_DRAWS = 4000
BATCH_SEED = 19661101


@dataclass(frozen=True)
class BatchCosts:
    """Costs of an unsold frame and of a rider turned away, in any one currency.

    Parameters
    ----------
    unsold : float
        What is lost on a frame that stays unsold until it is sold.
    turned_away : float
        A rider for whom there is no frame: what would have been earned.

    Raises
    ------
    InvalidInput
        A cost that is not above 0.

    Examples
    --------
    >>> BatchCosts(unsold=200.0, turned_away=600.0).ratio
    0.75
    """

    unsold: float
    turned_away: float

    def __post_init__(self) -> None:
        for name in ("unsold", "turned_away"):
            if not (getattr(self, name) > 0.0 and math.isfinite(getattr(self, name))):
                raise InvalidInput(name, getattr(self, name), MoreThan(bound=0.0, unit=""))

    @property
    def ratio(self) -> float:
        """Chance of meeting all demand at which one more frame stops paying [1]."""
        return self.turned_away / (self.unsold + self.turned_away)


@dataclass(frozen=True)
class SplitSize:
    """One size of a batch.

    Parameters
    ----------
    size : str
    frames : int
        How many to make of it.
    share : float
        Share of the riders expected to ask for it [1].
    share_low, share_high : float
        Between these it lies in 80 of 100 cases [1].
    unsold, turned_away : float
        Expected frames unsold, and riders turned away.
    last_sells, next_sells : float
        Chance that the last of its frames is asked for, and that one more would be [1].
    alone : int
        How many its own costs would call for, were the batch not fixed.
    """

    size: str
    frames: int
    share: float
    share_low: float
    share_high: float
    unsold: float
    turned_away: float
    last_sells: float
    next_sells: float
    alone: int


@dataclass(frozen=True)
class BatchSplit:
    """A batch divided over the sizes.

    Parameters
    ----------
    sizes : tuple of SplitSize
    unsold, turned_away : float
        Expected in all.
    unsold_range, turned_away_range : tuple of float
        Between these in 80 of 100 cases.
    cost : float
        Expected, in the currency of the costs.
    cheapest : int
        The number of frames in all that would cost least.
    """

    sizes: tuple[SplitSize, ...]
    unsold: float
    turned_away: float
    unsold_range: tuple[float, float]
    turned_away_range: tuple[float, float]
    cost: float
    cheapest: int


def belief_in_shares(
    prior: Mapping[str, float], seen: Mapping[str, float], *, counts_as: float
) -> dict[str, float]:
    """Dirichlet numbers of the sizes: a prior that counts as so many riders, and those seen.

    Parameters
    ----------
    prior : mapping of str to float
        Share of each size before any rider was seen, as `Served.chosen`; scaled to a fraction [1].
    seen : mapping of str to float
        Riders seen, by size; a size that is not in the prior is left aside.
    counts_as : float
        How many riders the prior counts as.

    Returns
    -------
    dict of str to float
        Never 0: every size counts as a hundredth of a rider at least.

    Raises
    ------
    InvalidInput
        A weight of the prior that is not above 0, or a negative count.

    Examples
    --------
    >>> found = belief_in_shares({"S": 0.5, "M": 0.5}, {"M": 10.0}, counts_as=20.0)
    >>> found
    {'S': 10.0, 'M': 20.0}
    """
    if not counts_as > 0.0:
        raise InvalidInput("counts_as", counts_as, MoreThan(bound=0.0, unit=""))
    if any(value < 0.0 for value in seen.values()):
        raise InvalidInput("seen", min(seen.values()), AtLeast(bound=0.0, unit=""))
    total = sum(prior.values())
    if not total > 0.0:
        raise InvalidInput("prior", total, SomethingGiven())
    return {
        size: max(counts_as * share / total + seen.get(size, 0.0), 0.01)
        for size, share in prior.items()
    }


def demand_chances(alpha: float, others: float, *, expected: float) -> FloatArray:
    """Chance that 0, 1, 2 … riders ask for a size.

    Parameters
    ----------
    alpha, others : float
        Dirichlet number of the size, and the sum of all others'; 0 where there are none.
    expected : float
        Riders expected in all; who come is a Poisson number about it.

    Returns
    -------
    array, shape (k,)
        As far as riders may come; each a fraction, adding up to 1 [1].

    Examples
    --------
    >>> chances = demand_chances(2.0, 6.0, expected=20.0)
    >>> round(float(chances @ np.arange(len(chances))), 6)
    5.0
    """
    most = math.ceil(expected + 10.0 * math.sqrt(expected) + 10.0)
    come = _poisson(expected, most)
    if others == 0.0:  # the only size: whoever comes asks for it
        return np.asarray(come / come.sum())
    found = np.zeros(most + 1)
    for riders in np.flatnonzero(come > 1e-14):  # noqa: PLR2004  # nothing to see beyond
        found[: riders + 1] += come[riders] * _beta_binomial(int(riders), alpha, others)
    return np.asarray(found / found.sum())


def _poisson(mean: float, most: int) -> FloatArray:
    steps = np.log(mean) - np.log(np.arange(1, most + 1))
    return np.asarray(np.exp(-mean + np.concatenate([[0.0], np.cumsum(steps)])))


def _beta_binomial(count: int, a: float, b: float) -> FloatArray:
    """Chance of 0 … count, from the ratio of each to the one before it."""
    k = np.arange(count, dtype=np.float64)
    steps = np.log((count - k) / (k + 1.0)) + np.log((k + a) / (count - 1.0 - k + b))
    logs = np.concatenate([[0.0], np.cumsum(steps)])
    found = np.exp(logs - logs.max())
    return np.asarray(found / found.sum())


def split_batch(
    shares: Mapping[str, float], *, frames: int, expected: float, costs: BatchCosts
) -> BatchSplit:
    """Divide a batch of frames over the sizes at the least expected cost.

    Parameters
    ----------
    shares : mapping of str to float
        Dirichlet numbers of the sizes, from `belief_in_shares`; the ratio of one to their sum
        is its share.
    frames : int
        In all.
    expected : float
        Riders expected while the batch lasts.
    costs : BatchCosts

    Returns
    -------
    BatchSplit
        The sizes in the order given.

    Raises
    ------
    InvalidInput
        Frames or riders outside 1 to `MOST_FRAMES`, or a Dirichlet number not above 0.
    ContradictoryInput
        No sizes.

    Examples
    --------
    >>> shares = belief_in_shares({"S": 0.25, "M": 0.5, "L": 0.25}, {}, counts_as=50.0)
    >>> costs = BatchCosts(unsold=200.0, turned_away=600.0)
    >>> found = split_batch(shares, frames=12, expected=12.0, costs=costs)
    >>> [each.frames for each in found.sizes]
    [3, 6, 3]
    """
    _check(shares, frames, expected)
    total = sum(shares.values())
    chances = {s: demand_chances(a, total - a, expected=expected) for s, a in shares.items()}
    beyond = {s: _beyond(found) for s, found in chances.items()}
    taken = _marginal(beyond, frames)
    alone = {s: int((found > 1.0 - costs.ratio).sum()) for s, found in beyond.items()}
    draws = _draws(shares, expected)
    sizes = tuple(
        _size(s, taken[s], a / total, chances[s], drawn=draws.shares[i], alone=alone[s])
        for i, (s, a) in enumerate(shares.items())
    )
    unsold, turned = (sum(getattr(s, name) for s in sizes) for name in ("unsold", "turned_away"))
    left = np.array(list(taken.values()))[:, np.newaxis] - draws.demand
    return BatchSplit(
        sizes=sizes,
        unsold=unsold,
        turned_away=turned,
        unsold_range=_range(np.maximum(left, 0).sum(axis=0)),
        turned_away_range=_range(np.maximum(-left, 0).sum(axis=0)),
        cost=costs.unsold * unsold + costs.turned_away * turned,
        cheapest=sum(alone.values()),
    )


def _check(shares: Mapping[str, float], frames: int, expected: float) -> None:
    if not shares:
        raise ContradictoryInput("shares", 0, SomethingGiven())
    for name, value in (("frames", frames), ("expected", expected)):
        if not 1 <= value <= MOST_FRAMES:
            raise InvalidInput(
                name, value, NumberBetween(lowest=1.0, highest=float(MOST_FRAMES), unit="")
            )
    for value in shares.values():
        if not (value > 0.0 and math.isfinite(value)):
            raise InvalidInput("shares", value, MoreThan(bound=0.0, unit=""))


def _beyond(chances: FloatArray) -> FloatArray:
    """Chance that more than 0, 1, 2 … ask: the chance that the next frame is sold."""
    return np.asarray(np.maximum(1.0 - np.cumsum(chances), 0.0))


def _marginal(beyond: Mapping[str, FloatArray], frames: int) -> dict[str, int]:
    """Gives each frame in turn to the size whose next frame is likeliest to be asked for."""
    taken = dict.fromkeys(beyond, 0)
    for _ in range(frames):
        best = max(beyond, key=lambda s: _at(beyond[s], taken[s]))
        taken[best] += 1
    return taken


def _at(values: FloatArray, place: int) -> float:
    return float(values[place]) if place < len(values) else 0.0


def _size(
    size: str, frames: int, share: float, chances: FloatArray, *, drawn: FloatArray, alone: int
) -> SplitSize:
    demand, beyond = np.arange(len(chances)), _beyond(chances)
    low, high = _range(drawn)
    return SplitSize(
        size=size,
        frames=frames,
        share=share,
        share_low=low,
        share_high=high,
        unsold=float(np.maximum(frames - demand, 0) @ chances),
        turned_away=float(np.maximum(demand - frames, 0) @ chances),
        last_sells=_at(beyond, frames - 1) if frames else 1.0,
        next_sells=_at(beyond, frames),
        alone=alone,
    )


@dataclass(frozen=True, eq=False)
class _Draws:
    """Shares and demands of the sizes, drawn together: (S, draws) each."""

    shares: FloatArray
    demand: NDArray[np.int64]


def _draws(shares: Mapping[str, float], expected: float) -> _Draws:
    rng = np.random.default_rng(BATCH_SEED)
    drawn = rng.dirichlet(np.array(list(shares.values())), BATCH_DRAWS)
    return _Draws(drawn.T, rng.poisson(expected * drawn).T)


def _range(values: FloatArray | NDArray[np.int64]) -> tuple[float, float]:
    """10th and 90th percentile."""
    low, high = np.percentile(values, [10.0, 90.0])
    return float(low), float(high)
