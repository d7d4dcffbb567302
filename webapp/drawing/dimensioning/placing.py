"""Places of a drawing's texts: each at the best of its possible places, none on another.

Every text has a list of possible places, the preferred one first. A place costs
what its box would cover: edges of the bike, other dimension lines, the rider, a wheel
(`webapp.drawing.dimensioning.obstacles`). Each text in turn takes its cheapest
place among those that meet no text placed before. Where one finds none, all are placed
again and it goes first. The same drawing always gives the
same places. A text for which no place is left gets None, and its caller decides.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from webapp.drawing.dimensioning.obstacles import Costs, Obstacles
from webapp.drawing.dimensioning.spots import Spot

_ROUNDS = 4  # of placing them all, those first that found no place the time before
_LATER = 0.25  # added cost for each position further down a text's own list


def place(
    wanted: Sequence[Sequence[Spot]],
    obstacles: Obstacles,
    *,
    apart: float,
    worst: float = np.inf,
    otherwise: Callable[[int], Sequence[Spot]] = lambda _: (),
) -> list[Spot | None]:
    """A place for every text.

    Parameters
    ----------
    wanted : sequence of sequence of Spot
        The possible places of each text, the preferred first; the most important texts come first.
    obstacles : Obstacles
    apart : float [mm]
        The least distance between two texts.
    worst : float
        A place that costs more than this is not used.
    otherwise : function of int
        Further places of the text with that number, asked for where it has none so far.

    Returns
    -------
    list of Spot or None
        In the order of ``wanted``; no two of them meet.

    Examples
    --------
    >>> from webapp.drawing.dimensioning.lettering import shape
    >>> text = shape(("12",), 10.0)
    >>> spots = [Spot((0.0, 0.0), text), Spot((0.0, 30.0), text)]
    >>> found = place([spots, spots, spots], Obstacles(), apart=2.0)
    >>> [spot and spot.centre for spot in found]
    [(0.0, 0.0), (0.0, 30.0), None]
    """
    costs = obstacles.costs()
    own = _liked(wanted, costs, worst)
    without = [number for number, spots in enumerate(own) if not spots]
    found = _liked([otherwise(number) for number in without], costs, worst)
    farther = dict(zip(without, found, strict=True))

    def more(number: int) -> list[Spot]:
        if number not in farther:
            farther[number] = _liked([otherwise(number)], costs, worst)[0]
        return farther[number]

    best: list[Spot | None] = [None] * len(wanted)
    order = list(range(len(wanted)))
    for _ in range(_ROUNDS):
        placed: list[Spot | None] = [None] * len(wanted)
        taken: list[Spot] = []
        for number in order:
            spot = _free(own[number], taken, apart) or _free(more(number), taken, apart)
            if spot is not None:
                placed[number] = spot
                taken.append(spot)
        if placed.count(None) < best.count(None):
            best = placed
        if None not in placed:
            break
        order.sort(key=lambda number: placed[number] is not None)
    return best


def _liked(wanted: Sequence[Sequence[Spot]], costs: Costs, worst: float) -> list[list[Spot]]:
    """The places of some texts that do not cost too much, each text's cheapest first."""
    every = [spot for spots in wanted for spot in spots]
    liked: list[list[Spot]] = [[] for _ in wanted]
    if not every:
        return liked
    cost = costs.of(every)
    later = [_LATER * at for spots in wanted for at in range(len(spots))]
    of = [text for text, spots in zip(liked, wanted, strict=True) for _ in spots]
    # Of places at the same price the one further up its list comes first.
    order = np.argsort(cost + later, kind="stable")
    for at in order[cost[order] <= worst].tolist():
        of[at].append(every[at])
    return liked


def _free(spots: Sequence[Spot], taken: Sequence[Spot], apart: float) -> Spot | None:
    """The first place that meets no text placed before."""
    for spot in spots:
        for other in taken:
            if spot.meets(other, apart):
                break
        else:
            return spot
    return None
