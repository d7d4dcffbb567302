"""The fronts and seats of one stance, put together as far as anything can come of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from geometry.core import FloatArray
from geometry.search.parts import Masks, Rows, Sum

Index = tuple[int, int, int]

_BLOCK = 1 << 18
"""Combinations of fronts and seats looked at together."""


class Bounded(NamedTuple):
    """A sum with the least and the most it may come to."""

    sum: Sum
    least: float
    most: float


class Wish(NamedTuple):
    """What is to be least first, which sums keep which bounds, and what does not count."""

    cost: Sum
    sums: Sequence[Bounded]
    without: frozenset[Index]


@dataclass(slots=True, kw_only=True)
class Best:
    """The best so far: its cost, its squared distance [mm²], and which it is."""

    limit: float
    cost: float = np.inf
    gap: float = np.inf
    index: Index | None = None

    def may_be_beaten(self, cost: FloatArray, gap: FloatArray) -> Masks:
        """Where something of at least this cost and gap [mm²] could be better."""
        less = (cost < self.cost) | ((cost == self.cost) & (gap < self.gap))
        return np.asarray(less & (gap <= self.limit) & np.isfinite(gap))


@dataclass(frozen=True, slots=True)
class OneStance:
    """One stance with the squared gaps [mm²] of its fronts and its seats; infinite: refused."""

    place: int
    grips: FloatArray
    saddles: FloatArray


def combine(best: Best, one: OneStance, wish: Wish) -> None:
    """Keep each combination of one stance that is better than the best so far.

    Parameters
    ----------
    best : Best
        Changed in place.
    one : OneStance
    wish : Wish
    """
    fronts, seats = _candidates(best, one, wish)
    many = max(1, _BLOCK // max(seats.size, 1))
    for start in range(0, fronts.size if seats.size else 0, many):
        _try_combinations(best, one, wish, fronts[start : start + many], seats)


def _candidates(best: Best, one: OneStance, wish: Wish) -> tuple[Rows, Rows]:
    """Fronts and seats that could be part of something better."""
    least_front, _ = wish.cost.ends(one.place, "front")
    least_seat, _ = wish.cost.ends(one.place, "seat")
    fronts = best.may_be_beaten(least_front, one.grips + one.saddles.min())
    seats = best.may_be_beaten(least_seat, one.grips.min() + one.saddles)
    for part, least, most in wish.sums:
        lowest, highest = part.ends(one.place, "front")
        fronts &= (lowest <= most) & (highest >= least)
        lowest, highest = part.ends(one.place, "seat")
        seats &= (lowest <= most) & (highest >= least)
    return np.flatnonzero(fronts), np.flatnonzero(seats)


def _try_combinations(best: Best, one: OneStance, wish: Wish, fronts: Rows, seats: Rows) -> None:
    """Every combination of some fronts with some seats."""
    gaps = one.grips[fronts, None] + one.saddles[seats]
    costs = wish.cost.outer(one.place, fronts, seats)
    better = best.may_be_beaten(costs, gaps)
    for part, least, most in wish.sums:
        value = part.outer(one.place, fronts, seats)
        better &= (value >= least) & (value <= most)
    for stance, front, seat in wish.without:
        if stance == one.place:
            better &= ~((fronts[:, None] == front) & (seats == seat))
    if better.any():
        lowest = costs[better].min()
        at = int(np.argmin(np.where(better & (costs == lowest), gaps, np.inf)))
        row, column = divmod(at, seats.size)
        best.cost, best.gap = float(lowest), float(gaps[row, column])
        best.index = (one.place, int(fronts[row]), int(seats[column]))
