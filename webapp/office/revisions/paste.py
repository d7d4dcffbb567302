"""Numbers pasted or uploaded from a spreadsheet, spread over the grid.

With names they find their own place, in whatever words, units and direction a table has
(`webapp.office.imported_tables`). Without names they fill the grid from a corner, right and down.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from webapp.common.errors import Invalid
from webapp.common.text.language import tr
from webapp.office.imported_tables.completing import front_centre_recognised
from webapp.office.imported_tables.headings import FORK, RIDERS
from webapp.office.imported_tables.lines import Rows
from webapp.office.imported_tables.table_read import TableRead, read_table
from webapp.office.imported_tables.values import read_value
from webapp.office.revisions.drafts import SizeContent
from webapp.office.revisions.size_grid import (
    PATHS,
    Cells,
    cell_name,
    label_of,
    labels_of_rows,
)


@dataclass(frozen=True, kw_only=True)
class Pasted:
    """The grid with what was pasted in it; how it was understood, and what was left out."""

    cells: dict[str, str]
    notes: tuple[str, ...] = ()
    unread: tuple[str, ...] = ()


def paste(rows: Rows, sizes: Sequence[SizeContent], cells: Cells, *, corner: str = "") -> Pasted:
    """The grid with pasted rows in it.

    Parameters
    ----------
    rows : list of list of str
        As `rows_of_text` or `rows_of_file` give them.
    sizes : sequence of SizeContent
        The grid's columns.
    cells : mapping of cell name to text
        Texts of the grid.
    corner : str
        Name of the cell where rows without names begin; the first one if empty.

    Returns
    -------
    Pasted

    Raises
    ------
    Invalid
        For names of which none is known, or values beyond the grid.

    Examples
    --------
    >>> from webapp.office.imported_tables.lines import rows_of_text
    >>> m = SizeContent(slug="m", name="Medium", position=0, raw={})
    >>> paste(rows_of_text("\\tM\\nReach\\t453\\nSeat tube\\t370"), [m], {}).cells
    {'m.reach': '453', 'm.seat_tube_length': '370'}
    >>> paste(rows_of_text("453\\n641"), [m], {}, corner="m.reach").cells
    {'m.reach': '453', 'm.stack': '641'}
    """
    if all(not cell or read_value(cell) for row in rows for cell in row):
        return Pasted(cells=_from_corner(rows, sizes, cells, corner))
    return _by_name(front_centre_recognised(read_table(rows, labels_of_rows())), sizes, cells)


def _by_name(read: TableRead, sizes: Sequence[SizeContent], cells: Cells) -> Pasted:
    known = {word.casefold(): s.slug for s in sizes for word in (s.slug, s.name)}
    in_order = [size.slug for size in sizes]
    named = read.sizes or tuple(in_order[: read.count])
    places = [known.get(name.casefold()) for name in named]
    if not any(places) and read.count == len(sizes):
        places = list(in_order)
    if not any(places):
        names = ", ".join(size.name for size in sizes)
        raise Invalid("table", ", ".join(named), tr("sizes of this revision: {names}", names=names))
    found, unread = dict(cells), list(read.unread)
    unread += [
        tr("{size}: no size of this revision", size=name)
        for name, place in zip(named, places, strict=False)
        if place is None
    ]
    for path, values in read.values.items():
        if path in FORK or path in RIDERS:
            unread.append(
                tr("{heading}: stands in what all sizes share", heading=read.headings[path])
            )
            continue
        for place, value in zip(places, values, strict=False):
            if place is not None and value is not None:
                found[cell_name(place, path)] = f"{value:.10g}"
    return Pasted(cells=found, notes=read.notes, unread=tuple(unread))


def _from_corner(
    rows: Rows, sizes: Sequence[SizeContent], cells: Cells, corner: str
) -> dict[str, str]:
    slugs = [size.slug for size in sizes]
    slug, _, path = (corner or cell_name(slugs[0], PATHS[0])).partition(".")
    if slug not in slugs or path not in PATHS:
        raise Invalid("corner", corner, tr("a cell of the grid"))
    down, right = PATHS.index(path), slugs.index(slug)
    found = dict(cells)
    for i, row in enumerate(each for each in rows if any(each)):
        for j, value in enumerate(row):
            if down + i >= len(PATHS) or right + j >= len(slugs):
                remedy = tr(
                    "line {number} goes beyond the grid, which ends after {dimension}, size {size}",
                    number=i + 1,
                    dimension=label_of(PATHS[-1]),
                    size=sizes[-1].name,
                )
                raise Invalid("table", value, remedy)
            if value:
                found[cell_name(slugs[right + j], PATHS[down + i])] = value
    return found
