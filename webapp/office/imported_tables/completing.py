"""Completes an imported table with dimensions that follow from its others."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from geometry.bike import missing
from webapp.common.text.glossary import GLOSSARY, entry
from webapp.common.text.language import tr
from webapp.common.text.units import number
from webapp.office.imported_tables.headings import FORK
from webapp.office.imported_tables.table_read import TableRead

_DIGITS = {"head_angle": 2, "seat_tube_angle": 2}
_LEVEL, _STRAIGHT = "stated.front_centre", "stated.front_centre_straight"


@dataclass(frozen=True, kw_only=True)
class Computed:
    """A dimension the table left out: its value in every size, and the formula."""

    path: str
    values: tuple[float | None, ...]
    formula: str


def completed(read: TableRead, drawn_with: Mapping[str, float]) -> tuple[Computed, ...]:
    """Drawn dimensions that follow from those the table states.

    Parameters
    ----------
    read : TableRead
    drawn_with : mapping of str to float [mm]
        The fork and wheels, by the names of `FORK`, as far as they are known.
    """
    wanted = ("reach", "stack", "head_angle", "head_tube_length", "seat_tube_angle",
              "chainstay_length", "bb_drop")  # fmt: skip
    ways = [missing(_known(read, place, drawn_with)) for place in range(read.count)]
    found = []
    for path in wanted:
        told = read.values.get(path, (None,) * read.count)
        if all(value is not None for value in told) or not any(path in way for way in ways):
            continue
        values = tuple(
            round(way[path][0], _DIGITS.get(path, 1)) if value is None and path in way else value
            for way, value in zip(ways, told, strict=True)
        )
        formula = next(way[path][1] for way in ways if path in way)
        found.append(Computed(path=path, values=values, formula=formula))
    return tuple(found)


def _known(read: TableRead, place: int, drawn_with: Mapping[str, float]) -> dict[str, float]:
    own = {
        path.removeprefix("stated."): float(value)
        for path, values in read.values.items()
        for value in [values[place]]
        if value is not None
    }
    return {**drawn_with, **own}


def front_centre_recognised(read: TableRead) -> TableRead:
    """The table with its front centre recognised as level or straight: the trade prints either.

    The sum with the rear centre is the wheelbase only where it is level.
    """
    told = [path for path in (_LEVEL, _STRAIGHT) if path in read.values]
    base = read.values.get("stated.wheelbase")
    stays, drops = read.values.get("chainstay_length"), read.values.get("bb_drop")
    if len(told) != 1 or base is None or stays is None or drops is None:
        return read
    front = read.values[told[0]]
    level, straight = [], []
    for f, w, c, d in zip(front, base, stays, drops, strict=True):
        if f is not None and w is not None and c is not None and d is not None and c > abs(d):
            rest = w - float(np.sqrt(c * c - d * d))
            level.append(abs(rest - f))
            straight.append(abs(float(np.hypot(rest, d)) - f))
    found = _STRAIGHT if not level or np.median(level) > np.median(straight) else _LEVEL
    if not level or found == told[0]:
        return read
    note = {
        _STRAIGHT: tr("Front centre was read as straight from the BB to the axle: so it agrees."),
        _LEVEL: tr("Front centre was read as level from the BB to the axle: so it agrees."),
    }[found]
    values = {found if path == told[0] else path: each for path, each in read.values.items()}
    headings = {found if path == told[0] else path: each for path, each in read.headings.items()}
    return replace(read, values=values, headings=headings, notes=(*read.notes, note))


def drawn_with_of(read: TableRead) -> dict[str, float]:
    """The fork and wheels a table states, where they are the same for all its sizes."""
    found = {}
    for name in FORK:
        told = {value for value in read.values.get(name, ()) if value is not None}
        if len(told) == 1:
            found[name] = told.pop()
    return found


def computed_words(one: Computed) -> str:
    """A computed row in a sentence."""
    name = entry(f"frame.{one.path}").name if f"frame.{one.path}" in GLOSSARY else one.path
    digits = _DIGITS.get(one.path, 1)
    values = ", ".join("–" if v is None else number(v, digits) for v in one.values)
    return tr("{name}: {values}, by {formula}", name=name, values=values, formula=one.formula)
