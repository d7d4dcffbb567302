"""Shares of people and how a draft changes them, in rows for the office's tables."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.population import (
    Coverage,
    GroupShift,
    Served,
    Shift,
    coverage,
    shift,
    shifts_by_group,
)
from webapp.common.text.language import in_own_signs, tr
from webapp.common.text.units import signed_number

BANDS = np.arange(1300.0, 2251.0, 50.0)
"""Edges of the bands of stature that people are counted by [mm]."""

_FEWEST = 0.002
_NOTICED = 0.0005
_MOST_GROUPS = 12


@dataclass(frozen=True, kw_only=True)
class ShareRow:
    """One share of people, in 100, before and after; ``change`` is empty without a draft."""

    name: str
    before: str
    after: str
    change: str

    @property
    def change_shown(self) -> str:
        """The change, where there is a draft."""
        return self.change or "0"

    @property
    def moved(self) -> bool:
        """Whether a draft changes it."""
        return bool(self.after and self.change)

    @property
    def shown(self) -> str:
        """What it is now, or was; a size that neither has shows a dash."""
        return self.after or self.before or "–"


@dataclass(frozen=True, kw_only=True)
class SizeRow:
    """One size: whom it fits as sold, with changes, who is named it, where it overlaps."""

    size: str
    as_sold: ShareRow
    with_changes: ShareRow
    named: ShareRow
    with_next: ShareRow


@dataclass(frozen=True, kw_only=True)
class BandRow:
    """Men or women in one band of stature: shares of them in 100."""

    who: str
    people: str
    as_sold: str
    with_changes: str
    nobody: str


@dataclass(frozen=True, kw_only=True)
class GroupRow:
    """What a draft does to men or women of nearly one stature: shares of them in 100."""

    who: str
    people: str
    other_size: str
    gained: str
    lost: str
    reached: str
    given_up: str


@dataclass(frozen=True, kw_only=True)
class PeopleEffect:
    """How a draft changes which sizes fit people.

    Parameters
    ----------
    verdict : str
        In one sentence, of all people.
    groups : tuple of GroupRow
        Who loses most first; groups that nothing happens to are left out.
    """

    verdict: str
    groups: tuple[GroupRow, ...]


def share_rows(before: Coverage, after: Coverage | None) -> tuple[ShareRow, ...]:
    """Shares of people by how sizes fit them, before and after."""
    names = (
        ("one", tr("One size fits as sold")),
        ("several", tr("Two sizes fit as sold")),
        ("with_changes", tr("Fits with changes only")),
        ("nobody", tr("No size fits")),
    )
    return tuple(_row(words, key, before, after) for key, words in names)


def size_rows(before: Coverage, after: Coverage | None) -> tuple[SizeRow, ...]:
    """The same by size; a size that only one of the two has stands with the other empty."""
    old = {size.size: size for size in before.sizes}
    new = {size.size: size for size in after.sizes} if after else {}
    return tuple(
        SizeRow(
            size=name,
            **{
                key: _row(name, key, old.get(name), new.get(name) if after else None)
                for key in ("as_sold", "with_changes", "named", "with_next")
            },
        )
        for name in dict.fromkeys([*old, *new])
    )


def _row(words: str, key: str, before: object | None, after: object | None) -> ShareRow:
    was = None if before is None else float(getattr(before, key))
    now = None if after is None else float(getattr(after, key))
    risen = 0.0 if was is None or now is None else round(100.0 * (now - was), 1)
    change = signed_number(risen) if risen else ""
    return ShareRow(name=words, before=_percent(was), after=_percent(now), change=change)


def _percent(share: float | None) -> str:
    return "" if share is None else in_own_signs(f"{100.0 * share:.1f}")


def band_rows(served: Served) -> tuple[BandRow, ...]:
    """Men and women by stature, those least served first."""
    bodies, men = served.people.bodies, served.people.men
    band = np.searchsorted(BANDS, bodies["stature"], side="right") - 1
    found = []
    for sex in (True, False):
        for i in range(len(BANDS) - 1):
            covered = coverage(served, (men == sex) & (band == i))
            if covered.people >= _FEWEST:
                words = who(men=sex, low=float(BANDS[i]), high=float(BANDS[i + 1]))
                found.append((covered, words))
    return tuple(
        BandRow(
            who=words,
            people=_percent(covered.people),
            as_sold=_percent(covered.as_sold),
            with_changes=_percent(covered.with_changes),
            nobody=_percent(covered.nobody),
        )
        for covered, words in sorted(found, key=lambda pair: -pair[0].nobody)
    )


def who(*, men: bool, low: float, high: float) -> str:
    """Men or women of a band of stature [mm]."""
    if men:
        return tr("Men, {low:.0f} to {high:.0f} mm", low=low, high=high)
    return tr("Women, {low:.0f} to {high:.0f} mm", low=low, high=high)


def people_effect(before: Served, after: Served) -> PeopleEffect:
    """What a draft does to people, by sex and stature.

    Parameters
    ----------
    before, after : Served
        Of the very same people.

    Returns
    -------
    PeopleEffect
    """
    groups = shifts_by_group(before, after, statures=BANDS)
    touched = [group for group in groups if _touched(group.shift)]
    return PeopleEffect(
        verdict=_verdict(shift(before, after)),
        groups=tuple(_group(group) for group in touched[:_MOST_GROUPS]),
    )


def _verdict(found: Shift) -> str:
    return tr(
        "Of 100 people {other_size:.1f} are advised another size, {gained:.1f} gain a size that "
        "fits as sold and {lost:.1f} lose it; {reached:.1f} had no size that fits and get one, "
        "and {given_up:.1f} had one and lose it.",
        other_size=100.0 * found.other_size,
        gained=100.0 * found.gained,
        lost=100.0 * found.lost,
        reached=100.0 * found.reached,
        given_up=100.0 * found.given_up,
    )


def _touched(found: Shift) -> bool:
    moved = found.other_size + found.gained + found.lost + found.reached + found.given_up
    return found.people * moved >= _NOTICED


def _group(found: GroupShift) -> GroupRow:
    low, high = found.stature
    moved = found.shift
    return GroupRow(
        who=who(men=found.men, low=low, high=high),
        people=_percent(moved.people),
        other_size=_percent(moved.other_size),
        gained=_percent(moved.gained),
        lost=_percent(moved.lost),
        reached=_percent(moved.reached),
        given_up=_percent(moved.given_up),
    )
