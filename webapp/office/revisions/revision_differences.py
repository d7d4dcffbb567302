"""Two revisions compared, drawn number by drawn number, and the changelog in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from webapp.catalogue.reading.trade_names import NO_NAMES, TradeNames
from webapp.catalogue.schema.fields import Data
from webapp.catalogue.schema.frames import DIMENSIONS, RevisionData, SizeData
from webapp.common.text.language import tr
from webapp.common.text.sentences import capitalized
from webapp.common.text.units import number, with_unit
from webapp.office.forms.data_form import form_of
from webapp.office.forms.field import DataField, DataGroup
from webapp.office.revisions.drafts import RevisionContent, SizeContent
from webapp.office.revisions.size_grid import PATHS, label_of, unit_of, value_at

NONE = tr("none")
"""How an empty piece of data is printed."""

ALL_SIZES = tr("all sizes")
"""The key of changes that concern no single size."""


@dataclass(frozen=True, kw_only=True)
class NumberChange:
    """One number of one size in both revisions; None where one has none or cannot stand."""

    size: str
    size_name: str
    before: float | None
    after: float | None

    @property
    def change(self) -> float | None:
        """After less before; None when either is missing [mm, deg, kg]."""
        if self.before is None or self.after is None:
            return None
        return round(self.after - self.before, 9)  # without the noise of binary decimals


@dataclass(frozen=True, kw_only=True)
class DrawnRow:
    """One dimension in every size of either revision."""

    path: str
    label: str
    unit: str
    changes: tuple[NumberChange, ...]

    @property
    def changed(self) -> bool:
        """Whether any size differs."""
        return any(one.before != one.after for one in self.changes)


@dataclass(frozen=True, kw_only=True)
class WordChange:
    """One other piece of data that differs: where, what it is called, as text."""

    where: str
    label: str
    before: str
    after: str


@dataclass(frozen=True, kw_only=True)
class Differences:
    """Everything that differs between two revisions as drawn."""

    added: tuple[str, ...]
    removed: tuple[str, ...]
    rows: tuple[DrawnRow, ...]
    others: tuple[WordChange, ...]


def differences(
    before: RevisionContent, after: RevisionContent, *, called: TradeNames = NO_NAMES
) -> Differences:
    """Compare two revisions as drawn.

    Parameters
    ----------
    before, after : RevisionContent
        Of one model, in either order of their numbers.
    called : TradeNames
        What codes are called.
    """
    old = {size.slug: size for size in before.sizes}
    new = {size.slug: size for size in after.sizes}
    order = list(dict.fromkeys([*new, *old]))
    return Differences(
        added=tuple(new[slug].name for slug in new if slug not in old),
        removed=tuple(old[slug].name for slug in old if slug not in new),
        rows=tuple(_row(path, order, old, new) for path in PATHS),
        others=(
            *_words(ALL_SIZES, RevisionData, before.raw, after.raw, called=called),
            *(
                change
                for slug in order
                if slug in old and slug in new
                for change in _size_words(old[slug], new[slug], called)
            ),
        ),
    )


def _row(
    path: str, order: list[str], old: Mapping[str, SizeContent], new: Mapping[str, SizeContent]
) -> DrawnRow:
    return DrawnRow(
        path=path,
        label=label_of(path),
        unit=unit_of(path),
        changes=tuple(
            NumberChange(
                size=slug,
                size_name=(new.get(slug) or old[slug]).name,
                before=value_at(old[slug].raw, path) if slug in old else None,
                after=value_at(new[slug].raw, path) if slug in new else None,
            )
            for slug in order
        ),
    )


def _size_words(
    before: SizeContent, after: SizeContent, called: TradeNames
) -> tuple[WordChange, ...]:
    found = _words(
        tr("size {name}", name=after.name),
        SizeData,
        before.raw,
        after.raw,
        leave_out=PATHS,
        called=called,
    )
    if before.name != after.name:
        return (WordChange(where="names", label=after.slug, before=before.name, after=after.name),
                *found)  # fmt: skip
    return found


def _words(
    where: str,
    model: type[Data],
    before: Mapping[str, Any],
    after: Mapping[str, Any],
    *,
    leave_out: tuple[str, ...] = (),
    called: TradeNames,
) -> tuple[WordChange, ...]:
    old, new = (_labelled(form_of(model, raw, called=called)) for raw in (before, after))
    found = []
    for path in dict.fromkeys([*new, *old]):
        (old_label, was), (label, now) = (one.get(path, ("", NONE)) for one in (old, new))
        if path not in leave_out and was != now:
            named = old_label if now == NONE else label
            found.append(WordChange(where=where, label=named, before=was, after=now))
    return tuple(found)


def _labelled(group: DataGroup, under: str = "") -> dict[str, tuple[str, str]]:
    """Every field by its path: what it is called in its groups, and its value with unit."""
    own = _small(group.label)
    again = own.startswith(under) if under else True
    here = own or under if again else f"{under}, {own}"
    found = {field.name: (_called(field, here), _shown(field)) for field in group.fields}
    for inner in group.groups:
        found |= _labelled(inner, here)
    return found


def _called(field: DataField, under: str) -> str:
    return f"{under}: {_small(field.label)}" if under else field.label


def _small(label: str) -> str:
    return label if label[:2].isupper() else label[:1].lower() + label[1:]


def _shown(field: DataField) -> str:
    value = field.words.replace("\n", ", ")
    return f"{value} {field.unit}".strip() if value else NONE


# --- in words --------------------------------------------------------------------

_COMPARED: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        **{each.key: (each.drawn.more, each.drawn.less) for each in DIMENSIONS},
        "top_tube.along_seat_tube": (tr("higher"), tr("lower")),
        "top_tube.below_head_tube_top": (tr("lower"), tr("higher")),
        "top_tube.diameter": (tr("thicker"), tr("thinner")),
        "post.depth": (tr("deeper"), tr("shallower")),
        "post.boss_depth": (tr("deeper"), tr("shallower")),
        "mass": (tr("heavier"), tr("lighter")),
    }
)


def changelog(found: Differences) -> str:
    """What changed, in sentences a customer can read; empty when nothing did.

    Parameters
    ----------
    found : Differences

    Returns
    -------
    str
        One sentence a line.
    """
    lines = [tr("New size {name}.", name=name) for name in found.added]
    lines += [tr("Size {name} is no longer made.", name=name) for name in found.removed]
    lines += [_sentence(row) for row in found.rows if _known(row)]
    alike: dict[tuple[str, str, str], list[str]] = {}
    for one in found.others:
        alike.setdefault((one.label, one.before, one.after), []).append(one.where)
    lines += [
        _value_changed(capitalized(label), before, after, where)
        for (label, before, after), where in alike.items()
    ]
    return "\n".join(lines)


def _value_changed(label: str, before: str, after: str, where: Sequence[str]) -> str:
    if where[0] == ALL_SIZES:
        return tr("{label}: {after} instead of {before}.", label=label, after=after, before=before)
    return tr(
        "{label}: {after} instead of {before} (size {sizes}).",
        label=label,
        after=after,
        before=before,
        sizes=", ".join(one.removeprefix("size ") for one in where),
    )


def _known(row: DrawnRow) -> list[NumberChange]:
    return [one for one in row.changes if one.change]


def _sentence(row: DrawnRow) -> str:
    changed = _known(row)
    alike = {(one.before, one.after) for one in changed}
    kept = [one for one in row.changes if one.change == 0]
    if len(alike) == 1 and not kept:
        before, after = alike.pop()
        now = with_unit(_plain(after or 0), row.unit)
        return tr(
            "{label} {now} instead of {plain}.", label=row.label, now=now, plain=_plain(before or 0)
        )
    grown = [one for one in changed if (one.change or 0) > 0]
    parts = [
        _part(some, row, words, every=not kept and len(some) == len(changed))
        for some, words in ((grown, 0), ([c for c in changed if c not in grown], 1))
        if some
    ]
    return f"{row.label} {'; '.join(parts)}."


def _part(some: list[NumberChange], row: DrawnRow, word: int, *, every: bool) -> str:
    sizes = sorted(abs(one.change or 0) for one in some)
    low, high = _plain(sizes[0]), with_unit(_plain(sizes[-1]), row.unit)
    amount = high if sizes[0] == sizes[-1] else tr("{low} to {high}", low=low, high=high)
    words = _COMPARED[row.path][word]
    if every:
        return tr("{amount} {longer} in every size", amount=amount, longer=words)
    sizes_named = ", ".join(one.size_name for one in some)
    return tr("{amount} {longer} in {sizes}", amount=amount, longer=words, sizes=sizes_named)


def _plain(value: float) -> str:
    places = 2 if abs(value - round(value, 1)) > 1e-9 else 1  # noqa: PLR2004
    return number(value, places if value % 1 else 0)
