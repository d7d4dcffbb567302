"""A new model begun from a published table: its cells filled, completed and compared."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from geometry.bike import DrawnWith, Fork, Frame
from geometry.core import GeometryError
from geometry.verify import DrawnSize, check_table
from webapp.catalogue.schema.frames import SOLVED
from webapp.catalogue.schema.stated import STATED
from webapp.common.errors import Problem
from webapp.common.text.language import in_own_signs, tr
from webapp.office.forms.typed_numbers import read_number
from webapp.office.imported_tables.completing import (
    completed,
    computed_words,
    drawn_with_of,
    front_centre_recognised,
)
from webapp.office.imported_tables.headings import FORK
from webapp.office.imported_tables.lines import Rows
from webapp.office.imported_tables.table_read import TableRead, read_table
from webapp.office.models.new_model import ROWS, STARTS, NewSize, Texts, shared_of, sizes_named
from webapp.office.revisions.size_grid import cell_name, labels_of_rows
from webapp.office.revisions.table_check import Remark, remarks_of, verdict


@dataclass(frozen=True, kw_only=True)
class TableReading:
    """Shown above the form: how the table was read and completed, and its contradictions."""

    notes: tuple[str, ...]
    unread: tuple[str, ...]
    computed: tuple[str, ...]
    outcome: str
    words: str
    remarks: tuple[Remark, ...]


def begun_from(rows: Rows, texts: Texts) -> tuple[dict[str, str], TableReading]:
    """The form's texts with a table's numbers in them.

    Raises
    ------
    Invalid
        For a table in which nothing is recognised.
    """
    read = front_centre_recognised(read_table(rows, labels_of_rows()))
    names = read.sizes or tuple(str(place + 1) for place in range(read.count))
    named = ", ".join(name.replace(",", " ").replace(";", " ") for name in names)
    filled = {**texts, "sizes": named}
    filled |= {name: _text(value) for name, value in drawn_with_of(read).items()}
    for size, place in _placed(sizes_named(filled)):
        filled |= {
            cell_name(size.slug, path): _text(value)
            for path, values in read.values.items()
            for value in [values[place]]
            if path not in FORK and value is not None
        }
    done, checked = checked_texts(filled)
    notes = (*read.notes, *checked.notes)
    return done, TableReading(
        notes=notes,
        unread=read.unread,
        computed=checked.computed,
        outcome=checked.outcome,
        words=checked.words,
        remarks=checked.remarks,
    )


def checked_texts(texts: Texts) -> tuple[dict[str, str], TableReading]:
    """The form's texts with what can be computed filled in, and the table check of them.

    Raises
    ------
    Invalid
        For names of sizes that cannot be used.
    """
    sizes = sizes_named(texts)
    drawn_with = _drawn_with(texts)
    computed = completed(_as_read(texts, sizes), drawn_with)
    filled = dict(texts)
    for one in computed:
        for size, place in _placed(sizes):
            value = one.values[place]
            if value is not None:
                filled[cell_name(size.slug, one.path)] = _text(value)
    lines = [computed_words(one) for one in computed]
    outcome, words, remarks = _check(filled, sizes)
    return filled, TableReading(
        notes=(),
        unread=(),
        computed=tuple(lines),
        outcome=outcome,
        words=words,
        remarks=remarks,
    )


def _placed(sizes: Sequence[NewSize]) -> list[tuple[NewSize, int]]:
    return [(size, place) for place, size in enumerate(sizes)]


def _text(value: float) -> str:
    return in_own_signs(f"{value:.10g}")


def _number(text: str) -> float | None:
    found = read_number(text) if text.strip() else None
    return float(found) if isinstance(found, int | float) else None


def _as_read(texts: Texts, sizes: Sequence[NewSize]) -> TableRead:
    """The form's cells in the form of an imported table."""
    values = {
        path: tuple(_number(texts.get(cell_name(size.slug, path), "")) for size in sizes)
        for path in ROWS
    }
    given = {path: each for path, each in values.items() if any(v is not None for v in each)}
    return TableRead(sizes=(), count=len(sizes), values=given, headings={}, notes=(), unread=())


def _drawn_with(texts: Texts) -> dict[str, float]:
    raw = shared_of(texts)["drawn_with"]
    named = {name: raw.get(name) for name in FORK} | {"wheel_radius": raw.get("front_radius")}
    return {name: float(v) for name, v in named.items() if isinstance(v, int | float)}


def _check(texts: Texts, sizes: Sequence[NewSize]) -> tuple[str, str, tuple[Remark, ...]]:
    """Verdict, its words, and what was found; the words alone where numbers are missing."""
    try:
        frames = [_drawn(texts, size) for size in sizes]
        if any(frame is None for frame in frames):
            return "", _ASKED, ()
        found = check_table([frame for frame in frames if frame is not None])
    except GeometryError as error:
        return "no", tr("This table cannot be checked: {error}.", error=Problem.of(error)), ()
    return found.outcome, verdict(found), remarks_of(found)


_ASKED = tr(
    "Fill in below what is still empty. Give the fork and the wheels of the drawing and press "
    "Check the table: it fills in what can be computed and reports contradictions."
)


def _drawn(texts: Texts, size: NewSize) -> DrawnSize | None:
    """A size as the table check takes it; none while numbers are missing."""

    def typed(path: str) -> float | None:
        return _number(texts.get(cell_name(size.slug, path), STARTS.get(path, "")))

    numbers: dict[str, Any] = {each.key: typed(each.key) for each in SOLVED}
    raw: Mapping[str, Any] = shared_of(texts)["drawn_with"]
    needed = ("axle_to_crown", "offset", "lower_headset_stack", "front_radius")
    known = [*numbers.values(), *(raw.get(name) for name in needed)]
    if not all(isinstance(value, int | float) for value in known):
        return None
    stated = {key: typed(f"stated.{key}") for key in STATED}
    masses = {"mass": typed("mass")}
    length = typed("seat_tube_length")
    if length is not None:
        numbers["seat_tube_length"] = length
    frame = Frame(
        **numbers,
        drawn_with=DrawnWith(
            fork=Fork(
                axle_to_crown=raw["axle_to_crown"],
                offset=raw["offset"],
                travel=raw.get("travel", 0),
                axle_to_crown_measured=raw["axle_to_crown_measured"],
            ),
            lower_headset_stack=raw["lower_headset_stack"],
            front_radius=raw["front_radius"],
            rear_radius=raw["rear_radius"],
        ),
    )
    return DrawnSize(
        name=size.name,
        frame=frame,
        published={key: value for key, value in stated.items() if value is not None},
        further={key: value for key, value in masses.items() if value is not None},
    )
