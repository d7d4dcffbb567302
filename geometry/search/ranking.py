"""The best of all builds by a wish, found exactly without looking at each of them.

Squared distance is a part of the grips, which depends on stance and front, and
a part of the saddle, which depends on stance and seat; price and mass are sums.
Stances are taken in the order of a bound from below, so that the search ends
where no stance left can be better; of each the fronts and seats that cannot be
part of anything better are put aside before the two are combined.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from geometry.core import (
    ContradictoryInput,
    FloatArray,
    InvalidInput,
    OneOf,
)
from geometry.search.combining import Best, Bounded, Index, OneStance, Wish, combine
from geometry.search.gaps import Point, least_grip_gaps, saddle_gaps, seen_from_headset
from geometry.search.parts import Axis, Fronts, Masks, Refusal, Rows, Seats, Stances, Sum
from geometry.search.remedies import LeastBelowMost

Bounds = Mapping[str, tuple[float, float]]

_BLOCK = 1 << 18
"""Numbers worked on at a time: memory does not grow with the catalogue."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Target:
    """Where grips and saddle are wanted, from the BB centre, the bike standing unloaded.

    Parameters
    ----------
    grip, saddle : (x, y) [mm]
    """

    grip: Point
    saddle: Point


@dataclass(frozen=True, kw_only=True, slots=True)
class Found:
    """One build.

    Parameters
    ----------
    index : (stance, front, seat)
    distance : float [mm]
        Root of the squared distances of grips and saddle together.
    saddle_height : float [mm]
    """

    index: Index
    distance: float
    saddle_height: float


class Search:
    """Builds to be ranked by nearness to one target.

    Parameters
    ----------
    stances : Stances
    fronts : Fronts
    seats : Seats
    refusals : iterable of Refusal
        What fails any of them is never found.
    sums : mapping of str to Sum
        What may be minimised, or wished between bounds.
    target : Target
    """

    def __init__(
        self,
        *,
        stances: Stances,
        fronts: Fronts,
        seats: Seats,
        refusals: Iterable[Refusal],
        sums: Mapping[str, Sum],
        target: Target,
    ) -> None:
        self.stances, self.fronts, self.seats = stances, fronts, seats
        self.refusals, self.sums, self.target = tuple(refusals), sums, target
        self._up, self._forward = seen_from_headset(stances, target.grip)
        self._least = self._least_gaps()

    def considered(self, bounds: Bounds) -> Masks:
        """Stances whose figures keep the bounds, shape (N,).

        Raises
        ------
        InvalidInput
            A figure that is not known.
        ContradictoryInput
            Bounds the wrong way round.
        """
        kept = np.ones(self.stances.count, dtype=np.bool_)
        for name, (least, most) in bounds.items():
            if least > most:
                raise ContradictoryInput(name, (least, most), LeastBelowMost())
            if name in self.stances.figures:
                value = self.stances.figures[name]
                kept &= (value >= least) & (value <= most)
            elif name not in self.sums:
                known = OneOf(choices=(*self.stances.figures, *self.sums))
                raise InvalidInput(name, (least, most), known)
        return kept

    def best(
        self,
        *,
        first: Sum | None = None,
        bounds: Bounds,
        within: float = np.inf,
        without: Collection[Index] = (),
    ) -> Found | None:
        """The best build, exactly.

        Parameters
        ----------
        first : Sum, optional
            What is to be least before nearness decides; nearness alone if not given.
        bounds : mapping of str to (least, most)
            On figures and sums.
        within : float [mm]
            Largest distance.
        without : collection of (stance, front, seat)
            Builds that do not count.

        Returns
        -------
        Found or None
            None when no build keeps all bounds.
        """
        kept = self.considered(bounds)
        sums = [
            Bounded(self.sums[name], least, most)
            for name, (least, most) in bounds.items()
            if name in self.sums
        ]
        cost = first or _nothing(self.stances.count, self.fronts.count, self.seats.count)
        wish = Wish(cost, sums, frozenset(without))
        floor = cost.floor()
        kept &= self._least <= within * within
        order = np.flatnonzero(kept)
        order = order[np.lexsort((self._least[order], floor[order]))]
        best = Best(limit=within * within)
        for rows in self._blocks(order):
            hopeful = rows[best.may_be_beaten(floor[rows], self._least[rows])]
            if not hopeful.size:
                break  # in this order nothing that follows can be better either
            self._improve(best, hopeful, wish)
        return self._found(best)

    def _improve(self, best: Best, rows: Rows, wish: Wish) -> None:
        """Whatever some stances have that is better."""
        grips = self._allowed("front", rows, self._grip_gaps(rows))
        saddles = self._allowed(
            "seat", rows, saddle_gaps(self.stances, self.seats, rows, self.target.saddle)[0]
        )
        nearest = grips.min(axis=1) + saddles.min(axis=1)
        floor = wish.cost.floor()[rows]
        for at in np.lexsort((nearest, floor)).tolist():
            if best.may_be_beaten(floor[at : at + 1], nearest[at : at + 1])[0]:
                one = OneStance(int(rows[at]), grips[at], saddles[at])
                combine(best, one, wish)

    def _grip_gaps(self, rows: Rows) -> FloatArray:
        up = self._up[rows, None] - self.fronts.up
        forward = self._forward[rows, None] - self.fronts.forward
        return np.asarray(up * up + forward * forward)

    def _allowed(self, along: Axis, rows: Rows, gaps: FloatArray) -> FloatArray:
        """Gaps, infinite where a check fails."""
        for refusal in self.refusals:
            if refusal.along == along or (refusal.along == "stance" and along == "front"):
                gaps[np.broadcast_to(refusal.fails[refusal.group[rows]], gaps.shape)] = np.inf
        return gaps

    def _least_gaps(self) -> FloatArray:
        """A bound from below on each stance's squared distance, by ranges alone."""
        least = least_grip_gaps(self.fronts, self._up, self._forward)
        for rows in self._blocks(np.arange(self.stances.count)):
            gaps, _ = saddle_gaps(self.stances, self.seats, rows, self.target.saddle)
            least[rows] += self._allowed("seat", rows, gaps).min(axis=1)
        return least

    def _blocks(self, order: Rows) -> Iterator[Rows]:
        """Stances in their order, few first, since the best are mostly among them."""
        most = max(1, _BLOCK // max(self.fronts.count, self.seats.count))
        start, size = 0, min(4, most)
        while start < order.size:
            yield order[start : start + size]
            start, size = start + size, min(2 * size, most)

    def _found(self, best: Best) -> Found | None:
        if best.index is None:
            return None
        stance, _, seat = best.index
        row = np.array([stance])
        _, heights = saddle_gaps(self.stances, self.seats, row, self.target.saddle)
        height = float(heights[0, seat])
        return Found(index=best.index, distance=float(np.sqrt(best.gap)), saddle_height=height)


def _nothing(stances: int, fronts: int, seats: int) -> Sum:
    """A cost that is the same for all."""
    return Sum(stances=np.zeros(stances), fronts=np.zeros(fronts), seats=np.zeros(seats))
