"""All builds there can be of a model, as the search takes them; remembered, since the same
are looked through for every position.
"""

from __future__ import annotations

import weakref
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.core import FloatArray
from geometry.search import Fronts, Refusal, Seats, Stances, Sum
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import Invalid
from webapp.common.text.language import tr
from webapp.match.cockpits import Fitted, all_fronts, all_seats, fronts_of, refusals, seats_of
from webapp.match.stances import FIGURES, Stance, stances

SIZE = "size"
"""How the search is told to stay within one size."""

_MOST_KEPT = 16


@dataclass(frozen=True, kw_only=True, eq=False)
class Everything:
    """Ways to stand, cockpits and saddles, and the same as the search takes them."""

    ways: Sequence[Stance]
    cockpits: Sequence[Fitted]
    saddles: Sequence[Fitted]
    stances: Stances
    fronts: Fronts
    seats: Seats
    refusals: Sequence[Refusal]
    price: Sum


_Key = tuple[int, tuple[tuple[str, str], ...]]
_kept: dict[_Key, tuple[weakref.ref[Catalogue], Everything]] = {}


def everything(catalogue: Catalogue, fixed: Mapping[str, str]) -> Everything:
    """All builds of a model with some parts fixed, remembered while the catalogue lives.

    Parameters
    ----------
    catalogue : Catalogue
    fixed : mapping of place to part slug
        Also ``"size"``.

    Returns
    -------
    Everything

    Raises
    ------
    Invalid
        Nothing of it can stand.
    """
    key = (id(catalogue), tuple(sorted(fixed.items())))
    kept = _kept.get(key)
    if kept is not None and kept[0]() is catalogue:  # an id may be used again
        return kept[1]
    found = _all(catalogue, fixed)
    if len(_kept) >= _MOST_KEPT:
        _kept.clear()
    _kept[key] = (weakref.ref(catalogue), found)
    return found


def _all(catalogue: Catalogue, fixed: Mapping[str, str]) -> Everything:
    ways = stances(catalogue, fixed)
    cockpits, saddles = all_fronts(catalogue, fixed), all_seats(catalogue, fixed)
    if not (ways and cockpits and saddles):
        together = ", ".join(f"{place} {slug}" for place, slug in fixed.items())
        raise Invalid("fixed", together, tr("parts that can stand together"))
    return Everything(
        ways=ways,
        cockpits=cockpits,
        saddles=saddles,
        stances=_standing(ways),
        fronts=fronts_of(cockpits),
        seats=seats_of(ways, saddles),
        refusals=refusals(ways, cockpits, saddles),
        price=Sum(
            stances=floats([way.price for way in ways]),
            fronts=floats([cockpit.price for cockpit in cockpits]),
            seats=floats([saddle.price for saddle in saddles]),
        ),
    )


def _standing(ways: Sequence[Stance]) -> Stances:
    figures = {name: floats([way.figures[name] for way in ways]) for name in FIGURES}
    figures[SIZE] = floats([way.setup.assembly.size.position for way in ways])
    return Stances.of(
        [way.standing for way in ways],
        [way.setup.assembly.build.frame for way in ways],
        lift=floats([float(way.setup.assembly.cockpit.upper_headset_stack) for way in ways]),
        figures=figures,
    )


def floats(values: Sequence[float]) -> FloatArray:
    """Numbers as the search takes them."""
    return np.array(values, dtype=np.float64)
