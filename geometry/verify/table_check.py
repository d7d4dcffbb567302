"""Table check: does a builder's table agree with itself?

For every size: the drawing's closure; redundant published values against the
computed ones; printed values among themselves. Along the sizes: single values
that leave the run of their column, columns that decrease, a size like another, a
size that is missing. Every comparison knows what the printed steps of all its
values together can do, so that a table is faulted for what is wrong and not for
what is short. *No* is what cannot be true however the values were rounded; *tight*
is what hardly is, and a builder may mean it. For each, the values that alone would
mend it, those first that agree best with everything else the table says.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from geometry.checks import Outcome
from geometry.core import (
    DifferentNames,
    GeometryError,
    InvalidInput,
    SomethingGiven,
)
from geometry.glossary import GLOSSARY, entry
from geometry.verify.remedies import PlaceOfStandover
from geometry.verify.table_check_size import Case, DrawnSize, What, cases
from geometry.verify.table_columns import copied_from, doubled_step
from geometry.verify.table_mends import Mend, Table, mends_of, numbers_of
from geometry.verify.table_slips import FAR, Slip, slips

__all__ = ["DrawnSize", "Finding", "Mend", "TableCheck", "check_table"]

ORDERED = (
    "frame.reach",
    "frame.stack",
    "frame.head_tube_length",
    "frame.seat_tube_length",
    "frame.chainstay_length",
    "effective_top_tube",
    "front_centre",
    "wheelbase",
)
"""Columns that should not decrease from one size to the next larger one."""

_SLACK = 1e-9


@dataclass(frozen=True, kw_only=True, slots=True)
class Finding:
    """One comparison of a table, and what would mend it.

    Parameters
    ----------
    size : str
        In which size.
    what : {"closure", "published", "triangle", "slip", "order", "copy", "gap"}
        Which kind of comparison.
    field : str
        The value in question, by its key in the glossary or the name of a further
        column; empty for a copy and a gap.
    relation : str
        Which relation of `geometry.verify.relations` a triangle is; else empty.
    how_much : float [mm or deg]
        Stated less computed, without what the sizes have in common by the rounding
        of what they share; for closure the drawn front axle above (+) or below (−)
        where the drawn wheels put it; for a slip stated less what would agree; for
        order the decrease; 0 for a copy and a gap.
    unit : str
        Of ``how_much`` and ``limit``; empty for further columns.
    limit : float
        Most that rounding can do; for a slip most that is still no accident.
    outcome : {"clear", "tight", "no"}
        Within what rounding does; improbable; beyond what rounding can do.
    beside : str
        The other size of an order, a copy and a gap: the one before.
    mends : tuple of Mend
        Values that alone would mend it, best first; empty when clear, and where
        none would and the size has to be drawn again. For order there are two: this
        size's value, and that of the size before it.
    """

    size: str
    what: What
    field: str
    relation: str
    how_much: float
    unit: str
    limit: float
    outcome: Outcome
    beside: str = ""
    mends: tuple[Mend, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class TableCheck:
    """Every comparison of a table.

    Parameters
    ----------
    compared : tuple of Finding
        By size, in the order given; clear ones too.
    """

    compared: tuple[Finding, ...] = field(default_factory=tuple)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """The findings whose outcome is not clear, single slips first, then the worst."""
        found = [one for one in self.compared if one.outcome != "clear"]
        return tuple(sorted(found, key=_worst_first))

    @property
    def outcome(self) -> Outcome:
        """The worst outcome of all."""
        found = {one.outcome for one in self.compared}
        return "no" if "no" in found else "tight" if "tight" in found else "clear"

    def closures(self) -> dict[str, Finding]:
        """The closure of each size, by its name."""
        return {one.size: one for one in self.compared if one.what == "closure"}


def _worst_first(found: Finding) -> tuple[bool, bool, float]:
    return found.outcome != "no", found.what != "slip", found.limit - abs(found.how_much)


def check_table(sizes: Sequence[DrawnSize]) -> TableCheck:
    """Check a table of sizes for contradictions beyond its own rounding.

    Parameters
    ----------
    sizes : sequence of DrawnSize
        From small to large.

    Returns
    -------
    TableCheck
        Every comparison, with what would mend those that fail.

    Raises
    ------
    InvalidInput
        No sizes, two of one name, or a standover without its place.
    GeometryError
        A size that cannot stand or close at all; its field begins with the
        size's place in the list (``sizes.2.stack``).

    Notes
    -----
    A comparison g with slopes aᵢ by values rounded to ± hᵢ is beyond rounding
    when ``|g − b| > Σ |aᵢ| hᵢ`` over the size's own values, b being what the sizes
    have in common: ``|b| ≤ Σ |aⱼ| hⱼ`` over the values they share. Source: interval
    arithmetic of printed digits on exact slopes. Single slips: `table_slips`.

    Examples
    --------
    >>> from geometry.examples import trail_hardtail
    >>> size = DrawnSize(name="M", frame=trail_hardtail(), published={"wheelbase": 1190.0})
    >>> (finding,) = check_table([size]).findings
    >>> finding.field, round(finding.how_much), finding.outcome
    ('wheelbase', 10, 'no')
    >>> best = finding.mends[0]
    >>> best.key, best.size, best.then, best.now
    ('wheelbase', 'M', 1180.0, 1190.0)
    """
    _check_names(sizes)
    made = _cases(sizes)
    whole = _along(made)
    table = numbers_of(made, at=tuple(float(at) for at in whole.at))
    found = slips(table.joint, leave=whole.copies) if len(made) > 1 else []
    others = (*whole.findings, *_orders(made))
    compared: list[Finding] = []
    for place, case in enumerate(made):
        of_size = _compared(table, place)
        compared += of_size
        compared += [_slipped(table, one, of_size) for one in found if one.place == place]
        compared += [one for one in others if one.size == case.name]
    return TableCheck(compared=tuple(compared))


def _check_names(sizes: Sequence[DrawnSize]) -> None:
    """Refuse an empty table, double names and a standover nobody can compute."""
    if not sizes:
        raise InvalidInput("sizes", "none", SomethingGiven())
    names = [size.name for size in sizes]
    for place, size in enumerate(sizes):
        if size.name in names[:place]:
            raise InvalidInput(f"sizes.{place}.name", size.name, DifferentNames())
        if "standover" in size.published and size.standover_ahead is None:
            raise InvalidInput(f"sizes.{place}.standover_ahead", None, PlaceOfStandover())


def _cases(sizes: Sequence[DrawnSize]) -> list[Case]:
    """The sizes ready to compare; errors name the size they are in."""
    for place, size in enumerate(sizes):
        try:
            cases([size])[0].gaps()
        except GeometryError as error:
            where = f"sizes.{place}.{error.field}"
            raise type(error)(where, error.value, error.remedy, error.index) from error
    return cases(sizes)


def _compared(table: Table, place: int) -> list[Finding]:
    """The closure and every published value of one size."""
    found = []
    for name in table.names_of(place):
        off, likely, certain = table.off(place, name)
        outcome = _outcome(off, likely, certain)
        key, what = table.field(place, name), table.kind(place, name)
        found.append(
            Finding(
                size=table.made[place].name,
                what=what,
                field=key,
                relation=name if what == "triangle" else "",
                how_much=off,
                unit=entry(key).unit,
                limit=certain,
                outcome=outcome,
                mends=() if outcome == "clear" else mends_of(table, place, name),
            )
        )
    return found


def _outcome(gap: float, likely: float, certain: float) -> Outcome:
    """Clear, tight or no, by what rounding does and can do."""
    if not np.abs(gap) <= certain + _SLACK:
        return "no"
    return "tight" if np.abs(gap) > likely + _SLACK else "clear"


def _slipped(table: Table, slip: Slip, of_size: Sequence[Finding]) -> Finding:
    """A value that is wrong beyond chance; outcome no when what follows from it cannot be true."""
    key, size = table.joint.keys[slip.column], table.made[slip.place].name
    upset = {one.field for one in of_size if one.outcome == "no"}
    entered = {table.field(slip.place, name) for name in table.entered(slip.place, key)}
    return Finding(
        size=size,
        what="slip",
        field=key,
        relation="",
        how_much=slip.by,
        unit=entry(key).unit if key in GLOSSARY else "",
        limit=abs(slip.by) * FAR / slip.far,
        outcome="no" if upset & entered else "tight",
        mends=mends_of(table, slip.place, key, slip=slip),
    )


@dataclass(frozen=True)
class _Along:
    """What the sizes say of one another: copies, gaps, and their places along the run."""

    at: tuple[int, ...]
    copies: tuple[int, ...]
    findings: tuple[Finding, ...]


def _along(made: Sequence[Case]) -> _Along:
    """Sizes like another one, and a size that is missing."""
    keys = [key for key in made[0].halves if not key.startswith("drawn_with.")]
    columns = np.array(
        [[case.value(k) if k in case.halves else np.nan for k in keys] for case in made]
    )
    copies = copied_from(columns) if len(made) > 1 else []
    findings = [_whole("copy", made[place], made[other]) for place, other in copies]
    gap = doubled_step(columns)
    at = tuple(range(len(made)))
    if gap is not None:
        findings.append(_whole("gap", made[gap + 1], made[gap]))
        at = tuple(place + (place > gap) for place in at)
    return _Along(at, tuple(place for place, _ in copies), tuple(findings))


def _whole(what: What, size: Case, other: Case) -> Finding:
    """A finding about a whole size."""
    return Finding(
        size=size.name,
        what=what,
        field="",
        relation="",
        how_much=0.0,
        unit="",
        limit=0.0,
        outcome="tight",
        beside=other.name,
    )


def _orders(made: Sequence[Case]) -> list[Finding]:
    """Columns that decrease from one size to the next."""
    found = []
    for before, after in pairwise(made):
        for key in ORDERED:
            if key in before.halves and key in after.halves:
                drop = before.value(key) - after.value(key)
                if drop > 0:
                    found.append(_decrease(before, after, key, drop))
    return found


def _decrease(before: Case, after: Case, key: str, drop: float) -> Finding:
    """A column that decreases, and the two values either of which would mend it."""
    high, low = before.value(key), after.value(key)
    mends = (
        Mend(size=after.name, key=key, now=low, then=high, leaves=0),
        Mend(size=before.name, key=key, now=high, then=low, leaves=0),
    )
    return Finding(
        size=after.name,
        what="order",
        field=key,
        relation="",
        how_much=drop,
        unit=entry(key).unit,
        limit=0.0,
        outcome="tight",
        beside=before.name,
        mends=mends,
    )
