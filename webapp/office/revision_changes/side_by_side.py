"""Two revisions side by side: every size as drawn, and every size of one build as it stands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any

from sqlmodel import Session

from webapp.builds.choice.build_choice import BuildChoice, Query, pairs_of, read_choice
from webapp.builds.page.figure_rows import KEYS, printed
from webapp.catalogue.reading.load import load_catalogue, trade_names
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import Conflict, Invalid, NotFound, Problem
from webapp.common.text.glossary import entry
from webapp.common.text.language import tr
from webapp.common.text.units import signed_number
from webapp.geometry_table.geometry_table import table_of
from webapp.office.revisions.drafts import RevisionContent, read_revision
from webapp.office.revisions.revision_differences import (
    Differences,
    NumberChange,
    changelog,
    differences,
)

CHOSEN = ("fork", "tyre_front", "tyre_rear", "headset", "slot", "size")


@dataclass(frozen=True, kw_only=True)
class StandingRow:
    """One figure in every size of both revisions."""

    key: str
    name: str
    unit: str
    changes: tuple[NumberChange, ...]

    @property
    def changes_at_all(self) -> bool:
        """Whether any size changes by as much as is printed."""
        least = 0.5 * 10.0 ** -entry(self.key).decimals
        return any(
            one.before != one.after if one.change is None else abs(one.change) >= least
            for one in self.changes
        )

    def shown(self) -> tuple[tuple[str, str, str], ...]:
        """Before, after and change of each size, printed."""
        places = entry(self.key).decimals
        return tuple(
            (
                "–" if one.before is None else printed(self.key, one.before),
                "–" if one.after is None else printed(self.key, one.after),
                "" if one.change is None else signed_number(one.change, places),
            )
            for one in self.changes
        )


@dataclass(frozen=True, kw_only=True)
class RevisionChanges:
    """Everything that differs between two revisions of a model."""

    before: RevisionContent
    after: RevisionContent
    drawn: Differences
    words: str
    choice: BuildChoice
    standing: tuple[StandingRow, ...]
    problems: tuple[Problem, ...]


def changes_between(
    session: Session,
    model: str,
    numbers: tuple[int, int],
    query: Query,
    *,
    drafts: bool = False,
) -> RevisionChanges:
    """Put two revisions of a model side by side.

    Parameters
    ----------
    session : Session
        A reading session.
    model : str
        The model's slug.
    numbers : (int, int)
        The revision compared from, and the one compared to.
    query : mapping
        Fields of a build's address: fork, tyres, axle position; what is left
        out is the builder's usual choice. The same parts are used in both.
    drafts : bool
        Whether a draft may be looked at.

    Returns
    -------
    RevisionChanges

    Raises
    ------
    NotFound
        For an unknown model or revision, or a draft without ``drafts``.
    """
    before, after = (read_revision(session, model, number) for number in numbers)
    for revision in (before, after):
        if revision.is_draft and not drafts:
            remedy = tr("a published one; this one is still a draft")
            raise NotFound("revision", revision.number, remedy)
    old, new = (load_catalogue(session, model, n, drafts=drafts) for n in numbers)
    read = read_choice(new, {name: v for name, v in query.items() if name in CHOSEN})
    found = differences(before, after, called=trade_names(session))
    return RevisionChanges(
        before=before,
        after=after,
        drawn=found,
        words=changelog(found),
        choice=read.choice,
        standing=standing((old, read.choice), (new, read.choice)),
        problems=read.problems,
    )


def standing(
    old: tuple[Catalogue, BuildChoice], new: tuple[Catalogue, BuildChoice]
) -> tuple[StandingRow, ...]:
    """Every size's figures in one build of each of two catalogues, unloaded."""
    was, now = _figures(*old), _figures(*new)
    slugs = list(dict.fromkeys([*now, *was]))
    names = {size.slug: size.name for each, _ in (old, new) for size in each.sizes}
    return tuple(
        StandingRow(
            key=key,
            name=entry(key).name,
            unit=entry(key).unit,
            changes=tuple(
                NumberChange(
                    size=slug,
                    size_name=names[slug],
                    before=was[slug].get(key) if slug in was else None,
                    after=now[slug].get(key) if slug in now else None,
                )
                for slug in slugs
            ),
        )
        for key in KEYS
    )


def _figures(catalogue: Catalogue, choice: BuildChoice) -> dict[str, Mapping[str, float]]:
    """Every size's figures in one build, unloaded; an axle position ends where the slot does."""
    found = {}
    for size in catalogue.sizes:
        own = replace(
            choice,
            revision=catalogue.revision.number,
            size=size.slug,
            slot=min(choice.slot, size.data.slot_length),
        )
        one = _of_one_size(catalogue, size.slug)
        try:
            (column,) = table_of(one, own)
        except (Invalid, Conflict):
            continue
        found[size.slug] = column.states["unloaded"]
    return found


def _of_one_size(catalogue: Catalogue, slug: str) -> Catalogue:
    """The same catalogue with one size alone."""
    return replace(catalogue, sizes=(catalogue.size(slug),))


def as_data(found: RevisionChanges) -> dict[str, Any]:
    """The same as plain data, unrounded; lengths [mm], angles [degrees]."""
    return {
        "model": found.after.model,
        "from": _revision(found.before),
        "to": _revision(found.after),
        "changelog": found.words.splitlines(),
        "sizes_added": list(found.drawn.added),
        "sizes_removed": list(found.drawn.removed),
        "drawn": [
            {
                "dimension": row.path,
                "unit": row.unit,
                "sizes": [
                    {"size": o.size, "before": o.before, "after": o.after, "change": o.change}
                    for o in row.changes
                ],
            }
            for row in found.drawn.rows
        ],
        "other": [asdict(one) for one in found.drawn.others],
        "build": dict(pairs_of(found.choice)),
        "standing": [
            {
                "figure": row.key,
                "unit": row.unit,
                "sizes": [
                    {"size": o.size, "before": o.before, "after": o.after, "change": o.change}
                    for o in row.changes
                ],
            }
            for row in found.standing
        ],
    }


def _revision(revision: RevisionContent) -> dict[str, Any]:
    return {
        "revision": revision.number,
        "state": revision.state,
        "published_on": revision.published_on.isoformat() if revision.published_on else None,
    }
