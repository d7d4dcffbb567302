"""Tables of the drive: every count that closes, every pair that does, every gear."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from geometry.clearance import slot_of, stay_gaps
from geometry.drive import USUAL_CADENCE, centre_at, closing_positions, gears, ranked
from webapp.builds.choice.build_choice import BuildChoice
from webapp.builds.fitting.calculations.axle_position import (
    AxlePosition,
    axle_positions,
    axle_positions_of,
)
from webapp.builds.fitting.calculations.drive import Loop, loop_of, loop_words, pairs_sold
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.calculations.tyres import stay_room
from webapp.builds.fitting.roles import width_on_rim
from webapp.builds.solving.solver_inputs import tyre_radius
from webapp.catalogue.schema.part_kinds import (
    HubData,
    RimData,
    RingData,
    SprocketData,
    TyreData,
)
from webapp.common.text.language import tr


@dataclass(frozen=True, kw_only=True)
class Closing:
    """One count with which the build's own loop closes; lengths in mm.

    Parameters
    ----------
    count : int
        Links of the chain, or teeth of the belt.
    new, worn : float
        Axle position when new, and at the wear limit.
    left, allowance : float
        Slot behind the new position; how far the axle may sit forward of it.
    chainstay : float
        BB centre to axle.
    tyre_gap : float or None
        Least gap around the rear tyre there; None where the stays are not measured.
    lasts : bool
        Whether the slot takes up all wear.
    choice : BuildChoice
        The build with its axle there.
    here : bool
        Whether the build's axle is there now.
    """

    count: int
    new: float
    worn: float
    left: float
    allowance: float
    chainstay: float
    tyre_gap: float | None
    lasts: bool
    choice: BuildChoice
    here: bool


def closings(setup: Setup) -> tuple[Closing, ...]:
    """Every count with which the build's ring and sprocket close, from the front."""
    rows = sorted(axle_positions_of(setup), key=lambda row: row.new)
    return tuple(_closing(setup, row) for row in rows)


def _closing(setup: Setup, row: AxlePosition) -> Closing:
    position = row.position(setup)
    return Closing(
        count=row.count,
        new=row.new,
        worn=row.worn,
        left=row.left,
        allowance=row.allowance,
        chainstay=row.chainstay,
        tyre_gap=tyre_gap_at(setup, position),
        lasts=row.lasts,
        choice=setup.at(position),
        here=row.is_at(setup.choice.slot),
    )


def tyre_gap_at(setup: Setup, position: float) -> float | None:
    """Least gap around the rear tyre with the axle at a position [mm]."""
    room, tyre = stay_room(setup), setup.data("tyre_rear", TyreData)
    if room is None or tyre is None:
        return None
    width = width_on_rim(tyre, setup.data("rim_rear", RimData))
    gaps = stay_gaps(room, slot_position=position, radius=tyre_radius(tyre), width=width)
    return float(gaps.least)


@dataclass(frozen=True, kw_only=True)
class Pair:
    """One ring and sprocket to be had that close, with one count; lengths in mm."""

    words: str
    count: int
    new: float
    left: float
    chainstay: float
    ratio: float
    lasts: bool
    choice: BuildChoice
    here: bool


def pairs_closing(
    setup: Setup,
    *,
    chainstay: float | None = None,
    ratio: float | None = None,
    nearest_gear: bool = False,
) -> tuple[Pair, ...]:
    """Every ring and sprocket to be had that close in the slot, best first.

    Parameters
    ----------
    setup : Setup
        Its crank, hub and chain or belt say which are to be had.
    chainstay : float, optional [mm]
        Wished.
    ratio : float, optional
        Wished ring teeth ÷ sprocket teeth.
    nearest_gear : bool
        Wish the gear that the build has now.

    Returns
    -------
    tuple of Pair
        Those that take up all wear first; within these nearest to what is wished,
        and among equals with most adjustment left. The smallest ratio a hub's
        maker allows is kept.
    """
    loop, hub = loop_of(setup), setup.data("hub", HubData)
    rings, sprockets = pairs_sold(setup)
    if loop is None or loop.tensioned or hub is None or not rings or not sprockets:
        return ()
    teeth = np.array([float(ring.data.teeth) for ring in rings])
    small = np.array([float(sprocket.data.teeth[0]) for sprocket in sprockets])
    slot = slot_of(setup.assembly.size.frame)
    axles = closing_positions(slot, ring=teeth[:, None], sprocket=small, **loop.terms)
    allowed = axles.ring / axles.sprocket >= (hub.smallest_ratio or 0.0) - 1e-9
    axles = axles.rows(np.flatnonzero(allowed))
    if not np.size(axles.ring):
        return ()
    wished = loop.ring / loop.sprocket if nearest_gear else ratio
    order = ranked(axles, chainstay=chainstay, ratio=wished)
    slugs = _slugs(setup)
    return tuple(_pair(setup, loop, row, slugs) for row in axle_positions(axles.rows(order)))


def _slugs(setup: Setup) -> Mapping[tuple[str, int], str]:
    """The part of each tooth count, by place."""
    rings, sprockets = pairs_sold(setup)
    found = {("ring", ring.data.teeth): ring.slug for ring in rings}
    found |= {("sprocket", each.data.teeth[0]): each.slug for each in sprockets}
    return MappingProxyType(found)


def _pair(
    setup: Setup, loop: Loop, row: AxlePosition, slugs: Mapping[tuple[str, int], str]
) -> Pair:
    position = row.position(setup)
    teeth = {"ring": row.ring, "sprocket": row.sprocket}
    parts = {**setup.choice.parts, **{place: slugs[place, n] for place, n in teeth.items()}}
    same = (row.ring, row.sprocket) == (loop.ring, loop.sprocket)
    return Pair(
        words=f"{row.ring} × {row.sprocket}, {loop_words(loop, row.count)}",
        count=row.count,
        new=position,
        left=row.left,
        chainstay=row.chainstay,
        ratio=row.ring / row.sprocket,
        lasts=row.lasts,
        choice=setup.choice_with(parts, slot=position),
        here=same and row.is_at(setup.choice.slot),
    )


@dataclass(frozen=True, kw_only=True)
class Gear:
    """One gear.

    Parameters
    ----------
    name : str
        Ring and sprocket, or the hub's gear.
    ratio, development : float
        Turns of the wheel, and metres, per turn of the cranks.
    speed : float [km/h]
        At `cadence_of` the build.
    """

    name: str
    ratio: float
    development: float
    speed: float


def cadence_of(setup: Setup) -> float:
    """Turns of the cranks a minute that the rider asks about, or the usual ones."""
    return USUAL_CADENCE if setup.choice.cadence is None else setup.choice.cadence


def gear_table(setup: Setup) -> tuple[Gear, ...]:
    """Every gear of a build, lowest first."""
    ring, sprocket = setup.data("ring", RingData), setup.data("sprocket", SprocketData)
    hub = setup.data("hub", HubData)
    if ring is None or sprocket is None or hub is None:
        return ()
    cogs = np.array([float(n) for n in sprocket.teeth for _ in hub.gear_ratios])
    inside = np.array([ratio for _ in sprocket.teeth for ratio in hub.gear_ratios])
    table = gears(
        ring=float(ring.teeth),
        sprocket=cogs,
        wheel_diameter=2.0 * float(setup.assembly.build.rear_radius),
        cadence=cadence_of(setup),
        hub_ratio=inside,
    )
    many = len(hub.gear_ratios) > 1
    names = [
        tr(
            "{teeth} × {cog:g}, gear {value}",
            teeth=ring.teeth,
            cog=cog,
            value=at % len(hub.gear_ratios) + 1,
        )
        if many
        else f"{ring.teeth} × {cog:g}"
        for at, cog in enumerate(cogs)
    ]
    ratios, developments, speeds = map(np.asarray, (table.ratio, table.development, table.speed))
    return tuple(
        Gear(
            name=names[at],
            ratio=float(ratios[at]),
            development=float(developments[at]),
            speed=float(speeds[at]),
        )
        for at in np.argsort(ratios)
    )


def chainstay_here(setup: Setup) -> float:
    """BB centre to axle where the build's axle is [mm]."""
    return float(centre_at(slot_of(setup.assembly.size.frame), setup.choice.slot))
