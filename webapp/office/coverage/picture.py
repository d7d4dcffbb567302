"""A drawing of statures and leg lengths: which size people get, and where sizes meet.

People of nearly one stature and leg length are one mark, large where there are many of them.
The kind of mark says what most of them get; lines part the sizes that are named to them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from markupsafe import Markup

from geometry.population import Cell, Served, cells
from geometry.sizing import NONE
from webapp.common.text.language import tr
from webapp.drawing.points import Point
from webapp.drawing.svg_sheet import Frame, Pens, Sheet

STATURE_STEP, LEG_STEP = 25.0, 20.0
STATURES = np.arange(1300.0, 2226.0, STATURE_STEP)
LEGS = np.arange(540.0, 1101.0, LEG_STEP)
SHOWN = (1450.0, 1975.0, 660.0, 980.0)
"""The part of statures and leg lengths that is drawn [mm]: all but about 1 in 100 people."""

_WIDE, _HIGH = 60.0, 60.0
_LARGEST = 27.0
_FEWEST = 0.0004
_FULL, _COMPACT = 0.85, 1.35

Mark = Literal["one", "several", "changes", "nobody"]


@dataclass(frozen=True, kw_only=True)
class CoveragePicture:
    """The drawing for a wide and for a narrow sheet, and the same in words."""

    full: Markup
    compact: Markup
    words: str


def coverage_picture(served: Served, *, title: str, name: str) -> CoveragePicture:
    """Draw whom sizes serve.

    Parameters
    ----------
    served : Served
    title : str
        What is drawn.
    name : str
        Makes the drawing's ids unlike those of others on the page.

    Returns
    -------
    CoveragePicture
    """
    found = [cell for cell in cells(served, statures=STATURES, legs=LEGS) if _drawn(cell)]
    words = tr(
        "Marks on a field of heights, from left to right, and leg lengths, upwards. A mark "
        "stands for people of nearly the same measures and is large where there are many. One "
        "ring: one size fits most of them as sold; two rings: two sizes do; a dashed ring: only "
        "with changes; a cross: none. Lines part the sizes named to them: {sizes}.",
        sizes=", ".join(served.sizes),
    )
    full, compact = (
        _drawing(found, served.sizes, title, words, f"{name}-{way}", unit, f"drawing-{way}")
        for way, unit in (("full", _FULL), ("compact", _COMPACT))
    )
    return CoveragePicture(full=full, compact=compact, words=words)


def mark_of(cell: Cell) -> Mark:
    """What most people of a cell get."""
    found = cell.covered
    shares: dict[Mark, float] = {
        "one": found.one,
        "several": found.several,
        "changes": found.with_changes,
        "nobody": found.nobody,
    }
    return max(shares, key=lambda mark: shares[mark])


def _drawn(cell: Cell) -> bool:
    left, right, low, high = SHOWN
    inside = left <= cell.stature[0] < right and low <= cell.leg[0] < high
    return inside and cell.people >= _FEWEST


def _drawing(
    found: Sequence[Cell],
    sizes: tuple[str, ...],
    title: str,
    words: str,
    *at: str | float,
) -> Markup:
    name, unit, classes = str(at[0]), float(at[1]), str(at[2])
    sheet = Sheet(Pens(unit))
    _axes(sheet)
    places = {_place(cell): cell for cell in found}
    with sheet.group("coverage-border"):
        _borders(sheet, places)
    most = max((cell.people for cell in found), default=1.0)
    for cell in found:
        with sheet.group(f"coverage-{mark_of(cell)}"):
            _mark(sheet, cell, _LARGEST * (cell.people / most) ** 0.5)
    for i, size in enumerate(sizes):
        own = [cell for cell in found if cell.named == i]
        if own:
            sheet.text(size, _below(own, found, sheet.pens), anchor="start", kind="coverage-size")
    svg = sheet.svg(
        title=title, words=words, name=name, margin=0.0, classes=classes, shown=_shown(unit)
    )
    return Markup(svg)  # noqa: S704  # the drawing escapes every text it is given


def _x(stature: float) -> float:
    return (stature - SHOWN[0]) / STATURE_STEP * _WIDE


def _y(leg: float) -> float:
    return (leg - SHOWN[2]) / LEG_STEP * _HIGH


def _shown(unit: float) -> Frame:
    room = 150.0 * unit
    return Frame(-room, -room, _x(SHOWN[1]) + 40.0 * unit, _y(SHOWN[3]) + 60.0 * unit)


def _place(cell: Cell) -> tuple[int, int]:
    return round(cell.stature[0] / STATURE_STEP), round(cell.leg[0] / LEG_STEP)


def _centre(cell: Cell) -> Point:
    return _x(cell.stature[0]) + _WIDE / 2, _y(cell.leg[0]) + _HIGH / 2


def _axes(sheet: Sheet) -> None:
    """Both scales, with a tick every 50 mm of height and every 40 mm of leg."""
    left, right, low, high = SHOWN
    away = sheet.pens.text
    with sheet.group("dimension"):
        sheet.line((0.0, 0.0), (_x(right), 0.0))
        sheet.line((0.0, 0.0), (0.0, _y(high)))
        for stature in np.arange(left + 50.0, right + 1.0, 100.0):
            sheet.line((_x(stature), 0.0), (_x(stature), -0.3 * away))
            sheet.text(f"{stature:.0f}", (_x(stature), -away))
        for leg in np.arange(low, high + 1.0, 40.0):
            sheet.line((0.0, _y(leg)), (-0.3 * away, _y(leg)))
            sheet.text(f"{leg:.0f}", (-0.6 * away, _y(leg)), anchor="end")
    sheet.text(tr("Height, mm"), (_x(right), -2.4 * away), anchor="end", kind="dimension-name")
    sheet.text(
        tr("Leg length, mm"), (0.2 * away, _y(high) + 0.7 * away), anchor="start",
        kind="dimension-name",
    )  # fmt: skip


def _borders(sheet: Sheet, places: Mapping[tuple[int, int], Cell]) -> None:
    """Lines between neighbours that are named different sizes."""
    for (i, j), cell in places.items():
        x, y = _x(cell.stature[0]), _y(cell.leg[0])
        right, above = places.get((i + 1, j)), places.get((i, j + 1))
        if right is not None and right.named != cell.named:
            sheet.line((x + _WIDE, y), (x + _WIDE, y + _HIGH))
        if above is not None and above.named != cell.named:
            sheet.line((x, y + _HIGH), (x + _WIDE, y + _HIGH))


def _mark(sheet: Sheet, cell: Cell, radius: float) -> None:
    kind, (x, y) = mark_of(cell), _centre(cell)
    size = max(radius, 3.0)
    if kind == "nobody":
        sheet.line((x - size, y - size), (x + size, y + size))
        sheet.line((x - size, y + size), (x + size, y - size))
        return
    sheet.circle((x, y), size)
    if kind == "several":
        sheet.circle((x, y), 0.55 * size)


def _below(own: Sequence[Cell], found: Sequence[Cell], pens: Pens) -> Point:
    """Where a size's name stands: under its people, below everybody of their heights."""
    middle = sum(cell.people * cell.stature[0] for cell in own) / sum(c.people for c in own)
    near = [cell for cell in found if abs(cell.stature[0] - middle) <= 1.5 * STATURE_STEP]
    lowest = min(cell.leg[0] for cell in near or own)
    return _x(middle) + _WIDE, max(_y(lowest) - 0.9 * pens.text, 0.9 * pens.text)


TABLE_STATURES = np.arange(1400.0, 2101.0, 50.0)
TABLE_LEGS = np.arange(620.0, 1021.0, 40.0)


@dataclass(frozen=True, kw_only=True)
class CellWords:
    """One cell of the picture's table: the size most are named, and how many it fits as sold."""

    size: str
    share: str


@dataclass(frozen=True, kw_only=True)
class CoverageTable:
    """The picture as a table: a row a band of heights, a column a band of leg lengths."""

    legs: tuple[str, ...]
    rows: tuple[tuple[str, tuple[CellWords, ...]], ...]


def coverage_table(served: Served) -> CoverageTable:
    """The same as a table, in bands twice as wide.

    Parameters
    ----------
    served : Served

    Returns
    -------
    CoverageTable
        Rows and columns without anybody left out.
    """
    rows: dict[tuple[float, float], dict[tuple[float, float], Cell]] = defaultdict(dict)
    for cell in cells(served, statures=TABLE_STATURES, legs=TABLE_LEGS):
        if cell.people >= _FEWEST:
            rows[cell.stature][cell.leg] = cell
    legs = sorted({leg for row in rows.values() for leg in row})
    return CoverageTable(
        legs=tuple(_band(leg) for leg in legs),
        rows=tuple(
            (_band(stature), tuple(_cell_words(row.get(leg), served.sizes) for leg in legs))
            for stature, row in sorted(rows.items())
        ),
    )


def _band(edges: tuple[float, float]) -> str:
    return tr("{low:.0f} to {high:.0f}", low=edges[0], high=edges[1])


def _cell_words(cell: Cell | None, sizes: tuple[str, ...]) -> CellWords:
    if cell is None:
        return CellWords(size="", share="")
    size = tr("none") if cell.named == NONE else sizes[cell.named]
    return CellWords(size=size, share=f"{100.0 * cell.covered.as_sold:.0f}")
