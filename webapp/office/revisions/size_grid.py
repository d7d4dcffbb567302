"""The grid of sizes: one row a dimension, one column a size, one text a cell.

A cell is named ``size.path`` (``m.top_tube.diameter``). What is typed stays text
until it is saved; `sizes_from` turns a grid of texts into sizes' data.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from webapp.catalogue.schema.frames import DIMENSIONS, RevisionData, SizeData
from webapp.catalogue.schema.stated import STATED
from webapp.catalogue.schema.validation import checked, described, field_schema, number_in_words
from webapp.catalogue.writing.models import put_size
from webapp.common.errors import Gathering, Problem
from webapp.common.text.glossary import GLOSSARY, entry
from webapp.common.text.language import tr
from webapp.common.text.units import number
from webapp.office.forms.data_form import text_of
from webapp.office.forms.typed_numbers import read_number
from webapp.office.revisions.drafts import RevisionContent, SizeContent

Cells = Mapping[str, str]
"""Texts of a grid by the names of its cells."""

PATHS: tuple[str, ...] = (
    *(each.key for each in DIMENSIONS if each.key != "stem_length"),
    "top_tube.below_head_tube_top",
    "top_tube.along_seat_tube",
    "top_tube.diameter",
    "post.depth",
    "post.boss_depth",
    "stem_length",
    "mass",
    *(f"stated.{key}" for key in STATED),
)
"""Rows of the grid; bottle mounts and a size's own drawing have a page of their own."""

_LABELS: Mapping[str, str] = MappingProxyType(
    {
        **{each.key: each.label for each in DIMENSIONS},
        "post.depth": tr("Post depth"),
        "post.boss_depth": tr("Bottle boss depth"),
        "mass": tr("Mass"),
        "top_tube.below_head_tube_top": tr("Top tube below head tube top"),
        "top_tube.along_seat_tube": tr("Top tube along seat tube"),
        "top_tube.diameter": tr("Top tube diameter"),
    }
)
OPTIONAL = frozenset({"post.boss_depth", "mass", *(f"stated.{key}" for key in STATED)})
"""Rows whose cells may stay empty."""


@dataclass(frozen=True, kw_only=True)
class GridCell:
    """One cell: its name, its text, and what is wrong with it."""

    name: str
    value: str
    label: str
    error: str = ""
    was: str = ""


@dataclass(frozen=True, kw_only=True)
class GridRow:
    """One dimension in every size."""

    path: str
    label: str
    unit: str
    tolerance: str
    explain: tuple[tuple[str, str], ...]
    cells: tuple[GridCell, ...]


def cell_name(size: str, path: str) -> str:
    """Name of a cell.

    >>> cell_name("m", "top_tube.diameter")
    'm.top_tube.diameter'
    """
    return f"{size}.{path}"


def value_at(raw: Mapping[str, Any], path: str) -> Any:
    """A value of a size's data by its path; None where there is none.

    >>> value_at({"post": {"depth": 283.0}}, "post.depth")
    283.0
    """
    found: Any = raw
    for step in path.split("."):
        found = found.get(step) if isinstance(found, Mapping) else None
    return found


def label_of(path: str) -> str:
    """What a row of the grid is called.

    >>> label_of("seat_tube_length"), label_of("mass")
    ('Seat tube length', 'Mass')
    """
    if path.startswith("stated."):
        return tr("{name}, stated", name=entry(path.removeprefix("stated.")).name)
    return _LABELS[path]


def labels_of_rows() -> dict[str, str]:
    """What every row is called, by its path."""
    return {path: label_of(path) for path in PATHS}


def unit_of(path: str) -> str:
    """Unit of a row of the grid, as printed.

    >>> unit_of("reach"), unit_of("head_angle"), unit_of("mass")
    ('mm', '°', 'kg')
    """
    unit = str(field_schema(SizeData, tuple(path.split("."))).get("unit", ""))
    return "°" if unit == "degrees" else unit


def cells_of(sizes: tuple[SizeContent, ...]) -> dict[str, str]:
    """The grid of sizes as texts."""
    return {
        cell_name(size.slug, path): text_of(value_at(size.raw, path))
        for size in sizes
        for path in PATHS
    }


def grid_rows(
    revision: RevisionContent,
    cells: Cells,
    *,
    errors: Mapping[str, str] | None = None,
    before: RevisionContent | None = None,
) -> tuple[GridRow, ...]:
    """Rows of the grid, ready to be shown.

    Parameters
    ----------
    revision : RevisionContent
        Whose sizes the columns are.
    cells : mapping of cell name to text
        Texts of the cells.
    errors : mapping of cell name to message, optional
    before : RevisionContent, optional
        The revision it takes the place of; a changed cell shows what it was.
    """
    wrong = errors or {}
    earlier = cells_of(before.sizes) if before is not None else {}
    return tuple(
        _row(revision, path, cells, wrong, earlier)
        for path in rows_shown([size.slug for size in revision.sizes], cells)
    )


def rows_shown(sizes: Iterable[str], cells: Cells) -> tuple[str, ...]:
    """Rows of the grid; derived columns only where a size states one."""
    slugs = tuple(sizes)
    return tuple(
        path
        for path in PATHS
        if not path.startswith("stated.")
        or any(cells.get(cell_name(slug, path), "").strip() for slug in slugs)
    )


def _row(
    revision: RevisionContent, path: str, cells: Cells, errors: Cells, earlier: Cells
) -> GridRow:
    label = label_of(path)
    return GridRow(
        path=path,
        label=label,
        unit=unit_of(path),
        tolerance=_tolerance(revision.data, path),
        explain=_explain(path),
        cells=tuple(
            _cell(
                cell_name(size.slug, path),
                tr("{label}, size {name}", label=label, name=size.name),
                cells,
                errors,
                earlier,
            )
            for size in revision.sizes
        ),
    )


def _cell(name: str, label: str, cells: Cells, errors: Cells, earlier: Cells) -> GridCell:
    value = cells.get(name, "")
    was = earlier.get(name, "")
    same = read_number(value) == read_number(was)
    return GridCell(
        name=name, value=value, label=label, error=errors.get(name, ""), was="" if same else was
    )


def _tolerance(data: RevisionData, path: str) -> str:
    width = getattr(data.tolerances, path, None)
    return "" if width is None else number(width, 1)


def _explain(path: str) -> tuple[tuple[str, str], ...]:
    schema = field_schema(SizeData, tuple(path.split(".")))
    key = path if path.startswith("top_tube.") else f"frame.{path}"
    key = path.removeprefix("stated.") if path.startswith("stated.") else key
    words = entry(key).definition if key in GLOSSARY else described(schema)
    taken = number_in_words(schema) if "why" in schema else ""
    if path in OPTIONAL:
        taken = tr("{range}; may be left empty", range=taken)
    return ((tr("What"), words), (tr("Taken"), taken))


def with_cells(size: SizeContent, cells: Cells) -> dict[str, Any]:
    """A size's data with the grid's texts in it, as numbers where they are numbers."""
    raw: dict[str, Any] = {k: dict(v) if isinstance(v, dict) else v for k, v in size.raw.items()}
    for path in PATHS:
        text = cells.get(cell_name(size.slug, path))
        if text is None:
            continue
        owner, last = raw, path.rsplit(".", 1)[-1]
        if "." in path:
            outer = path.split(".")[0]
            raw[outer] = owner = raw.get(outer) or {}
        owner[last] = read_number(text) if text.strip() else None
        if owner[last] is None and path not in OPTIONAL:
            del owner[last]
    if not any(value is not None for value in (raw.get("stated") or {}).values()):
        raw["stated"] = None
    return raw


def sizes_from(
    revision: RevisionContent, cells: Cells
) -> tuple[dict[str, SizeData], tuple[Problem, ...]]:
    """Sizes as the grid has them: those that can be used, and what is wrong with the rest.

    Returns
    -------
    (dict of size slug to SizeData, tuple of Problem)
        A problem's field is the name of its cell.
    """
    gathering = Gathering()
    found = {}
    for size in revision.sizes:
        raw = with_cells(size, cells)
        data = gathering.take(lambda s=size.slug, r=raw: checked(SizeData, r, at=s))  # type: ignore[misc]
        if data is not None:
            found[size.slug] = data
    return found, tuple(gathering.problems)


def save_cells(session: Any, *, who: str, revision: RevisionContent, cells: Cells) -> None:
    """Keep the grid's texts in the draft's sizes.

    Raises
    ------
    Invalid
        For cells that cannot be used, all at once; nothing is kept then.
    Conflict
        For a revision that is no draft.
    """
    found, problems = sizes_from(revision, cells)
    gathering = Gathering()
    gathering.problems.extend(problems)
    gathering.finish()
    for size in revision.sizes:
        put_size(
            session,
            who=who,
            model=revision.model,
            revision=revision.number,
            slug=size.slug,
            name=size.name,
            position=size.position,
            data=found[size.slug],
        )
