"""Tables of the drive, the post and the bottles."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from webapp.builds.choice.build_choice import BuildChoice, address_of
from webapp.builds.fitting.calculations.drive import loop_of, loop_words
from webapp.builds.fitting.calculations.drive_tables import (
    Closing,
    cadence_of,
    closings,
    gear_table,
    pairs_closing,
)
from webapp.builds.fitting.calculations.post import bottle_fits, longest_droppers
from webapp.builds.fitting.calculations.setup import Setup
from webapp.common.memory import Same
from webapp.common.text.language import tr
from webapp.common.text.reader import said_length
from webapp.common.text.units import number

_HEIGHTS = (-80.0, -40.0, 0.0, 40.0, 80.0)
"""Other riders listed beside this one: their saddle heights relative to this build's [mm]."""

MOST_PAIRS = 12

_CHAIN_NOTE = tr(
    "Axle: its position with a new chain; worn: with a chain to be replaced; forward: how far "
    "ahead of it the axle may sit before the chain is too slack; lasts: the slot takes up all wear."
)


class Row(NamedTuple):
    """One line of a table as printed; ``address`` leads to its build, empty if it is this one."""

    cells: tuple[str, ...]
    address: str = ""
    here: bool = False

    @property
    def name(self) -> str:
        """Its first cell, which heads it."""
        return self.cells[0]

    @property
    def figures(self) -> tuple[str, ...]:
        """The others."""
        return self.cells[1:]


@dataclass(frozen=True, kw_only=True)
class Grid:
    """A table: caption, headings, lines; a line's first cell is its name, maybe a size's."""

    caption: str
    headings: tuple[str, ...]
    rows: tuple[Row, ...]
    note: str = ""
    of_sizes: bool = False

    def moved(self, link: Callable[[str], str]) -> Grid:
        """The same table with every address put through ``link``."""
        return replace(self, rows=tuple(r._replace(address=link(r.address)) for r in self.rows))


def _address(choice: BuildChoice, here: bool) -> str:
    return "" if here else address_of(choice)


def closings_grid(setup: Setup) -> Grid | None:
    rows, loop = closings(setup), loop_of(setup)
    if not rows or loop is None:
        return None
    wears = loop.sold is None
    return Grid(
        caption=tr("Where this ring and sprocket close in the slot, in mm"),
        headings=tuple(cell for cell in _CLOSING if wears or cell not in _OF_A_CHAIN),
        rows=tuple(
            Row(
                cells=tuple(_closing_cells(loop_words(loop, row.count), row, wears=wears)),
                address=_address(row.choice, row.here),
                here=row.here,
            )
            for row in rows
        ),
        note=_closings_note(setup) if wears else "",
    )


def _closings_note(setup: Setup) -> str:
    if not _half_link_would_help(setup):
        return _CHAIN_NOTE
    return tr(
        "{note} A half link, ticked among the extras, closes between two of these.",
        note=_CHAIN_NOTE,
    )


_CLOSING = (
    tr("Count"),
    tr("Axle"),
    tr("Worn"),
    tr("Forward"),
    tr("Slot left"),
    tr("Chainstay"),
    tr("Tyre room"),
    tr("Lasts"),
)
_OF_A_CHAIN = (tr("Worn"), tr("Forward"), tr("Lasts"))


def _closing_cells(count: str, row: Closing, *, wears: bool) -> Iterator[str]:
    yield count
    yield number(row.new)
    if wears:
        yield number(row.worn)
        yield number(row.allowance, 2)
    yield number(row.left)
    yield number(row.chainstay)
    yield "" if row.tyre_gap is None else number(row.tyre_gap)
    if wears:
        yield tr("yes") if row.lasts else tr("no")


def _half_link_would_help(setup: Setup) -> bool:
    loop = loop_of(setup)
    sold = setup.part("transmission")
    return (
        loop is not None
        and loop.sold is None
        and not loop.half_link
        and sold is not None
        and bool(getattr(sold.data, "half_link_sold", False))
    )


def pairs_grid(
    setup: Setup,
    *,
    chainstay: float | None = None,
    ratio: float | None = None,
    most: int | None = MOST_PAIRS,
) -> Grid | None:
    """Rings and sprockets to be had that close, best first; None where there are none.

    Parameters
    ----------
    setup : Setup
    chainstay : float, optional [mm]
        Wished.
    ratio : float, optional
        Wished ring ÷ sprocket.
    most : int or None
        How many to list; all when None.

    Returns
    -------
    Grid or None
    """
    unwished = chainstay is None and ratio is None
    found = pairs_closing(setup, chainstay=chainstay, ratio=ratio, nearest_gear=unwished)
    if not found:
        return None
    wishes = [
        tr("a chainstay of {chainstay:g} mm", chainstay=chainstay) if chainstay else "",
        _gear_wish(ratio),
    ]
    wished = " and ".join(filter(None, wishes)) or tr("the gear chosen")
    shown = found[:most]
    return Grid(
        caption=tr("Rings and sprockets that close in this slot, in mm"),
        headings=(
            tr("Pair"),
            tr("Ratio"),
            tr("Axle"),
            tr("Slot left"),
            tr("Chainstay"),
            tr("Lasts"),
        ),
        rows=tuple(
            Row(
                cells=(
                    pair.words,
                    number(pair.ratio, 2),
                    number(pair.new),
                    number(pair.left),
                    number(pair.chainstay),
                    "yes" if pair.lasts else "no",
                ),
                address=_address(pair.choice, pair.here),
                here=pair.here,
            )
            for pair in shown
        ),
        note=tr(
            "{shown} of {found}: those that take up all wear first, nearest to "
            "{wished}, then with most adjustment left.",
            shown=len(shown),
            found=len(found),
            wished=wished,
        ),
    )


def _gear_wish(ratio: float | None) -> str:
    return tr("a ratio of {ratio}", ratio=number(ratio, 2)) if ratio else ""


def gears_grid(setup: Setup) -> Grid | None:
    """The gears, written once for all builds with the same drive and rear wheel."""
    parts = (Same(setup.part(place)) for place in ("ring", "sprocket", "hub"))
    key = (*parts, float(setup.assembly.build.rear_radius), cadence_of(setup))
    kept = setup.catalogue.memory.nested("gears", most=_MOST_GEARS)
    return kept.of(key, lambda: _gears_grid(setup))


_MOST_GEARS = 1_000


def _gears_grid(setup: Setup) -> Grid | None:
    table = gear_table(setup)
    if not table:
        return None
    return Grid(
        caption=tr("Gears"),
        headings=(
            tr("Gear"), tr("Ratio"), tr("Development, m"),
            tr("km/h at {cadence_of:g} turns a minute", cadence_of=cadence_of(setup)),
        ),
        rows=tuple(
            Row(
                cells=(
                    gear.name,
                    number(gear.ratio, 2),
                    number(gear.development, 2),
                    number(gear.speed),
                )
            )
            for gear in table
        ),
        note=tr("Ratio: turns of the rear wheel for one turn of the cranks. Development: the way "
        "that takes the bike. Another cadence can be set among the choices, under Drive."),
    )  # fmt: skip


def droppers_grid(setup: Setup) -> Grid | None:
    heights = [float(setup.assembly.seat.height) + step for step in _HEIGHTS]
    found = longest_droppers(setup, heights)
    if np.all(np.isnan(found)):
        return None
    return Grid(
        caption=tr("Longest dropper post that fits, in mm of travel, by size and saddle height"),
        headings=(tr("Size"), *map(said_length, heights)),
        rows=tuple(
            Row(
                cells=(size.name, *(tr("none") if np.isnan(v) else f"{v:g}" for v in found[at])),
                here=size.slug == setup.choice.size,
            )
            for at, size in enumerate(setup.catalogue.sizes)
        ),
        note=tr(
            "Saddle height is BB centre to saddle top; this build's is {here}. "
            "A bottle on the seat tube may ask for a shorter one.",
            here=said_length(float(setup.assembly.seat.height)),
        ),
        of_sizes=True,
    )


def bottles_grid(setup: Setup) -> Grid | None:
    """The bottles, which depend on the size alone."""
    key = ("bottles", Same(setup.assembly.size))
    return setup.catalogue.memory.of(key, lambda: _bottles_grid(setup))


def _bottles_grid(setup: Setup) -> Grid | None:
    fits = bottle_fits(setup)
    if not fits.bottles or not fits.mounts:
        return None
    return Grid(
        caption=tr("Bottles on their mounts, in this size"),
        headings=(tr("Mount"), tr("Room, mm"), *fits.bottles),
        rows=tuple(
            Row(cells=(mount.name, f"{mount.length:g} × {mount.diameter:g}", *answers))
            for mount, answers in zip(fits.mounts, fits.answers, strict=True)
        ),
    )
