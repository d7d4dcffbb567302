"""The rim of best trades: builds that nothing else beats in nearness and in a sum at once."""

from __future__ import annotations

from typing import Protocol

import numpy as np

from geometry.search.parts import Sum
from geometry.search.ranking import Bounds, Found


class Finder(Protocol):
    """Finds the best build, as `Search.best` does."""

    def __call__(
        self, *, first: Sum | None = None, bounds: Bounds, within: float = ...
    ) -> Found | None: ...


def trades(find: Finder, *, name: str, of: Sum, bounds: Bounds, most: int) -> tuple[Found, ...]:
    """Best trades between nearness and a sum, the nearest first.

    Parameters
    ----------
    find : callable
        `Search.best`, or one that leaves further builds out.
    name : str
        Of the sum among the bounds, such as ``"price"``.
    of : Sum
        The same, in whole numbers of its unit.
    bounds : mapping of str to (least, most)
    most : int
        How many at most.

    Returns
    -------
    tuple of Found

    Notes
    -----
    The nearest of all; of those as near the one whose sum is least; then the same
    among those whose sum is less still, until none is left.
    """
    found: list[Found] = []
    least, limit = bounds.get(name, (-np.inf, np.inf))
    while len(found) < most and limit >= least:
        own = {**bounds, name: (least, limit)}
        nearest = find(bounds=own)
        if nearest is None:
            break
        # A little more than its distance, since a square root has rounded it.
        trade = find(first=of, bounds=own, within=nearest.distance * (1 + 1e-12)) or nearest
        found.append(trade)
        limit = of.of(*trade.index) - 1.0
    return tuple(found)
