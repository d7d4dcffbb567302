"""Places of a drawing's texts: each at the best of its possible places, none on another.

Every text has a list of possible places, the preferred one first. A place costs
what its box would cover: edges of the bike, other dimension lines, the rider, a wheel
(`webapp.drawing.dimensioning.obstacles`). Each text in turn takes its cheapest
place among those that meet no text placed before. Where one finds none, all are placed
again and it goes first. The same drawing always gives the
same places. A text for which no place is left gets None, and its caller decides.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence

from webapp.drawing.dimensioning.obstacles import Costs, Obstacles
from webapp.drawing.dimensioning.spots import Spot

_ROUNDS = 4  # of placing them all, those first that found no place the time before
_LATER = 0.25  # added cost for each position further down a text's own list


def place(
    wanted: Sequence[Sequence[Spot]],
    obstacles: Obstacles,
    *,
    apart: float,
    worst: float = math.inf,
    otherwise: Callable[[int], Iterable[Spot]] = lambda _: (),
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
    costs = obstacles.costs(worst)
    own = [_Places(spots, costs) for spots in wanted]
    farther: dict[int, _Places] = {}

    def more(number: int) -> _Places:
        if number not in farther:
            farther[number] = _Places(otherwise(number), costs)
        return farther[number]

    best: list[Spot | None] = [None] * len(wanted)
    order = list(range(len(wanted)))
    for _ in range(_ROUNDS):
        placed: list[Spot | None] = [None] * len(wanted)
        taken: list[Spot] = []
        for number in order:
            spot = own[number].cheapest(taken, apart) or more(number).cheapest(taken, apart)
            if spot is not None:
                placed[number] = spot
                taken.append(spot)
        if placed.count(None) < best.count(None):
            best = placed
        if None not in placed:
            break
        order.sort(key=lambda number: placed[number] is not None)
    return best


class _Places:
    """The possible places of one text, and what those looked at so far cost."""

    def __init__(self, spots: Iterable[Spot], costs: Costs) -> None:
        self.rest, self.costs = iter(spots), costs
        self.known: list[tuple[float, Spot]] = []

    def cheapest(self, taken: Sequence[Spot], apart: float) -> Spot | None:
        """The cheapest place that meets no text placed before; of equals the first."""
        found: Spot | None = None
        best = math.inf
        for at, (cost, spot) in enumerate(self._priced()):
            price = cost + _LATER * at
            if price < best and not any(spot.meets(other, apart) for other in taken):
                found, best = spot, price
            if _LATER * (at + 1) >= best:
                break
        return found

    def _priced(self) -> Iterator[tuple[float, Spot]]:
        """Places with what they cost, looked at only as far as they are asked for."""
        yield from self.known
        for spot in self.rest:
            self.known.append((self.costs.of(spot), spot))
            yield self.known[-1]
