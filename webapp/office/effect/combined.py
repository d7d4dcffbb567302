"""Which builds of two catalogues are compared."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from webapp.builds.choice.build_choice import BuildChoice
from webapp.builds.choice.places import PLACE_OF
from webapp.catalogue.reading.views import Catalogue
from webapp.office.effect.orderable_builds import Combination, Key, combinations, with_part

MOST_PARTS = 24
"""Changed parts that are looked at one by one, wherever they can stand."""

_STANDS_ON = frozenset({"headset", "tyre_front", "tyre_rear"})


def combined_with(catalogue: Catalogue, changed: Sequence[tuple[str, str]]) -> list[Combination]:
    """Every fork on every pair of wheels, and changed parts wherever they can stand."""
    also = (with_part(catalogue, kind, slug) for kind, slug in changed[:MOST_PARTS])
    return [*combinations(catalogue)[1], *(one for several in also for one in several)]


def alike(
    own: Sequence[Combination], other: Sequence[Combination], catalogue: Catalogue
) -> list[Combination]:
    """The same builds in a catalogue as in the other, wherever it offers their parts."""
    theirs = {one.key: one for one in other}
    return [
        theirs[one.key] if one.key in theirs and _offers(catalogue, theirs[one.key].choice) else one
        for one in own
    ]


def _offers(catalogue: Catalogue, choice: BuildChoice) -> bool:
    return all(
        not slug or any(slug == part.slug for part in catalogue.offered(PLACE_OF[place].kind))
        for place, slug in choice.parts.items()
    )


def grids(keys: Sequence[Key]) -> Iterator[list[Key]]:
    """Keys grouped into matrices of forks by wheels; each changed part has one of its own."""
    grid = [key for key in keys if not key[2]]
    if grid:
        yield grid
    yield from ([key] for key in keys if key[2].partition("/")[0] in _STANDS_ON)
