"""What an edit does, before it is published: to every build that can be ordered."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from geometry.core import FloatArray
from webapp.builds.choice.build_choice import address_of
from webapp.builds.fitting.calculations.post import longest_droppers
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.checks import label_of
from webapp.catalogue.reading.views import Catalogue
from webapp.common.text.glossary import entry
from webapp.common.text.language import tr
from webapp.common.text.sentences import capitalized, sentence
from webapp.office.effect.figures import Changes, figure_changes
from webapp.office.effect.orderable_builds import (
    SHARES,
    Combination,
    Judged,
    Place,
    combinations,
    judge_all,
)

FIGURES = (
    "head_angle",
    "seat_tube_angle",
    "reach",
    "stack",
    "standover",
    "chainstay_length",
    "bb_height",
    "wheelbase",
    "trail",
)
"""Figures told of, in this order."""

ROOM = "tyre.rear.gap"
_STEPS = {"°": (0.1, 0.5), "mm": (1.0, 5.0)}
_SMALLEST = {"°": 0.005, "mm": 0.05}
_MOST_LISTED = 12
HEIGHTS = tuple(float(height) for height in range(580, 841, 20))
"""Saddle heights at which the longest dropper is looked for [mm]."""


@dataclass(frozen=True, kw_only=True)
class BuildRef:
    """One build, in words, and where it opens in the revision before."""

    words: str
    address: str


@dataclass(frozen=True, kw_only=True)
class FigureEffect:
    """How one figure changes over all builds that can be ordered.

    Parameters
    ----------
    key, name, unit
        Of the figure.
    counts : tuple of int
        Builds unchanged, changed by at most the first step, by at most the
        second, and by more.
    least, most : float [unit]
        Smallest and largest change, signed.
    least_at, most_at : BuildRef
        Where.
    """

    key: str
    name: str
    unit: str
    counts: tuple[int, int, int, int]
    steps: tuple[float, float]
    least: float
    most: float
    least_at: BuildRef
    most_at: BuildRef


@dataclass(frozen=True, kw_only=True)
class Flip:
    """One check that changes its outcome: in how many builds, and some of them."""

    label: str
    before: str
    after: str
    count: int
    reason: str
    builds: tuple[BuildRef, ...]

    @property
    def worse(self) -> bool:
        """Whether builds are lost by it."""
        return self.after == "no"


@dataclass(frozen=True, kw_only=True)
class DropperRow:
    """The longest dropper of one size by saddle height: (height, before, after) [mm]."""

    size: str
    cells: tuple[tuple[float, float | None, float | None], ...]


@dataclass(frozen=True, kw_only=True)
class Effect:
    """What a revision changes of every build that can be ordered.

    Parameters
    ----------
    builds : int
        How many builds were looked at.
    before, after, both : int
        How many can be ordered in one revision, in the other, in both.
    figures : tuple of FigureEffect
        Largest change first.
    flips : tuple of Flip
        Builds lost first.
    droppers : tuple of DropperRow
    only_before, only_after : tuple of str
        Sizes that only one of the two has.
    """

    builds: int
    before: int
    after: int
    both: int
    figures: tuple[FigureEffect, ...]
    flips: tuple[Flip, ...]
    droppers: tuple[DropperRow, ...]
    only_before: tuple[str, ...]
    only_after: tuple[str, ...]

    @property
    def before_names(self) -> str:
        """Sizes that go, in a row."""
        return ", ".join(self.only_before)

    @property
    def after_names(self) -> str:
        """Sizes that come, in a row."""
        return ", ".join(self.only_after)


def effect_of(before: Catalogue, after: Catalogue) -> Effect:
    """Compare every build of two revisions of one model.

    Parameters
    ----------
    before, after : Catalogue
        The published revision, and the draft that would take its place.

    Returns
    -------
    Effect
    """
    known = {size.slug for size in before.sizes}
    sizes = [size.slug for size in after.sizes if size.slug in known]
    forks, combined = combinations(after)
    pairs = len(combined) // len(forks) if forks else 0
    old = judge_all(before, sizes, combined, pairs) if pairs else {}
    new = judge_all(after, sizes, combined, pairs) if pairs else {}
    shared = sorted(set(old) & set(new), key=lambda place: _order(place, sizes))
    counted = [p for p in shared if old[p].can_be_ordered or new[p].can_be_ordered]
    figures = _figures(before, after, (sizes, forks, combined), counted, old) if counted else ()
    room = _room(counted, old, new, before)
    return Effect(
        builds=len(shared),
        before=sum(old[p].can_be_ordered for p in shared),
        after=sum(new[p].can_be_ordered for p in shared),
        both=sum(old[p].can_be_ordered and new[p].can_be_ordered for p in shared),
        figures=tuple(sorted((*figures, *room), key=_largest_first)),
        flips=_flips(counted, old, new, before),
        droppers=_droppers(before, after, sizes, combined),
        only_before=tuple(s.name for s in before.sizes if s.slug not in sizes),
        only_after=tuple(s.name for s in after.sizes if s.slug not in sizes),
    )


def _order(place: Place, sizes: Sequence[str]) -> tuple[int, int, int, int]:
    return sizes.index(place.size), place.fork, place.wheels, place.share


def _largest_first(effect: FigureEffect) -> float:
    """Changes of different units weighed by their own steps."""
    return -max(abs(effect.least), abs(effect.most)) / effect.steps[1]


# --- figures ---------------------------------------------------------------------


def _figures(
    before: Catalogue,
    after: Catalogue,
    axes: tuple[list[str], tuple[str, ...], tuple[Combination, ...]],
    counted: Sequence[Place],
    old: Mapping[Place, Judged],
) -> tuple[FigureEffect, ...]:
    sizes, forks, combined = axes
    changes: Changes = figure_changes(before, after, sizes, forks, combined)
    at = tuple(np.array([_order(place, sizes) for place in counted]).T)
    return tuple(
        _effect(_named(key), _widest(changes.of(key)[at]), counted, old, before) for key in FIGURES
    )


def _named(key: str) -> tuple[str, str, str]:
    """Key, name and unit of a figure."""
    return key, entry(key).name, entry(key).unit


def _widest(found: FloatArray) -> FloatArray:
    """Of each build's states the one that changes most; (builds,) from (builds, states)."""
    safe = np.nan_to_num(found)
    return np.asarray(np.take_along_axis(safe, np.abs(safe).argmax(axis=1)[:, None], axis=1)[:, 0])


def _effect(
    named: tuple[str, str, str],
    found: FloatArray,
    counted: Sequence[Place],
    old: Mapping[Place, Judged],
    catalogue: Catalogue,
) -> FigureEffect:
    key, name, unit = named
    size, steps = np.abs(found), _STEPS[unit]
    none = size < _SMALLEST[unit]
    first, second = size <= steps[0], size <= steps[1]
    low, high = int(found.argmin()), int(found.argmax())
    counts = (none.sum(), (first & ~none).sum(), (second & ~first).sum(), (~second).sum())
    return FigureEffect(
        key=key,
        name=name,
        unit=unit,
        counts=(int(counts[0]), int(counts[1]), int(counts[2]), int(counts[3])),
        steps=steps,
        least=float(found[low]),
        most=float(found[high]),
        least_at=_ref(counted[low], old, catalogue),
        most_at=_ref(counted[high], old, catalogue),
    )


def _room(
    counted: Sequence[Place],
    old: Mapping[Place, Judged],
    new: Mapping[Place, Judged],
    catalogue: Catalogue,
) -> tuple[FigureEffect, ...]:
    """The gap at the rear tyre, where both revisions state it."""
    places, found = [], []
    for place in counted:
        was, now = old[place].checks.get(ROOM), new[place].checks.get(ROOM)
        if was and now and was.figure is not None and now.figure is not None:
            places.append(place)
            found.append(now.figure - was.figure)
    if not places:
        return ()
    room = np.array(found)
    named = ("tyre_room", tr("Room at the rear tyre"), "mm")
    return (_effect(named, room, places, old, catalogue),)


# --- checks ----------------------------------------------------------------------


def _flips(
    counted: Sequence[Place],
    old: Mapping[Place, Judged],
    new: Mapping[Place, Judged],
    catalogue: Catalogue,
) -> tuple[Flip, ...]:
    """Checks that change between failing and not failing, builds lost first."""
    counts: Counter[tuple[str, str, str]] = Counter()
    where: dict[tuple[str, str, str], list[Place]] = {}
    for place in counted:
        for code in old[place].checks.keys() & new[place].checks.keys():
            was, now = old[place].checks[code].outcome, new[place].checks[code].outcome
            if was != now and "no" in (was, now):
                key = (code, was or "unknown", now or "unknown")
                counts[key] += 1
                where.setdefault(key, []).append(place)
    ordered = sorted(counts, key=lambda key: (key[2] != "no", -counts[key], key[0]))
    return tuple(
        Flip(
            label=capitalized(label_of(code)),
            before=was,
            after=now,
            count=counts[code, was, now],
            reason=sentence(new[where[code, was, now][0]].checks[code].reason),
            builds=tuple(_ref(p, old, catalogue) for p in where[code, was, now][:_MOST_LISTED]),
        )
        for code, was, now in ordered
    )


def _ref(place: Place, judged: Mapping[Place, Judged], catalogue: Catalogue) -> BuildRef:
    choice = judged[place].choice
    fork = catalogue.part("fork", choice.part("fork")).name
    tyre = catalogue.part("tyre", choice.part("tyre_rear")).name
    axle = {0.0: tr("axle forward"), 0.5: tr("axle midway"), 1.0: tr("axle back")}[
        SHARES[place.share]
    ]
    slot = catalogue.size(place.size).data.slot_length
    words = tr(
        "{name}, {fork}, {tyre} behind", name=catalogue.size(place.size).name, fork=fork, tyre=tyre
    )
    return BuildRef(
        words=f"{words}, {axle}" if slot else words,
        address=address_of(choice),
    )


# --- droppers --------------------------------------------------------------------


def _droppers(
    before: Catalogue, after: Catalogue, sizes: Sequence[str], combined: Sequence[Combination]
) -> tuple[DropperRow, ...]:
    """The longest dropper by saddle height, of sizes where it changes."""
    if not combined or not sizes:
        return ()
    was, now = (_longest(one, sizes, combined[0]) for one in (before, after))
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
