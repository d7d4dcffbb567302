"""Which single value would correct a finding, and to what: those that agree best first.

A mend has to bring the comparison to agree within rounding. Among those that do,
the one is best that everything else of the table speaks for: the other comparisons
of the size, and the run of the column along the sizes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from geometry.core import FloatArray, GeometryError
from geometry.verify.table_check_size import Case, What, kind_of, relations_of, slopes
from geometry.verify.table_columns import DRAWN_UNEVEN, FURTHER_UNEVEN
from geometry.verify.table_slips import (
    FAR,
    Numbers,
    Runs,
    Slip,
    runs_of,
    shared_range,
    statistics,
)

_ROUNDS = 3
_SMALL = 1e-3
_FAR_AWAY = 150.0
_MENDS = 5
_TRIED = 10


@dataclass(frozen=True, kw_only=True, slots=True)
class Mend:
    """One value that alone would mend a finding.

    Parameters
    ----------
    size : str
        In which size.
    key : str
        Drawn or published value, by its key in the glossary, or a further column.
    now, then : float [mm, deg]
        As stated, and as it would have to be, to its printed digits.
    leaves : int
        How many other comparisons of the size would still not be clear.
    """

    size: str
    key: str
    now: float
    then: float
    leaves: int


@dataclass(frozen=True)
class Table:
    """A table ready to be judged: its sizes, all its comparisons, and those told jointly."""

    made: tuple[Case, ...]
    rows: tuple[Mapping[str, Mapping[str, float]], ...]
    every: Numbers
    joint: Numbers
    runs: Runs

    def names_of(self, place: int) -> list[str]:
        """The comparisons of a size."""
        return list(self.rows[place])

    def kind(self, place: int, name: str) -> What:
        """Which kind of comparison a name is."""
        return kind_of(name, self.made[place])

    def field(self, place: int, name: str) -> str:
        """The value a comparison is about."""
        case = self.made[place]
        if name == "closure":
            return "closure_axle"
        if name in case.published:
            return name
        found = relations_of(case.bike, case.published)
        return next(relation.keys[0] for relation in found if relation.name == name)

    def entered(self, place: int, key: str) -> list[str]:
        """The comparisons of a size that a value has a part in."""
        return [name for name, row in self.rows[place].items() if abs(row.get(key, 0.0)) > _SMALL]

    def off(self, place: int, name: str, gap: float | None = None) -> tuple[float, float, float]:
        """How far a comparison is off what the sizes have in common; what rounding likely
        does to it, and most that it can do."""
        r = self.every.names.index(name)
        limits = self.every.own_limits[:, r]
        bound = float(self.every.shared_limits[r])
        low, high = shared_range(self.every.gaps[:, r], limits, bound=bound)
        stated = float(self.every.gaps[place, r]) if gap is None else gap
        shared = float(np.clip(0.0, low, high))
        doubt = abs(float(np.clip(stated, low, high)) - shared)
        certain = float(limits[place])
        likely = min(FAR * float(np.sqrt(self.every.own_variances[place, r])), certain)
        return stated - shared, likely + doubt, certain + doubt

    def off_together(self, name: str) -> bool:
        """Whether most sizes are off by more than the values they share can do."""
        r = self.every.names.index(name)
        gaps, bound = self.every.gaps[:, r], float(self.every.shared_limits[r])
        beyond = np.abs(gaps) > bound + self.every.own_limits[:, r]
        return bool(bound > 0 and 2 * np.sum(beyond) > np.sum(np.isfinite(gaps)))


def numbers_of(made: Sequence[Case], *, at: tuple[float, ...]) -> Table:
    """A table's sizes as arrays.

    Parameters
    ----------
    made : sequence of Case
    at : tuple of float
        Places of the sizes along the run; one size is the unit.

    Returns
    -------
    Table

    Examples
    --------
    >>> from geometry.examples import trail_hardtail
    >>> from geometry.verify.table_check_size import DrawnSize, cases
    >>> size = DrawnSize(name="M", frame=trail_hardtail(), published={"wheelbase": 1180.0})
    >>> numbers_of(cases([size]), at=(0.0,)).joint.names
    ('closure', 'wheelbase')
    """
    rows = [slopes(case) for case in made]
    keys = tuple(dict.fromkeys(key for case in made for key in case.halves))
    names = tuple(dict.fromkeys(name for row in rows for name in row))
    gaps, further = [case.gaps() for case in made], {key for case in made for key in case.further}
    every = Numbers(
        keys=keys,
        names=names,
        values=np.array([[c.value(k) if k in c.halves else np.nan for k in keys] for c in made]),
        halves=np.array([max(c.halves.get(k, 0.0) for c in made) for k in keys]),
        gaps=np.array([[gap.get(name, np.nan) for name in names] for gap in gaps]),
        slopes=np.array([[[r.get(n, {}).get(k, 0.0) for k in keys] for n in names] for r in rows]),
        at=at,
        uneven=tuple(FURTHER_UNEVEN if key in further else DRAWN_UNEVEN for key in keys),
    )
    published = {name for case in made for name in case.published}
    told = np.array([name == "closure" or name in published for name in names])
    # A triangle follows from the published values it holds between: told twice, it weighs twice.
    joint = replace(
        every,
        names=tuple(name for name, one in zip(names, told, strict=True) if one),
        gaps=every.gaps[:, told],
        slopes=every.slopes[:, told],
    )
    return Table(tuple(made), tuple(rows), every, joint, runs_of(joint))


def mends_of(table: Table, place: int, name: str, slip: Slip | None = None) -> tuple[Mend, ...]:
    """Values of a size that alone would mend a finding, best first.

    Parameters
    ----------
    table : Table
    place : int
        Of the size.
    name : str
        A comparison that has to agree afterwards, or for a slip the value's key.
    slip : Slip, optional
        The value that is no accident, which then comes first.

    Returns
    -------
    tuple of Mend
    """
    if slip is None and table.off_together(name):
        return _shared_mends(table, place, name)
    case = table.made[place]
    far, by = statistics(table.joint, place, table.runs)
    found: list[Mend] = []
    for column in _by_agreement(table, place, far, name, slip):
        key = table.joint.keys[column]
        first = slip is not None and slip.column == column
        twin = _changed(table, place, column, -slip.by if slip and first else -float(by[column]))
        if twin is None:
            continue
        then, left = twin
        agrees = (first or abs(far[column]) > FAR) if slip else name not in left
        if agrees and then != case.value(key):
            found.append(
                Mend(size=case.name, key=key, now=case.value(key), then=then, leaves=len(left))
            )
        if len(found) == _MENDS:
            break
    return tuple(found)


def _by_agreement(
    table: Table, place: int, far: FloatArray, name: str, slip: Slip | None
) -> list[int]:
    """Columns that could mend, those first that everything else speaks most clearly against."""
    case = table.made[place]

    def rank(column: int) -> tuple[bool, float, bool]:
        # A published value is a copy of what the drawing gives: doubt the copy first.
        copy = table.joint.keys[column] in case.published
        return slip is None or slip.column != column, -round(abs(far[column]), 1), not copy

    entering = table.rows[place].get(name, {}) if slip is None else None
    could = [
        column
        for column, key in enumerate(table.joint.keys)
        if key in case.halves and (entering is None or abs(entering.get(key, 0.0)) > _SMALL)
    ]
    return sorted(could, key=rank)[:_TRIED]


def _shared_mends(table: Table, place: int, name: str) -> tuple[Mend, ...]:
    """Values that the sizes share, either of which would mend them all; the least change first."""
    case, found = table.made[place], []
    off, _, _ = table.off(place, name)
    shared = table.every.shared[place]
    for column, key in enumerate(table.every.keys):
        slope = table.rows[place][name].get(key, 0.0)
        if shared[column] and abs(slope) > _SMALL and key in case.halves:
            change = -off / slope
            then = case.rounded(key, case.value(key) + change)
            steps = abs(change) / case.halves[key]
            mend = Mend(size=case.name, key=key, now=case.value(key), then=then, leaves=0)
            found.append((steps, mend))
    return tuple(mend for _, mend in sorted(found, key=lambda one: one[0])[:_MENDS])


def _changed(
    table: Table, place: int, column: int, change: float
) -> tuple[float, list[str]] | None:
    """A value as it would have to be, and the comparisons that are then left; none if far away."""
    case, key, numbers = table.made[place], table.joint.keys[column], table.joint
    if key not in case.halves or change == 0.0:
        return None
    with np.errstate(invalid="ignore"):
        for _ in range(_ROUNDS):
            try:
                gaps = case.changed(key, change).gaps()
            except (GeometryError, KeyError):
                return None
            if key in case.published:
                change -= table.off(place, key, gaps[key])[0]
                break
            turned, values = numbers.gaps.copy(), numbers.values.copy()
            turned[place] = [gaps.get(name, np.nan) for name in numbers.names]
            values[place, column] = case.value(key) + change
            again = replace(numbers, gaps=turned, values=values)
            _, by = statistics(again, place, table.runs)
            change -= float(by[column])
            if not abs(change) < _FAR_AWAY:
                return None
        then = case.rounded(key, case.value(key) + change)
        gaps = case.changed(key, then - case.value(key)).gaps()
    left = [name for name, gap in gaps.items() if not _agrees(table, place, name, gap)]
    return then, left


def _agrees(table: Table, place: int, name: str, gap: float) -> bool:
    off, likely, _ = table.off(place, name, gap)
    return abs(off) <= likely + 1e-9
