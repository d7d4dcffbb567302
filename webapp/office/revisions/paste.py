"""Numbers pasted from a spreadsheet: tab-separated lines spread over the grid.

With names they find their own place: a first line of sizes, a first column of
dimensions. Without names they fill the grid from a corner, right and down.
"""

from __future__ import annotations

from collections.abc import Sequence

from webapp.common.errors import Invalid
from webapp.common.text.language import tr
from webapp.office.revisions.drafts import SizeContent
from webapp.office.revisions.size_grid import PATHS, Cells, cell_name, label_of

_MOST = 20_000  # characters; a table of every dimension in fifty sizes


def paste(
    text: str, sizes: Sequence[SizeContent], cells: Cells, *, corner: str = ""
) -> dict[str, str]:
    """The grid with pasted lines in it.

    Parameters
    ----------
    text : str
        Lines, their values parted by tabs (or by semicolons).
    sizes : sequence of SizeContent
        The grid's columns.
    cells : mapping of cell name to text
        What stands in the grid.
    corner : str
        Name of the cell where lines without names begin; the first one if empty.

    Returns
    -------
    dict of cell name to text

    Raises
    ------
    Invalid
        Too much text, a dimension or size nobody knows, or values beyond the grid.

    Examples
    --------
    >>> m = SizeContent(slug="m", name="Medium", position=0, raw={})
    >>> paste("\\tM\\nReach\\t453\\nSeat tube length\\t370", [m], {})
    {'m.reach': '453', 'm.seat_tube_length': '370'}
    >>> paste("453\\n641", [m], {}, corner="m.reach")
    {'m.reach': '453', 'm.stack': '641'}
    """
    if len(text) > _MOST:
        raise Invalid(
            "table",
            tr("{length} characters", length=len(text)),
            tr("at most {most} characters", most=_MOST),
        )
    lines = [_split(line) for line in text.splitlines() if line.strip()]
    if not lines:
        raise Invalid("table", "", tr("paste at least one line of numbers"))
    columns = _named_columns(lines[0], sizes)
    if columns is not None:
        return _by_name(lines[1:], columns, cells)
    if _path_of(lines[0][0]) is not None:
        in_order = {i + 1: size.slug for i, size in enumerate(sizes)}
        return _by_name(lines, in_order, cells)
    return _from_corner(lines, sizes, cells, corner)


def _split(line: str) -> list[str]:
    return [part.strip() for part in line.split("\t" if "\t" in line else ";")]


def _named_columns(head: Sequence[str], sizes: Sequence[SizeContent]) -> dict[int, str] | None:
    """Which column is which size, if the first line names sizes."""
    known = {word.casefold(): s.slug for s in sizes for word in (s.slug, s.name)}
    found = {i: known[word.casefold()] for i, word in enumerate(head) if word.casefold() in known}
    strangers = [word for i, word in enumerate(head) if i and word and i not in found]
    if found and strangers:
        names = ", ".join(size.slug for size in sizes)
        raise Invalid("table", strangers[0], tr("a size of this revision: {names}", names=names))
    return found or None


def _path_of(words: str) -> str | None:
    """The dimension a first column names, by its label or its name in files."""
    plain = words.partition("[")[0].partition("(")[0].strip().casefold()
    for path in PATHS:
        if plain in {path, label_of(path).casefold(), path.replace("_", " ")}:
            return path
    return None


def _by_name(
    lines: Sequence[Sequence[str]], columns: dict[int, str], cells: Cells
) -> dict[str, str]:
    found = dict(cells)
    for line in lines:
        path = _path_of(line[0])
        if path is None:
            names = ", ".join(label_of(known) for known in PATHS)
            raise Invalid("table", line[0], tr("a dimension of the grid: {names}", names=names))
        for place, slug in columns.items():
            if place < len(line) and line[place]:
                found[cell_name(slug, path)] = line[place]
    return found


def _from_corner(
    lines: Sequence[Sequence[str]], sizes: Sequence[SizeContent], cells: Cells, corner: str
) -> dict[str, str]:
    slugs = [size.slug for size in sizes]
    slug, _, path = (corner or cell_name(slugs[0], PATHS[0])).partition(".")
    if slug not in slugs or path not in PATHS:
        raise Invalid("corner", corner, tr("a cell of the grid"))
    down, right = PATHS.index(path), slugs.index(slug)
    found = dict(cells)
    for i, line in enumerate(lines):
        for j, value in enumerate(line):
            if down + i >= len(PATHS) or right + j >= len(slugs):
                remedy = tr(
                    "fewer lines or columns: the grid ends after {dimension}",
                    dimension=label_of(PATHS[-1]),
                )
                raise Invalid("table", value, remedy)
            if value:
                found[cell_name(slugs[right + j], PATHS[down + i])] = value
    return found
