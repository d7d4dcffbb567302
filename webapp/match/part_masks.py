"""Masks over stances, cockpits and seats: which of them have certain parts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from webapp.match.cockpits import Fitted
from webapp.match.stances import FRONT_PLACES, SEAT_PLACES, Stance

SIZE = "size"
"""The key for the size, beside the places of parts."""


class PartMasks(NamedTuple):
    """For each axis, which entries have the parts asked for."""

    ways: NDArray[np.bool_]
    cockpits: NDArray[np.bool_]
    saddles: NDArray[np.bool_]

    @property
    def some_of_each(self) -> bool:
        """Whether any build has it."""
        return all(each.any() for each in self)

    @property
    def all_of_each(self) -> bool:
        """Whether every build has it."""
        return all(each.all() for each in self)


def part_masks(
    ways: Sequence[Stance],
    cockpits: Sequence[Fitted],
    saddles: Sequence[Fitted],
    wanted: Mapping[str, str],
) -> PartMasks:
    """Which entries have certain parts.

    Parameters
    ----------
    ways, cockpits, saddles
    wanted : mapping of place to part slug
        Also ``"size"``.

    Returns
    -------
    PartMasks
    """
    cockpit = {*FRONT_PLACES, *SEAT_PLACES}
    rest = {place: slug for place, slug in wanted.items() if place not in cockpit}
    return PartMasks(
        ways=np.array([_stands(way, rest) for way in ways]),
        cockpits=np.array([_fitted(each, FRONT_PLACES, wanted) for each in cockpits]),
        saddles=np.array([_fitted(each, SEAT_PLACES, wanted) for each in saddles]),
    )


def _stands(way: Stance, wanted: Mapping[str, str]) -> bool:
    parts = way.setup.choice.parts
    return all(
        (way.setup.choice.size if place == SIZE else parts.get(place)) == slug
        for place, slug in wanted.items()
    )


def _fitted(fitted: Fitted, places: tuple[str, str], wanted: Mapping[str, str]) -> bool:
    pairs = zip(places, fitted.parts, strict=True)
    return all(wanted.get(place, part.slug) == part.slug for place, part in pairs)
