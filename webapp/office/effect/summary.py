"""What an edit changes, before it is published, in every build that can be ordered."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.core import FloatArray
from webapp.builds.choice.build_choice import address_of
from webapp.builds.choice.places import PLACE_OF
from webapp.builds.fitting.checks import label_of
from webapp.catalogue.reading.views import Catalogue
from webapp.common.text.glossary import entry
from webapp.common.text.language import tr
from webapp.common.text.sentences import capitalized, sentence
from webapp.office.effect.combined import alike, combined_with, grids
from webapp.office.effect.droppers import DropperRow, droppers
from webapp.office.effect.figures import Changes, figure_changes
from webapp.office.effect.orderable_builds import (
    SHARES,
    Combination,
    Judged,
    Key,
    Place,
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
"""Figures reported, in this order."""

ROOM = "tyre.rear.gap"
STANDS = "stands"
"""Stands for the question whether the parts of a build can stand together at all."""
_STEPS = {"°": (0.1, 0.5), "mm": (1.0, 5.0)}
_SMALLEST = {"°": 0.005, "mm": 0.05}
_MOST_LISTED = 12


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
class Effect:
    """What a revision changes of every build that can be ordered.

    Parameters
    ----------
    builds : int
        How many builds were looked at, in either revision.
    before, after, both : int
        How many can be ordered in one revision, in the other, in both.
    figures : tuple of FigureEffect
        Those that change, the largest change first.
    flips : tuple of Flip
        Builds lost first.
    droppers : tuple of DropperRow
    only_before, only_after : tuple of str
        Sizes that only one of the two has.
    gone, come : tuple of (str, int)
        Forks and parts that only one of the two offers, and how many builds that could be
        ordered there stand on them.
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
    gone: tuple[tuple[str, int], ...]
    come: tuple[tuple[str, int], ...]

    @property
    def lost(self) -> int:
        """How many builds can be ordered no longer."""
        return self.before - self.both

    @property
    def won(self) -> int:
        """How many can be ordered that could not before."""
        return self.after - self.both

    @property
    def before_names(self) -> str:
        """Sizes that go, in a row."""
        return ", ".join(self.only_before)

    @property
    def after_names(self) -> str:
        """Sizes that come, in a row."""
        return ", ".join(self.only_after)


def effect_of(
    before: Catalogue, after: Catalogue, changed: Sequence[tuple[str, str]] = ()
) -> Effect:
    """Compare every build of two revisions of one model, or of one with other parts.

    Parameters
    ----------
    before, after : Catalogue
        As it is published, and as it would be.
    changed : sequence of (kind, slug)
        Parts to look at wherever they can stand, besides the usual ones; at most
        `MOST_PARTS` of them are.

    Returns
    -------
    Effect
    """
    own, other = (combined_with(each, changed) for each in (before, after))
    own = alike(own, other, before)
    old, new = judge_all(before, own), judge_all(after, other)
    sizes = [s.slug for s in after.sizes if s.slug in {size.slug for size in before.sizes}]
    shared = [place for place in new if place in old]
    counted = [p for p in shared if old[p].can_be_ordered or new[p].can_be_ordered]
    room = _room(counted, old, new, before)
    figures = [*_figures((before, after), sizes, (own, other), counted, old), *room]
    return Effect(
        builds=len(old.keys() | new.keys()),
        before=sum(one.can_be_ordered for one in old.values()),
        after=sum(one.can_be_ordered for one in new.values()),
        both=sum(old[p].can_be_ordered and new[p].can_be_ordered for p in shared),
        figures=tuple(sorted((f for f in figures if any(f.counts[1:])), key=_largest_first)),
        flips=_flips(counted, old, new, before),
        droppers=droppers(before, after, sizes, (own, other)),
        only_before=tuple(s.name for s in before.sizes if s.slug not in sizes),
        only_after=tuple(s.name for s in after.sizes if s.slug not in sizes),
        gone=_only(old, new, before, sizes),
        come=_only(new, old, after, sizes),
    )


def _only(
    judged: Mapping[Place, Judged],
    other: Mapping[Place, Judged],
    catalogue: Catalogue,
    sizes: Sequence[str],
) -> tuple[tuple[str, int], ...]:
    """Builds that exist in one catalogue only, by their fork or changed part."""
    counts: Counter[str] = Counter()
    for place, one in judged.items():
        if place not in other and place.size in sizes and one.can_be_ordered:
            counts[_on(place.of, catalogue)] += 1
    return tuple(counts.most_common())


def _on(key: Key, catalogue: Catalogue) -> str:
    """The fork or the part by which a combination is named."""
    at, _, slug = key[2].partition("/")
    kind = PLACE_OF[at].kind if at else "fork"
    return catalogue.part(kind, slug or key[0]).name


def _largest_first(effect: FigureEffect) -> float:
    """Changes of different units, compared in steps of each figure."""
    return -max(abs(effect.least), abs(effect.most)) / effect.steps[1]


# --- figures ---------------------------------------------------------------------


def _figures(
    catalogues: tuple[Catalogue, Catalogue],
    sizes: list[str],
    combined: tuple[Sequence[Combination], Sequence[Combination]],
    counted: Sequence[Place],
    old: Mapping[Place, Judged],
) -> Iterator[FigureEffect]:
    """Of the builds that both have: every fork on every pair of wheels, and parts looked at."""
    own, other = ({one.key: one for one in each} for each in combined)
    groups = grids([key for key in other if key in own])
    found: dict[str, list[FloatArray]] = {key: [] for key in FIGURES}
    places: list[Place] = []
    for keys in groups:
        at = {key: i for i, key in enumerate(keys)}
        here = [place for place in counted if place.of in at]
        if not here:
            continue
        forks = list(dict.fromkeys(key[0] for key in keys))
        pairs = len(keys) // len(forks)
        both = ([own[key] for key in keys], [other[key] for key in keys])
        changes: Changes = figure_changes(*catalogues, sizes, forks, both)
        axes = [(sizes.index(p.size), at[p.of] // pairs, at[p.of] % pairs, p.share) for p in here]
        index = tuple(np.array(axes).T)
        places += here
        for key in FIGURES:
            found[key].append(_widest(changes.of(key)[index]))
    for key in FIGURES if places else ():
        yield _effect(_named(key), np.concatenate(found[key]), places, old, catalogues[0])


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
        if old[place].stands != new[place].stands:
            was_there = old[place].stands
            key = (STANDS, "clear" if was_there else "no", "no" if was_there else "clear")
            counts[key] += 1
            where.setdefault(key, []).append(place)
        for code in old[place].checks.keys() & new[place].checks.keys():
            was, now = old[place].checks[code].outcome, new[place].checks[code].outcome
            if was != now and "no" in (was, now):
                key = (code, was or "unknown", now or "unknown")
                counts[key] += 1
                where.setdefault(key, []).append(place)
    ordered = sorted(counts, key=lambda key: (key[2] != "no", -counts[key], key[0]))
    return tuple(
        Flip(
            label=_label(code),
            before=was,
            after=now,
            count=counts[code, was, now],
            reason=_reason(new[where[code, was, now][0]], code),
            builds=tuple(_ref(p, old, catalogue) for p in where[code, was, now][:_MOST_LISTED]),
        )
        for code, was, now in ordered
    )


def _label(code: str) -> str:
    return capitalized(tr("standing at all") if code == STANDS else label_of(code))


def _reason(judged: Judged, code: str) -> str:
    check = judged.checks.get(code)
    return sentence(check.reason) if check else ""


def _ref(place: Place, judged: Mapping[Place, Judged], catalogue: Catalogue) -> BuildRef:
    choice = judged[place].choice
    fork = catalogue.part("fork", choice.part("fork")).name
    tyre = catalogue.part("tyre", choice.part("tyre_rear")).name
    also = place.of[2]
    axle = {0.0: tr("axle forward"), 0.5: tr("axle midway"), 1.0: tr("axle back")}[
        SHARES[place.share]
    ]
    slot = catalogue.size(place.size).data.slot_length
    words = tr(
        "{name}, {fork}, {tyre} behind", name=catalogue.size(place.size).name, fork=fork, tyre=tyre
    )
    if also:
        at, _, slug = also.partition("/")
        part = catalogue.part(PLACE_OF[at].kind, slug).name
        words = tr("{build}, {place}: {part}", build=words, place=PLACE_OF[at].label, part=part)
    return BuildRef(
        words=f"{words}, {axle}" if slot else words,
        address=address_of(choice),
    )
