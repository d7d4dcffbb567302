"""The drive in its slot: what closes, where the axle must be, rings, ratios, reaction arm."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np

from geometry.checks import Check, judge
from geometry.core import Statement
from geometry.drive import (
    CHAIN,
    AxlePositions,
    Fitting,
    Slot,
    agreement,
    centre_at,
    closing_positions,
    derailleur_chain_links,
    ring_check,
    slot_check,
)
from webapp.builds.fitting.calculations.remembered import remembered
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.roles import chainline_of
from webapp.builds.fitting.sentences import WordedCheck
from webapp.catalogue.reading.views import PartView
from webapp.catalogue.schema.part_kinds import (
    CrankData,
    HubData,
    RingData,
    SprocketData,
    TransmissionData,
)
from webapp.common.memory import Same
from webapp.common.text.language import tr

FIXED = 0.5
"""How far an axle position may be from the one that closes and still be the same
setting on the bench [mm]."""


@dataclass(frozen=True, kw_only=True)
class Loop:
    """Chain or belt on one ring and one sprocket, with the axle in its slot.

    Parameters
    ----------
    ring, sprocket : int
        Teeth; with a cassette its largest sprocket.
    fitting : Fitting
        Chain or belt, its wear and play.
    sold : tuple of int or None
        Counts a belt is to be had in; None for a chain, which is cut.
    half_link : bool
        Whether a half link is part of the build.
    tensioned : bool
        By a derailleur: the chain then closes wherever the axle is.
    """

    ring: int
    sprocket: int
    fitting: Fitting
    sold: tuple[int, ...] | None
    half_link: bool
    tensioned: bool

    @property
    def terms(self) -> Any:
        """How it closes, as the functions of `geometry.drive.axle_position` take it."""
        return {"fitting": self.fitting, "half_link": self.half_link, "sold": self.sold}


def loop_words(loop: Loop, count: float) -> str:
    """A count in the trade's words: links of a chain, teeth of a belt.

    >>> chain = Loop(ring=32, sprocket=20, fitting=CHAIN, sold=None, half_link=True,
    ...              tensioned=False)
    >>> loop_words(chain, 92), loop_words(chain, 93)
    ('92 links', '93 links, one of them a half link')
    """
    if loop.sold is not None:
        return tr("a belt of {count:g} teeth", count=count)
    if count % 2:
        return tr("{count:g} links, one of them a half link", count=count)
    return tr("{count:g} links", count=count)


def fitting_of(data: TransmissionData) -> Fitting:
    """A chain or belt as the slot sees it; play as the trade sets it."""
    if data.pitch_kind == "belt":
        return Fitting.belt(pitch=data.pitch, mounting=data.mounting)
    return replace(CHAIN, pitch=data.pitch, wear=data.wear_limit or CHAIN.wear)


def loop_of(setup: Setup) -> Loop | None:
    """The build's loop; None where ring, sprocket and chain or belt are not of one kind."""
    ring, sprocket = setup.data("ring", RingData), setup.data("sprocket", SprocketData)
    loop, hub = setup.data("transmission", TransmissionData), setup.data("hub", HubData)
    if ring is None or sprocket is None or loop is None or hub is None:
        return None
    if not ring.fits == sprocket.fits == loop.fits:
        return None
    return Loop(
        ring=ring.teeth,
        sprocket=sprocket.teeth[-1],
        fitting=setup.catalogue.memory.of(("fitting", Same(loop)), lambda: fitting_of(loop)),
        sold=loop.counts if loop.pitch_kind == "belt" else None,
        half_link=loop.half_link_sold and bool(setup.extras("half-link")),
        tensioned=hub.drive == "derailleur",
    )


def closing_of(setup: Setup, loop: Loop) -> AxlePositions:
    """Every count with which the build's own ring and sprocket close in the slot."""
    return _closing(_slot_of(setup), loop)


_SlotKey = tuple[float, float, float, float]


def _slot_of(setup: Setup) -> _SlotKey:
    size = setup.assembly.size.data
    return size.chainstay_length, size.bb_drop, size.slot_length, size.slot_angle


def _slot(key: _SlotKey) -> Slot:
    chainstay, drop, length, angle = key
    return Slot(chainstay_length=chainstay, bb_drop=drop, slot_length=length, slot_angle=angle)


# Options and pages ask for the same few loops again and again.
@lru_cache(maxsize=1024)
def _closing(slot: _SlotKey, loop: Loop) -> AxlePositions:
    return closing_positions(_slot(slot), ring=loop.ring, sprocket=loop.sprocket, **loop.terms)


@lru_cache(maxsize=1024)
def _slot_check(
    slot: _SlotKey, loop: Loop, rings: tuple[int, ...], sprockets: tuple[int, ...]
) -> Check[Statement]:
    return slot_check(
        _slot(slot),
        ring=loop.ring,
        sprocket=loop.sprocket,
        rings=rings,
        sprockets=sprockets,
        **loop.terms,
    )


def nearest(axles: AxlePositions, position: float) -> int | None:
    """Which axles is nearest to an axle position [mm]; None when none closes."""
    new = np.atleast_1d(axles.new)
    return int(np.argmin(np.abs(new - position))) if new.size else None


def loop_checks(
    setup: Setup, *, where_it_is: bool = True, failing: bool = False
) -> Iterator[WordedCheck]:
    """Chain or belt of one build.

    Parameters
    ----------
    setup : Setup
    where_it_is : bool
        Whether the axle position chosen is judged too; an option is judged
        without it, since the axle can be moved.
    failing : bool
        Whether only what fails is wanted.

    Yields
    ------
    WordedCheck
        ``drive.slot``, ``drive.axle_position`` and for a chain
        ``drive.chain_length``; with a derailleur this last alone.
    """
    loop = loop_of(setup)
    if loop is None:
        return
    if loop.tensioned:
        yield from _tensioned(setup, loop, failing)
    else:
        yield from _closed(setup, loop, where_it_is, failing)


def loops_surely_close(_setup: Setup, others: Sequence[Setup]) -> list[bool]:
    """Which builds surely fail nothing of `loop_checks`, wherever the axle would have to be."""
    return [_surely_closes(each) for each in others]


def _surely_closes(setup: Setup) -> bool:
    hub = setup.data("hub", HubData)
    slides = hub is not None and hub.drive == "derailleur"  # its chain is counted where it is
    name = ("closes", bool(setup.extras("half-link")), setup.choice.slot if slides else None)
    read = (setup.assembly.size, *map(setup.assembly.parts.get, _LOOP))
    return setup.assembly.memory.of_very(name, read, lambda: _closes(setup))


_LOOP = ("ring", "sprocket", "transmission", "hub")


def _closes(setup: Setup) -> bool:
    loop, sold = loop_of(setup), setup.data("transmission", TransmissionData)
    if loop is None or sold is None:
        return True
    if loop.tensioned:
        longest = sold.longest
        return longest is None or _links_at(setup, loop, setup.choice.slot) <= longest
    return sold.longest is None and np.size(closing_of(setup, loop).new) > 0


def _closed(setup: Setup, loop: Loop, where_it_is: bool, failing: bool) -> Iterator[WordedCheck]:
    axles = closing_of(setup, loop)
    closes = np.size(axles.new) > 0
    if not (closes and failing):  # one that closes is at worst tight
        rings, sprockets = pairs_sold(setup)
        closing = _slot_check(
            _slot_of(setup),
            loop,
            tuple(ring.data.teeth for ring in rings),
            tuple(sprocket.data.teeth[0] for sprocket in sprockets),
        )
        yield from setup.told(closing, failing=failing)
    if where_it_is and closes:
        position = agreement(setup.choice.slot, axles, tolerance=FIXED)
        yield from setup.told(position, failing=failing)
    yield from _box(setup, axles, failing)


def _box(setup: Setup, axles: AxlePositions, failing: bool) -> Iterator[WordedCheck]:
    """Whether the chain in its box is long enough."""
    loop = setup.data("transmission", TransmissionData)
    if loop is None or loop.longest is None:
        return
    at = nearest(axles, setup.choice.slot)
    links = None if at is None else float(np.ravel(axles.pitches)[at])
    if links is not None and not (failing and links <= loop.longest):
        yield _links_check(links, loop.longest)


def _links_check(links: float, longest: int, note: str = "") -> WordedCheck:
    return judge(
        "drive.chain_length",
        figure=links,
        limit=float(longest),
        unit=tr("links"),
        reason=tr(
            "The chain is {links:g} links long here{note}; its box holds {longest}",
            links=links,
            note=note,
            longest=longest,
        ),
        source=tr("chain maker's box"),
        remedy=tr("a second box of chain, or a smaller ring or sprocket"),
        sense="at most",
    )


def _tensioned(setup: Setup, loop: Loop, failing: bool) -> Iterator[WordedCheck]:
    """A derailleur's chain, at the axle position ridden and at the rear end."""
    sold = setup.data("transmission", TransmissionData)
    if sold is None or sold.longest is None:
        return
    here = _links_at(setup, loop, setup.choice.slot)
    if failing and here <= sold.longest:
        return
    furthest = _links_at(setup, loop, float(setup.assembly.size.frame.slot_length))
    note = (
        tr(", {furthest:g} with the axle right back", furthest=furthest) if furthest != here else ""
    )
    yield _links_check(here, sold.longest, note)


def _links_at(setup: Setup, loop: Loop, position: float) -> float:
    """Links of a derailleur's chain with the axle at a position [mm]."""
    return _links(_slot_of(setup), loop.ring, loop.sprocket, position)


@lru_cache(maxsize=1024)
def _links(slot: _SlotKey, ring: int, sprocket: int, position: float) -> float:
    centre = centre_at(_slot(slot), position)
    return float(derailleur_chain_links(centre=centre, ring=ring, sprocket=sprocket))


@remembered
def ring_checks(setup: Setup, *, failing: bool = False) -> Iterator[WordedCheck]:
    """Whether the stays leave room for the ring at its chainline and axle position.

    Parameters
    ----------
    setup : Setup
    failing : bool
        Whether only what fails is wanted.

    Yields
    ------
    WordedCheck
        ``drive.ring_room``.
    """
    ring = setup.data("ring", RingData)
    if ring is not None:
        check = ring_check(ring=ring.teeth, most=largest_ring_of(setup, ring))
        yield from setup.told(check, "ring", "frame", failing=failing)


def rings_surely_fit(_setup: Setup, others: Sequence[Setup]) -> list[bool]:
    """Which builds surely fail nothing of `ring_checks`."""
    return [_surely_fits(each) for each in others]


def _surely_fits(setup: Setup) -> bool:
    ring = setup.data("ring", RingData)
    most = None if ring is None else largest_ring_of(setup, ring)
    return ring is None or most is None or ring.teeth <= most


def largest_ring_of(setup: Setup, ring: RingData) -> float | None:
    """Most teeth the stays allow at a ring's chainline; None where not stated."""
    limits = setup.catalogue.revision.data.rings
    stated = limits.largest_belt if ring.pitch_kind == "belt" else limits.largest_chain
    line = chainline_of(ring, setup.data("crank", CrankData))
    if stated is None or line is None:
        return None
    out = limits.per_mm_chainline * (line - limits.chainline)
    return float(np.floor(stated + out + limits.per_mm_slot * setup.choice.slot + 1e-9))


Rings = list[PartView[RingData]]
Sprockets = list[PartView[SprocketData]]


def pairs_sold(setup: Setup) -> tuple[Rings, Sprockets]:
    """Rings and single sprockets to be had for the build's crank, hub and chain or belt."""
    loop, hub = setup.data("transmission", TransmissionData), setup.data("hub", HubData)
    own = setup.data("ring", RingData)
    if loop is None or hub is None or own is None:
        return [], []
    rings = [
        ring
        for ring in setup.catalogue.offered(RingData)
        if ring.data.fits == loop.fits
        and ring.data.mount == own.mount
        and ring.data.teeth <= (largest_ring_of(setup, ring.data) or 0)
    ]
    sprockets = [
        sprocket
        for sprocket in setup.catalogue.offered(SprocketData)
        if sprocket.data.fits == loop.fits
        and sprocket.data.mount == hub.sprocket_mount
        and len(sprocket.data.teeth) == 1
    ]
    return rings, sprockets
