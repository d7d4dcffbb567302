"""The drive, the post and the bottles of a build as the build page tells them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from urllib.parse import quote

import numpy as np

from webapp.builds.choice.build_choice import BuildChoice, address_of, query_of
from webapp.builds.evaluation import BuildResult
from webapp.builds.fitting.calculations.axle_position import landed_of
from webapp.builds.fitting.calculations.drive import largest_ring_of, loop_of, loop_words
from webapp.builds.fitting.calculations.drive_tables import (
    Closing,
    cadence_of,
    chainstay_here,
    closings,
    gear_table,
    pairs_closing,
    tyre_gap_at,
)
from webapp.builds.fitting.calculations.post import bottle_fits, longest_droppers
from webapp.builds.fitting.calculations.setup import Setup
from webapp.catalogue.schema.part_kinds import HubData, RingData
from webapp.common.text.units import number

_HEIGHTS = (-80.0, -40.0, 0.0, 40.0, 80.0)
"""Riders told beside this one: their saddle heights from this build's [mm]."""

MOST_PAIRS = 12

_CHAIN_NOTE = (
    "Axle: its position with a new chain; worn: with a chain to be replaced; forward: how far "
    "ahead of it the axle may sit before the chain is too slack; lasts: the slot takes up all wear."
)


@dataclass(frozen=True, kw_only=True)
class Row:
    """One line of a table as printed; ``address`` leads to its build, empty if it is this one."""

    cells: tuple[str, ...]
    address: str = ""
    here: bool = False


@dataclass(frozen=True, kw_only=True)
class Grid:
    """A table: caption, headings, lines; the first cell of each line is its name."""

    caption: str
    headings: tuple[str, ...]
    rows: tuple[Row, ...]
    note: str = ""

    def moved(self, link: Callable[[str], str]) -> Grid:
        """The same table with every address put through ``link``."""
        rows = (replace(row, address=link(row.address)) for row in self.rows)
        return replace(self, rows=tuple(rows))


@dataclass(frozen=True, kw_only=True)
class DriveView:
    """What the page tells of drive, post and bottles.

    Parameters
    ----------
    words : tuple of str
        The drive in sentences.
    closings, pairs, gears, droppers, bottles : Grid or None
        None where there is nothing to tell.
    wish_address : str
        Where the pairs are ranked by a wish.
    """

    words: tuple[str, ...]
    closings: Grid | None
    pairs: Grid | None
    wish_address: str
    gears: Grid | None
    droppers: Grid | None
    bottles: Grid | None

    def moved(self, link: Callable[[str], str]) -> DriveView:
        """The same with every address put through ``link``."""
        return replace(
            self,
            closings=self.closings.moved(link) if self.closings else None,
            pairs=self.pairs.moved(link) if self.pairs else None,
        )


def drive_view(result: BuildResult) -> DriveView:
    """Drive, post and bottles of a build, printed.

    Parameters
    ----------
    result : BuildResult

    Returns
    -------
    DriveView
    """
    setup = Setup(catalogue=result.catalogue, choice=result.choice, assembly=result.assembly)
    return DriveView(
        words=tuple(_words(setup)),
        closings=_closings(setup),
        pairs=pairs_grid(setup),
        wish_address=f"/build/{quote(result.choice.model)}/drive?{query_of(result.choice)}",
        gears=_gears(setup),
        droppers=_droppers(setup),
        bottles=_bottles(setup),
    )


def _mm(value: float) -> str:
    return f"{number(value)} mm"


def _words(setup: Setup) -> list[str]:
    loop, ring = loop_of(setup), setup.data("ring", RingData)
    if loop is None or ring is None:
        return ["Ring, sprocket and chain or belt are not of one kind yet."]
    found = [_place_words(setup)]
    most = largest_ring_of(setup, ring)
    if most is not None:
        found.append(f"The stays leave room for a ring of up to {most:g} teeth here.")
    hub = setup.data("hub", HubData)
    if hub is not None and hub.smallest_ratio is not None:
        ratio = loop.ring / loop.sprocket
        found.append(
            f"This hub allows a ratio of {number(hub.smallest_ratio, 2)} and more; "
            f"{loop.ring} × {loop.sprocket} is {number(ratio, 2)}."
        )
    return found


def _place_words(setup: Setup) -> str:
    """Where the axle is and what that means, in one sentence."""
    loop = loop_of(setup)
    if loop is None:
        return ""
    chainstay = f"chainstay {_mm(chainstay_here(setup))}"
    gap = tyre_gap_at(setup, setup.choice.slot)
    room = f", {_mm(gap)} of room around the rear tyre" if gap is not None else ""
    if loop.tensioned:
        return f"The derailleur takes up the chain wherever the axle is; now {chainstay}{room}."
    here = [row for row in landed_of(setup) if row.is_at(setup.choice.slot)]
    if not here:
        return (
            f"{loop.ring} × {loop.sprocket} does not close with the axle at "
            f"{_mm(setup.choice.slot)}."
        )
    row = here[0]
    drawn = f" As it wears the axle is drawn back to {_mm(row.worn)}." if row.worn > row.new else ""
    return (
        f"{loop.ring} × {loop.sprocket} closes with {loop_words(loop, row.count)}, the axle at "
        f"{_mm(row.new)}: {chainstay}{room}, {_mm(row.left)} of adjustment left.{drawn}"
    )


def _address(choice: BuildChoice, here: bool) -> str:
    return "" if here else address_of(choice)


def _closings(setup: Setup) -> Grid | None:
    rows, loop = closings(setup), loop_of(setup)
    if not rows or loop is None:
        return None
    wears = loop.sold is None
    half = " A half link, ticked among the extras, closes between two of these."
    return Grid(
        caption="Where this ring and sprocket close in the slot, in mm",
        headings=tuple(cell for cell in _CLOSING if wears or cell not in _OF_A_CHAIN),
        rows=tuple(
            Row(
                cells=tuple(_closing_cells(loop_words(loop, row.count), row, wears=wears)),
                address=_address(row.choice, row.here),
                here=row.here,
            )
            for row in rows
        ),
        note=_CHAIN_NOTE + (half if _half_link_would_help(setup) else "") if wears else "",
    )


_CLOSING = ("Count", "Axle", "Worn", "Forward", "Slot left", "Chainstay", "Tyre room", "Lasts")
_OF_A_CHAIN = ("Worn", "Forward", "Lasts")


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
        yield "yes" if row.lasts else "no"


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
    wishes = [f"a chainstay of {chainstay:g} mm" if chainstay else "", _gear_wish(ratio)]
    wished = " and ".join(filter(None, wishes)) or "the gear chosen"
    shown = found[:most]
    return Grid(
        caption="Rings and sprockets that close in this slot, in mm",
        headings=("Pair", "Ratio", "Axle", "Slot left", "Chainstay", "Lasts"),
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
        note=f"{len(shown)} of {len(found)}: those that take up all wear first, nearest to "
        f"{wished}, then with most adjustment left.",
    )


def _gear_wish(ratio: float | None) -> str:
    return f"a ratio of {number(ratio, 2)}" if ratio else ""


def _gears(setup: Setup) -> Grid | None:
    table = gear_table(setup)
    if not table:
        return None
    return Grid(
        caption="Gears",
        headings=(
            "Gear", "Ratio", "Development, m",
            f"km/h at {cadence_of(setup):g} turns a minute",
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
        note="Ratio: turns of the rear wheel for one turn of the cranks. Development: the way "
        "that takes the bike. Another cadence can be set among the choices, under Drive.",
    )  # fmt: skip


def _droppers(setup: Setup) -> Grid | None:
    here = float(setup.assembly.seat.height)
    heights = [here + step for step in _HEIGHTS]
    found = longest_droppers(setup, heights)
    if np.all(np.isnan(found)):
        return None
    return Grid(
        caption="Longest dropper post that fits, in mm of travel, by size and saddle height",
        headings=("Size", *(f"{height:.0f} mm" for height in heights)),
        rows=tuple(
            Row(
                cells=(size.name, *("none" if np.isnan(v) else f"{v:g}" for v in found[at])),
                here=size.slug == setup.choice.size,
            )
            for at, size in enumerate(setup.catalogue.sizes)
        ),
        note=f"Saddle height is BB centre to saddle top; this build's is {here:.0f} mm. "
        "A bottle on the seat tube may ask for a shorter one.",
    )


def _bottles(setup: Setup) -> Grid | None:
    fits = bottle_fits(setup)
    if not fits.bottles or not fits.mounts:
        return None
    return Grid(
        caption="Bottles on their mounts, in this size",
        headings=("Mount", "Room, mm", *fits.bottles),
        rows=tuple(
            Row(cells=(mount.name, f"{mount.length:g} × {mount.diameter:g}", *answers))
            for mount, answers in zip(fits.mounts, fits.answers, strict=True)
        ),
    )
