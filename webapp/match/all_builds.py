"""All possible builds of a model, as arrays for the search."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.core import FloatArray
from geometry.search import Fronts, Package, Refusal, Seats, Stances, Sum
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import Invalid
from webapp.common.text.language import tr
from webapp.match.cockpits import Fitted, all_fronts, all_seats, fronts_of, refusals, seats_of
from webapp.match.part_masks import SIZE, part_masks
from webapp.match.stances import FIGURES, UNWEIGHED, Stance, stances

LOWEST_SADDLE = "lowest_saddle"
"""The code under which seats are counted whose saddle does not go as low as wished."""


@dataclass(frozen=True, kw_only=True, eq=False)
class AllBuilds:
    """Stances, cockpits and saddles, and the same as arrays for the search.

    ``unweighed`` refuses builds with a part of unknown mass where the mass is bounded.
    """

    ways: Sequence[Stance]
    cockpits: Sequence[Fitted]
    saddles: Sequence[Fitted]
    stances: Stances
    fronts: Fronts
    seats: Seats
    refusals: Sequence[Refusal]
    unweighed: Sequence[Refusal]
    price: Sum
    mass: Sum


def all_builds_of(catalogue: Catalogue, fixed: Mapping[str, str]) -> AllBuilds:
    """All builds of a model with some parts fixed.

    Parameters
    ----------
    catalogue : Catalogue
    fixed : mapping of place to part slug
        Also ``"size"``.

    Returns
    -------
    AllBuilds

    Raises
    ------
    Invalid
        Where no build is possible.
    """
    ways = stances(catalogue, fixed)
    cockpits, saddles = all_fronts(catalogue, fixed), all_seats(catalogue, fixed)
    if not (ways and cockpits and saddles):
        together = ", ".join(f"{place} {slug}" for place, slug in fixed.items())
        raise Invalid("fixed", together, tr("parts that can stand together"))
    return AllBuilds(
        ways=ways,
        cockpits=cockpits,
        saddles=saddles,
        stances=_standing(ways),
        fronts=fronts_of(cockpits),
        seats=seats_of(ways, saddles),
        refusals=refusals(ways, cockpits, saddles),
        unweighed=_unweighed(ways, cockpits, saddles),
        price=Sum(
            stances=floats([way.price for way in ways]),
            fronts=floats([cockpit.price for cockpit in cockpits]),
            seats=floats([saddle.price for saddle in saddles]),
            packages=tuple(_packages(catalogue, ways, cockpits, saddles)),
        ),
        mass=Sum(
            stances=floats([way.mass or 0.0 for way in ways]),
            fronts=floats([cockpit.mass or 0.0 for cockpit in cockpits]),
            seats=floats([saddle.mass or 0.0 for saddle in saddles]),
        ),
    )


def _packages(
    catalogue: Catalogue,
    ways: Sequence[Stance],
    cockpits: Sequence[Fitted],
    saddles: Sequence[Fitted],
) -> list[Package]:
    """Package prices and surcharges, each with its conditions on stance, cockpit and seat."""
    found = []
    for rule in catalogue.settings.price_rules:
        if rule.model in ("", catalogue.model.slug):
            needed = {each.place: each.part for each in rule.parts}
            has = part_masks(ways, cockpits, saddles, needed)
            if has.some_of_each:
                found.append(
                    Package(
                        amount=float(rule.minor),
                        stances=has.ways,
                        fronts=has.cockpits,
                        seats=has.saddles,
                    )
                )
    return found


def _unweighed(
    ways: Sequence[Stance], cockpits: Sequence[Fitted], saddles: Sequence[Fitted]
) -> list[Refusal]:
    together = np.zeros(len(ways), dtype=np.intp)
    alone = np.arange(len(ways))
    stances_ = np.array([[way.mass is None] for way in ways])
    fronts = np.array([[each.mass is None for each in cockpits]])
    seats = np.array([[each.mass is None for each in saddles]])
    return [
        Refusal(code=UNWEIGHED, along="stance", fails=stances_, group=alone),
        Refusal(code=UNWEIGHED, along="front", fails=fronts, group=together),
        Refusal(code=UNWEIGHED, along="seat", fails=seats, group=together),
    ]


def _standing(ways: Sequence[Stance]) -> Stances:
    figures = {name: floats([way.figures[name] for way in ways]) for name in FIGURES}
    figures[SIZE] = floats([way.setup.assembly.size.position for way in ways])
    return Stances.of(
        [way.standing for way in ways],
        [way.setup.assembly.build.frame for way in ways],
        lift=floats([float(way.setup.assembly.cockpit.upper_headset_stack) for way in ways]),
        figures=figures,
    )


def low_enough(found: AllBuilds, height: float) -> Refusal:
    """Refuses seats whose saddle does not go down to a height [mm]."""
    return Refusal(
        code=LOWEST_SADDLE,
        along="seat",
        fails=np.ceil(found.seats.lowest) > height,
        group=np.arange(found.stances.count),
    )


def floats(values: Sequence[float]) -> FloatArray:
    """Numbers as the search takes them."""
    return np.array(values, dtype=np.float64)
