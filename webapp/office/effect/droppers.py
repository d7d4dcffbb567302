"""The longest dropper post by saddle height, of sizes where it changes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from geometry.core import FloatArray
from webapp.builds.fitting.calculations.post import longest_droppers
from webapp.builds.fitting.calculations.setup import Setup
from webapp.catalogue.reading.views import Catalogue
from webapp.office.effect.orderable_builds import Combination

HEIGHTS = tuple(float(height) for height in range(580, 841, 20))
"""Saddle heights at which the longest dropper is looked for [mm]."""


@dataclass(frozen=True, kw_only=True)
class DropperRow:
    """The longest dropper of one size by saddle height: (height, before, after) [mm]."""

    size: str
    cells: tuple[tuple[float, float | None, float | None], ...]


def droppers(
    before: Catalogue,
    after: Catalogue,
    sizes: Sequence[str],
    combined: tuple[Sequence[Combination], Sequence[Combination]],
) -> tuple[DropperRow, ...]:
    """The longest dropper by saddle height, of sizes where it changes."""
    if not all(combined) or not sizes:
        return ()
    was = _longest(before, sizes, combined[0][0])
    now = _longest(after, sizes, combined[1][0])
    rows = []
    for index, slug in enumerate(sizes):
        pairs = [(_known(a), _known(b)) for a, b in zip(was[index], now[index], strict=True)]
        if any(a != b for a, b in pairs):
            cells = tuple((h, a, b) for h, (a, b) in zip(HEIGHTS, pairs, strict=True))
            rows.append(DropperRow(size=after.size(slug).name, cells=cells))
    return tuple(rows)


def _longest(catalogue: Catalogue, sizes: Sequence[str], one: Combination) -> FloatArray:
    found = longest_droppers(_setup(catalogue, sizes[0], one), HEIGHTS)
    places = {size.slug: i for i, size in enumerate(catalogue.sizes)}
    return np.asarray(found[[places[slug] for slug in sizes]])


def _setup(catalogue: Catalogue, size: str, one: Combination) -> Setup:
    choice = replace(one.choice, revision=catalogue.revision.number, size=size, slot=0.0)
    return Setup.of(catalogue, choice)


def _known(value: float) -> float | None:
    return None if np.isnan(value) else float(value)
