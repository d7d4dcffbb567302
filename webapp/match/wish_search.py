"""Searches all builds of a model for one wish.

Every build found is checked again as its own page checks it, so that no answer can fail a check.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

import numpy as np

from geometry.core import GeometryError
from geometry.search import Bounds, Found, Refusal, Search, Sum
from webapp.builds.choice.build_choice import BuildChoice, read_choice
from webapp.builds.evaluation import BuildResult, compute
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import DomainError
from webapp.common.text.money import EXPONENTS
from webapp.fit.candidate_builds import as_sold
from webapp.match.all_builds import AllBuilds, floats, low_enough
from webapp.match.cockpits import Fitted
from webapp.match.part_masks import SIZE
from webapp.match.remembered_builds import all_builds
from webapp.match.stances import COCKPIT, FRONT_PLACES, SEAT_PLACES, Stance
from webapp.match.wish import HANDLING, MASS, PRICE, Answer, Loosened, Wish

_MOST_LEFT_OUT = 60
"""Most builds that only their own page's checks refuse, before a search gives up."""


@dataclass(frozen=True, kw_only=True)
class WishSearch:
    """One wish with all builds to search, and those refused by their page's checks."""

    catalogue: Catalogue
    wish: Wish
    all: AllBuilds
    search: Search
    left_out: set[tuple[int, int, int]] = field(default_factory=set)
    results: dict[tuple[int, int, int], BuildResult] = field(default_factory=dict)

    @classmethod
    def of(cls, catalogue: Catalogue, wish: Wish) -> WishSearch:
        """Everything there is of a model.

        Raises
        ------
        Invalid
            Where no build is possible.
        """
        found = all_builds(catalogue, wish.fixed)
        search = Search(
            stances=found.stances,
            fronts=found.fronts,
            seats=found.seats,
            refusals=_refusals(found, wish),
            sums={PRICE: found.price, MASS: found.mass},
            target=wish.target,
        )
        return cls(catalogue=catalogue, wish=wish, all=found, search=search)

    def best(
        self, *, first: Sum | None = None, bounds: Bounds, within: float = np.inf
    ) -> Found | None:
        """The best build that its own page allows to be ordered."""
        while len(self.left_out) <= _MOST_LEFT_OUT:
            found = self.search.best(
                first=first, bounds=bounds, within=within, without=self.left_out
            )
            if found is None or self._can_be_ordered(found):
                return found
            self.left_out.add(found.index)
        return None

    def _can_be_ordered(self, found: Found) -> bool:
        if found.index not in self.results:
            choice = self.choice(found)
            try:
                self.results[found.index] = compute(self.catalogue, choice)
            except (DomainError, GeometryError):
                return False
        result = self.results[found.index]
        # Only the drawing office searches a draft: builds that could be ordered once it is
        # published.
        draft = self.catalogue.revision.state == "draft"
        return result.can_be_sold if draft else result.can_be_ordered

    def choice(self, found: Found) -> BuildChoice:
        """The build that was found."""
        stance, front, seat = (
            self.all.ways[found.index[0]],
            self.all.cockpits[found.index[1]],
            self.all.saddles[found.index[2]],
        )
        own = stance.setup.choice
        parts = dict(own.parts)
        parts |= {place: p.slug for place, p in zip(FRONT_PLACES, front.parts, strict=True)}
        parts |= {place: p.slug for place, p in zip(SEAT_PLACES, seat.parts, strict=True)}
        return replace(
            own,
            parts=MappingProxyType(parts),
            spacers=front.at,
            rail=seat.at,
            saddle_height=found.saddle_height,
        )

    def answer(self, kind: str, found: Found) -> Answer:
        """What was found, as it is answered."""
        return Answer(kind=kind, distance=found.distance, result=self.results[found.index])

    def answers(self, closest: Found, bounds: Bounds) -> tuple[Answer, ...]:
        """The closest, and the best of other kinds that are near enough."""
        near = max(self.wish.tolerance, closest.distance * (1 + 1e-12))
        found = {
            "closest_as_sold": self._as_sold(bounds, near),
            "cheapest": self.best(first=self.all.price, bounds=bounds, within=near),
        }
        if self.wish.handling:
            cost = self._handling()
            found["nearest_handling"] = self.best(first=cost, bounds=bounds, within=near)
        return (
            self.answer("closest", closest),
            *(self.answer(kind, one) for kind, one in found.items() if one is not None),
        )

    def _as_sold(self, bounds: Bounds, near: float) -> Found | None:
        """The one with the fewest parts other than its size is sold with; then the nearest."""
        best: tuple[tuple[float, float], Found] | None = None
        for place, swaps in self._swaps().items():
            own = {**bounds, SIZE: (place, place)}
            found = self.best(first=swaps, bounds=own, within=near)
            if found is not None:
                rank = swaps.of(*found.index), found.distance
                best = min(best or (rank, found), (rank, found), key=lambda one: one[0])
        return best[1] if best else None

    def _swaps(self) -> dict[float, Sum]:
        """By size, how many parts differ from what it is sold with."""
        usual = read_choice(self.catalogue, {}).choice
        found = {}
        for size in self.catalogue.sizes:
            sold = as_sold(self.catalogue, usual, size).parts
            found[float(size.position)] = Sum(
                stances=floats([_rest_differing(way, sold) for way in self.all.ways]),
                fronts=floats([_differing(f, FRONT_PLACES, sold) for f in self.all.cockpits]),
                seats=floats([_differing(s, SEAT_PLACES, sold) for s in self.all.saddles]),
            )
        return found

    def _handling(self) -> Sum:
        """How far each stance's handling is from the present bike's, in steps that are felt."""
        wanted = self.wish.handling
        apart = [
            sum(((way.figures[n] - value) / HANDLING[n]) ** 2 for n, value in wanted.items())
            for way in self.all.ways
        ]
        nothing = np.zeros(len(self.all.cockpits)), np.zeros(len(self.all.saddles))
        return Sum(stances=floats(apart), fronts=nothing[0], seats=nothing[1])

    def loosened(self, bounds: Bounds) -> list[Loosened]:
        """Which bound to loosen to get the nearest build; several if one is not enough."""
        alone = []
        for name in bounds:
            others = {other: ends for other, ends in bounds.items() if other != name}
            found = self.best(bounds=others)
            if found is not None:
                alone.append(self._loosened(name, found))
        if alone:
            return sorted(alone, key=lambda one: one.distance)
        found = self.best(bounds={})
        if found is None:
            return []
        return [
            self._loosened(name, found)
            for name, (least, most) in bounds.items()
            if not least <= self._value(name, found) <= most
        ]

    def _loosened(self, name: str, found: Found) -> Loosened:
        """A bound moved to what was found."""
        return Loosened(name=name, to=self._shown(name, found), distance=found.distance)

    def _value(self, name: str, found: Found) -> float:
        """A bounded value of what was found, as the search counts it."""
        if name in self.search.sums:
            return self.search.sums[name].of(*found.index)
        return self.all.ways[found.index[0]].figures[name]

    def _shown(self, name: str, found: Found) -> float:
        """The same as it is wished."""
        if name == PRICE:
            gross = self.results[found.index].price.gross
            return float(gross.minor / 10 ** EXPONENTS[gross.currency])
        return self._value(name, found)


def _refusals(found: AllBuilds, wish: Wish) -> list[Refusal]:
    """Stances and parts that fail a check or cannot meet the wish."""
    own = [*found.refusals]
    if MASS in wish.bounds:
        own += found.unweighed
    if wish.saddle_down_to is not None:
        own.append(low_enough(found, wish.saddle_down_to))
    return own


def _rest_differing(way: Stance, sold: Mapping[str, str]) -> int:
    """How many parts beside the cockpit are not those sold."""
    own = way.setup.choice.parts
    return sum(own[place] != sold[place] for place in own if place not in COCKPIT)


def _differing(fitted: Fitted, places: tuple[str, str], sold: Mapping[str, str]) -> int:
    """How many of two parts are not those sold."""
    pairs = zip(places, fitted.parts, strict=True)
    return sum(part.slug != sold[place] for place, part in pairs)
