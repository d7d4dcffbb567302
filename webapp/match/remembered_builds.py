"""A cache of all builds of a model, since every position searches the same ones.

One table of a catalogue serves nearly every wish: where a fork, wheel, size or cockpit is
fixed, only the builds with it are searched. A part that the table has in no build or only in
some, such as a belt where chains are usual, needs a table of its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from geometry.search import Fronts
from webapp.catalogue.reading.views import Catalogue
from webapp.match.all_builds import AllBuilds, all_builds_of
from webapp.match.part_masks import SIZE, PartMasks, part_masks
from webapp.match.stances import COCKPIT, WHEELS

_MOST_KEPT = 8
_GONE_THROUGH = frozenset({"fork", *WHEELS})


def all_builds(catalogue: Catalogue, fixed: Mapping[str, str]) -> AllBuilds:
    """All builds of a model with some parts fixed, cached.

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
    whole = _table(catalogue, {})
    missing = {place: slug for place, slug in fixed.items() if not _varies(whole, place, slug)}
    if missing:
        whole = _table(catalogue, missing)
    has = part_masks(whole.ways, whole.cockpits, whole.saddles, fixed)
    if has.some_of_each:
        return _narrowed(whole, has)
    return _table(catalogue, fixed)


def _varies(whole: AllBuilds, place: str, slug: str) -> bool:
    """Whether a table holds every possible build with a part in its place."""
    if place == SIZE or place in COCKPIT:
        return True
    has = [way.setup.choice.parts.get(place) == slug for way in whole.ways]
    # The table holds every fork and pair of wheels; of other parts only one goes with each of
    # those, so a table with some of them lacks the rest.
    return any(has) if place in _GONE_THROUGH else all(has)


def _table(catalogue: Catalogue, fixed: Mapping[str, str]) -> AllBuilds:
    tables = catalogue.memory.nested("tables of all builds", most=_MOST_KEPT)
    return tables.of(tuple(sorted(fixed.items())), lambda: all_builds_of(catalogue, fixed))


def _narrowed(whole: AllBuilds, has: PartMasks) -> AllBuilds:
    """The same with only some of its ways, cockpits and saddles."""
    if has.all_of_each:
        return whole
    ways, cockpits, saddles = (np.flatnonzero(each) for each in has)
    return replace(
        whole,
        ways=[whole.ways[at] for at in ways.tolist()],
        cockpits=[whole.cockpits[at] for at in cockpits.tolist()],
        saddles=[whole.saddles[at] for at in saddles.tolist()],
        stances=whole.stances.only(ways),
        fronts=Fronts(up=whole.fronts.up[cockpits], forward=whole.fronts.forward[cockpits]),
        seats=whole.seats.only(ways, saddles),
        refusals=[each.only(ways, cockpits, saddles) for each in whole.refusals],
        unweighed=[each.only(ways, cockpits, saddles) for each in whole.unweighed],
        price=whole.price.only(ways, cockpits, saddles),
        mass=whole.mass.only(ways, cockpits, saddles),
    )
