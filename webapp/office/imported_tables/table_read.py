"""Reads a published table into our dimensions: which lines are which, their units, what is not
read.

Sizes may run across or down; the unit is taken from the cell, the heading, or from
what the numbers can be: 43.5 is no reach in millimetres, and one in centimetres.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from webapp.catalogue.schema.frames import DrawnWithData, SizeData
from webapp.catalogue.schema.validation import field_schema
from webapp.common.errors import Invalid
from webapp.common.text.language import tr
from webapp.office.imported_tables.headings import (
    FORK,
    SIZE,
    UNIT_WORDS,
    known_names,
    path_of,
    unit_in,
)
from webapp.office.imported_tables.lines import Rows
from webapp.office.imported_tables.values import read_value

_TO_OURS: Mapping[str, float] = MappingProxyType(
    {"mm": 1.0, "cm": 10.0, "in": 25.4, "deg": 1.0, "kg": 1.0, "g": 0.001, "lb": 0.45359237}
)
_LENGTHS = ("mm", "cm", "in")
_UNIT_NAMES: Mapping[str, str] = MappingProxyType({"cm": tr("centimetres"), "in": tr("inches")})
_MOST_SIZES = 12


@dataclass(frozen=True, kw_only=True)
class Line:
    """One dimension as the table has it: its place, heading, and a text for every size."""

    number: int
    heading: str
    path: str | None
    unit: str
    cells: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class TableRead:
    """What was read.

    Parameters
    ----------
    sizes : tuple of str
        Their names, in the table's order; empty where it names none.
    count : int
        How many sizes there are, named or not.
    values : mapping of path to a value for each size
        In mm, degrees and kg; None where the table has no number.
    headings : mapping of path to the table's own word
    notes : tuple of str
        How units were understood.
    unread : tuple of str
        Lines and cells that were not understood, by number.
    """

    sizes: tuple[str, ...]
    count: int
    values: Mapping[str, tuple[float | None, ...]]
    headings: Mapping[str, str]
    notes: tuple[str, ...]
    unread: tuple[str, ...]


def read_table(rows: Rows, labels: Mapping[str, str] = MappingProxyType({})) -> TableRead:
    """Read a table.

    Parameters
    ----------
    rows : list of list of str
    labels : mapping of path to str
        What the office's grid calls its rows; other names of the trade are known.

    Raises
    ------
    Invalid
        For one in which no dimension is recognised, or with too many sizes.

    Examples
    --------
    >>> read = read_table([["", "S", "M"], ["Reach (cm)", "43", "45,5"], ["HTA", "65°30'", "65.5"]])
    >>> read.sizes, read.values["reach"], read.values["head_angle"]
    (('S', 'M'), (430.0, 455.0), (65.5, 65.5))
    """
    names = known_names(labels)
    width = max((len(row) for row in rows), default=0)
    square = [[*row, *[""] * (width - len(row))] for row in rows]
    turned = [list(column) for column in zip(*square, strict=True)]
    down = max((_known(column, names) for column in turned[:2]), default=0)
    across = max((_known(row, names) for row in square), default=0)
    if max(down, across) == 0:
        remedy = tr("a first line or column of dimensions, such as reach, stack, head angle")
        raise Invalid("table", _words(rows), remedy)
    sizes, lines = _lines(square if down >= across else turned, names)
    if max(len(sizes), *(len(line.cells) for line in lines)) > _MOST_SIZES:
        raise Invalid("table", len(sizes), tr("at most {most} sizes", most=_MOST_SIZES))
    return _read(sizes, lines)


def _words(rows: Rows) -> str:
    """The first column of a table that cannot be read."""
    return ", ".join(row[0] for row in rows if row and row[0])[:80]


def _known(cells: Iterable[str], names: Mapping[str, str]) -> int:
    return sum(path_of(cell, names) not in (None, SIZE) for cell in cells)


def _lines(rows: Rows, names: Mapping[str, str]) -> tuple[tuple[str, ...], list[Line]]:
    """Names of the sizes, and one line a dimension; the headings are in one column."""
    turned = list(zip(*rows, strict=True))
    at = max(range(min(2, len(turned))), key=lambda i: _known(turned[i], names))
    first = next(i for i, row in enumerate(rows) if path_of(row[at], names) not in (None, SIZE))
    units = _unit_column(turned, at, first)
    taken = [i for i in range(at + 1, len(turned)) if i != units]
    head = [rows[first - 1][i] if first else "" for i in taken]
    filled = [
        i for i, place in enumerate(taken) if head[i] or any(row[place] for row in rows[first:])
    ]
    lines = [
        Line(
            number=number,
            heading=row[at],
            path=path_of(row[at], names),
            unit=unit_in(row[at]) or (UNIT_WORDS.get(row[units].casefold(), "") if units else ""),
            cells=tuple(row[taken[i]] for i in filled),
        )
        for number, row in enumerate(rows, start=1)
        if number > first and any(row)
    ]
    named = tuple(head[i] for i in filled)
    return (named if all(named) else ()), lines


def _unit_column(turned: list[tuple[str, ...]], at: int, first: int) -> int | None:
    """A column of units beside the headings."""
    for place in range(at + 1, len(turned)):
        below = [cell.casefold() for cell in turned[place][first:] if cell]
        if below and all(cell in UNIT_WORDS for cell in below):
            return place
    return None


def _read(sizes: tuple[str, ...], lines: list[Line]) -> TableRead:
    known = [line for line in lines if line.path not in (None, SIZE)]
    usual = _usual_unit(known)
    values: dict[str, tuple[float | None, ...]] = {}
    headings: dict[str, str] = {}
    unread = [_stranger(line) for line in lines if line.path is None and line.heading]
    for line in known:
        path = str(line.path)
        if path in values:
            told = tr(
                "line {number}, {heading}: the same as", number=line.number, heading=line.heading
            )
            unread.append(f"{told} {headings[path]}")
            continue
        unit = line.unit or _unit_of(line, usual)
        values[path] = tuple(_value(cell, unit) for cell in line.cells)
        headings[path] = line.heading
        unread += [
            tr("line {number}, {heading}: {text} is no number", number=line.number,
               heading=line.heading, text=cell[:40])
            for cell in line.cells
            if cell.strip(" -–—") and _value(cell, unit) is None
        ]  # fmt: skip
    notes: tuple[str, ...] = ()
    if usual in _UNIT_NAMES:
        notes = (tr("Lengths were read as {unit}.", unit=_UNIT_NAMES[usual]),)
    count = max(len(line.cells) for line in known)
    return TableRead(
        sizes=sizes,
        count=count,
        values=values,
        headings=headings,
        notes=notes,
        unread=tuple(unread),
    )


def _stranger(line: Line) -> str:
    return tr(
        "line {number}, {heading}: no dimension of ours",
        number=line.number,
        heading=line.heading[:60],
    )


def _value(cell: str, unit: str) -> float | None:
    found = read_value(cell)
    if found is None:
        return None
    number, own = found
    used = own or unit or "mm"
    digits = {"in": 1, "deg": 3}.get(used, 4)
    return round(number * _TO_OURS[used], digits)


def _range(path: str) -> tuple[float, float] | None:
    """What a length can be [mm]; none for what is no length."""
    if path == "wheel_radius":
        return 250.0, 420.0
    model = DrawnWithData if path in FORK else SizeData
    schema = field_schema(model, tuple(path.split(".")))
    if schema.get("unit") != "mm":
        return None
    return float(schema["minimum"]), float(schema["maximum"])


def _fitting(line: Line) -> tuple[str, ...]:
    """Units in which every bare number of a line is possible."""
    bounds = _range(str(line.path))
    found = [read_value(cell) for cell in line.cells]
    bare = [one[0] for one in found if one is not None and not one[1]]
    if bounds is None or not bare:
        return ()
    low, high = bounds
    return tuple(u for u in _LENGTHS if all(low <= n * _TO_OURS[u] <= high for n in bare))


def _usual_unit(lines: list[Line]) -> str:
    """The unit most lengths are in, by those that can be in one alone, or that say so."""
    told = [line.unit for line in lines if line.unit in _LENGTHS]
    only = [_fitting(line) for line in lines if not line.unit]
    sure = Counter(told + [units[0] for units in only if len(units) == 1])
    return sure.most_common(1)[0][0] if sure else "mm"


def _unit_of(line: Line, usual: str) -> str:
    """The unit of numbers without a unit."""
    if _range(str(line.path)) is None:
        return "deg" if "angle" in str(line.path) else "kg"
    fitting = _fitting(line)
    return usual if usual in fitting or not fitting else fitting[0]
