"""Table check: does a builder's table agree with itself?

For every size: the drawing's closure; redundant published values against the
computed ones; printed values among themselves; and along the sizes, columns
that should not decrease. Every comparison knows what rounding alone can do, so
that a table is faulted for what is wrong and not for what is short. For each
fault, the values that alone would mend it, and to what.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np

from geometry.checks import Outcome
from geometry.core import (
    DifferentNames,
    GeometryError,
    InvalidInput,
    SomethingGiven,
)
from geometry.glossary import entry
from geometry.verify.remedies import PlaceOfStandover
from geometry.verify.table_check_size import (
    Case,
    DrawnSize,
    What,
    cases,
    kind_of,
    limits,
    relations_of,
    slopes,
)

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

_ROUNDS = 8
_SMALL = 1e-3
_FAR = 150.0
_MENDS = 5


@dataclass(frozen=True, kw_only=True, slots=True)
class Mend:
    """One value that alone would mend a finding.

    Parameters
    ----------
    size : str
        In which size.
    key : str
        Drawn or published value, by its key in the glossary.
    now, then : float [mm, deg]
        As stated, and as it would have to be, to its printed digits.
    leaves : int
        How many other findings of the size would be left.
    """

    size: str
    key: str
    now: float
    then: float
    leaves: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Finding:
    """One comparison of a table, and what would mend it.

    Parameters
    ----------
    size : str
        In which size.
    what : {"closure", "published", "triangle", "order"}
        Which kind of comparison.
    field : str
        The value in question, by its key in the glossary.
    relation : str
        Which relation of `geometry.verify.relations` a triangle is; else empty.
    how_much : float [mm or deg]
        Stated less computed; for closure the drawn front axle above (+) or
        below (−) where the drawn wheels put it; for order the decrease.
    unit : str
        Of ``how_much`` and ``limit``.
    limit : float
        Most that rounding can do.
    outcome : {"clear", "tight", "no"}
        Within what rounding does in 95 of 100 cases; within what it can do;
        beyond.
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
        """The findings whose outcome is not clear."""
        return tuple(one for one in self.compared if one.outcome != "clear")

    @property
    def outcome(self) -> Outcome:
        """The worst outcome of all."""
        found = {one.outcome for one in self.compared}
        return "no" if "no" in found else "tight" if "tight" in found else "clear"

    def closures(self) -> dict[str, Finding]:
        """The closure of each size, by its name."""
        return {one.size: one for one in self.compared if one.what == "closure"}


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
    when ``|g| > Σ |aᵢ| hᵢ``. Source: interval arithmetic of printed digits on
    exact slopes.

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
    orders = _orders(made)
    compared: list[Finding] = []
    for place, case in enumerate(made):
        compared += _of_size(made, place, case)
        compared += [one for one in orders if one.size == case.name]
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


def _of_size(made: Sequence[Case], place: int, case: Case) -> list[Finding]:
    """Every comparison of one size."""
    rows = slopes(case)
    bounds = {name: limits(case, row) for name, row in rows.items()}
    found = []
    for name, gap in case.gaps().items():
        likely, certain = bounds[name]
        outcome = _outcome(gap, likely, certain)
        key = _field(name, case)
        finding = Finding(
            size=case.name,
            what=kind_of(name, case),
            field=key,
            relation=name if kind_of(name, case) == "triangle" else "",
            how_much=gap,
            unit=entry(key).unit,
            limit=certain,
            outcome=outcome,
        )
        if outcome != "clear":
            mends = _mends(made, place, name, rows, bounds)
            finding = replace(finding, mends=mends)
        found.append(finding)
    return found


def _outcome(gap: float, likely: float, certain: float) -> Outcome:
    """Clear, tight or no, by what rounding does and can do."""
    slack = 1e-9
    if not np.abs(gap) <= certain + slack:
        return "no"
    return "tight" if np.abs(gap) > likely + slack else "clear"


def _field(name: str, case: Case) -> str:
    """The value a comparison is about."""
    if name == "closure":
        return "closure_axle"
    if name in case.published:
        return name
    found = relations_of(case.bike, case.published)
    return next(relation.keys[0] for relation in found if relation.name == name)


def _mends(
    made: Sequence[Case],
    place: int,
    name: str,
    rows: Mapping[str, Mapping[str, float]],
    bounds: Mapping[str, tuple[float, float]],
) -> tuple[Mend, ...]:
    """Values of the size that alone would bring a comparison to agree, best first."""
    case, found = made[place], []
    for key, slope in rows[name].items():
        change = _closing(case, name, key, slope)
        if change is None:
            continue
        then = case.rounded(key, case.value(key) + change)
        twin = case.changed(key, then - case.value(key))
        gaps = twin.gaps()
        left = [n for n, gap in gaps.items() if _outcome(gap, *bounds[n]) != "clear"]
        if name not in left:
            leaves = len(left) + _disorder(made, place, twin, key)
            mend = Mend(size=case.name, key=key, now=case.value(key), then=then, leaves=leaves)
            # A published value is a copy of what the drawing gives: doubt the copy first.
            steps = abs(then - mend.now) / case.halves[key]
            found.append(((leaves, key not in case.published, steps), mend))
    return tuple(mend for _, mend in sorted(found, key=lambda one: one[0])[:_MENDS])


def _closing(case: Case, name: str, key: str, slope: float) -> float | None:
    """Change of one value that brings a comparison to 0; ``None`` where none near does."""
    change = 0.0
    if abs(slope) < _SMALL:
        return None
    with np.errstate(invalid="ignore"):
        for _ in range(_ROUNDS):
            try:
                gap = case.changed(key, change).gaps()[name]
            except (GeometryError, KeyError):
                return None
            change -= gap / slope
            if not abs(change) < _FAR:
                return None
    return change


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
        outcome="no",
        mends=mends,
    )


def _disorder(made: Sequence[Case], place: int, twin: Case, key: str) -> int:
    """How many neighbours of a changed value it would be out of order with."""
    if key not in ORDERED:
        return 0
    value = twin.value(key)
    below = place > 0 and key in made[place - 1].halves and made[place - 1].value(key) > value
    above = (
        place + 1 < len(made)
        and key in made[place + 1].halves
        and made[place + 1].value(key) < value
    )
    return int(below) + int(above)
