"""Room around both tyres, as the builder and the fork's maker state it and as it is measured."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from geometry.checks import Check, Source, judge
from geometry.clearance import (
    STANDARD_GAP,
    Gaps,
    StayRoom,
    TyreLevels,
    Use,
    fork_gaps,
    levels_at,
    room_remedy,
    slot_of,
    stay_gaps,
    tyre_gap_check,
    tyre_levels_check,
)
from geometry.core import Statement
from webapp.builds.fitting.calculations.remembered import remembered
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.roles import width_on_rim
from webapp.builds.fitting.sentences import CHECK_SENTENCES, WordedCheck, not_known
from webapp.builds.solving.solver_inputs import data_in, tyre_radius
from webapp.catalogue.schema.part_kinds import ForkData, ForkTyre, RimData, TyreData
from webapp.common.memory import Same
from webapp.common.text.language import tr

_ROAD_SPORT = 6  # class of EN 17406
_OFF_ROAD = 3
_ROUNDING = 1e-6  # numbers in arrays and alone differ by less [mm]


def tyre_checks(setup: Setup, *, failing: bool = False) -> Iterator[WordedCheck]:
    """Both tyres of one build.

    Parameters
    ----------
    setup : Setup
    failing : bool
        Whether only what fails is wanted.

    Yields
    ------
    WordedCheck
        ``tyre.rear.stated``, ``tyre.rear.gap``, ``tyre.front.stated``,
        ``tyre.front.gap``, and ``tyre.mudguard.rear`` with mudguards. Where frame
        or fork is not made for the rim's size nothing is said here: a rule of
        fit has refused it.
    """
    yield from rear_tyre_checks(setup, failing=failing)
    yield from front_tyre_checks(setup, failing=failing)


# Apart, since the front knows nothing of the axle position and the rear nothing of the fork.
def rear_tyre_checks(setup: Setup, *, failing: bool = False) -> Iterator[WordedCheck]:
    """The rear tyre alone, and the mudguard over it."""
    yield from _rear_checks(setup, failing=failing)
    yield from mudguard_checks(setup, failing=failing)


def use_of(setup: Setup) -> Use:
    """Which standard gap applies, by the frame's usage class."""
    stated = setup.catalogue.revision.data.usage_class
    if stated == _ROAD_SPORT:
        return "racing"
    return "mountain" if stated >= _OFF_ROAD else "touring"


def stay_room(setup: Setup) -> StayRoom | None:
    """The inside of this size's stays; None where the builder has not stated it."""
    stays, size = setup.catalogue.revision.data.stays, setup.assembly.size
    if stays is None:
        return None
    return setup.catalogue.memory.of(
        ("stay room", Same(size)),
        lambda: StayRoom(
            slot=slot_of(size.frame),
            behind=np.array([station.behind for station in stays.stations]),
            between=np.array([station.between for station in stays.stations]),
            bridge=stays.bridge,
        ),
    )


def width_of(setup: Setup, end: str) -> float:
    """Width of a build's front or rear tyre on its rim [mm]."""
    tyre = data_in(setup.assembly.parts, f"tyre_{end}", TyreData)
    rim = setup.data(f"rim_{end}", RimData)
    return setup.catalogue.memory.of_very(
        "width on its rim", (tyre, rim), lambda: width_on_rim(tyre, rim)
    )


def rear_levels(setup: Setup, bead: int) -> list[TyreLevels]:
    """What the builder states for a rim size."""
    return setup.catalogue.memory.of(("tyre levels", bead), lambda: _rear_levels(setup, bead))


def _rear_levels(setup: Setup, bead: int) -> list[TyreLevels]:
    return [
        TyreLevels(recommended=r.recommended, largest=r.largest, slot_position=r.slot_position)
        for r in setup.catalogue.revision.data.tyre_room
        if r.bead_seat_diameter == bead
    ]


def _sizes(setup: Setup, end: str) -> tuple[TyreData, RimData, float] | None:
    """Tyre, rim and the tyre's width on it; None where they are of two sizes."""
    tyre, rim = setup.data(f"tyre_{end}", TyreData), setup.data(f"rim_{end}", RimData)
    if tyre is None or rim is None or tyre.bead_seat_diameter != rim.bead_seat_diameter:
        return None
    return tyre, rim, round(width_of(setup, end), 1)


@remembered
def _rear_checks(setup: Setup, *, failing: bool = False) -> Iterator[WordedCheck]:
    sizes = _sizes(setup, "rear")
    if sizes is None:
        return
    tyre, rim, width = sizes
    levels, slot = rear_levels(setup, rim.bead_seat_diameter), setup.choice.slot
    if not levels:
        return
    stated = tyre_levels_check(width, levels=levels, slot_position=slot)
    yield from setup.told(stated, *_REAR_SIDES, failing=failing)
    room = stay_room(setup)
    if room is not None:
        gaps = stay_gaps(room, slot_position=slot, radius=tyre_radius(tyre), width=width)
        check = _gap_check(setup, room, gaps, tyre, width)
        yield from setup.told(check, *_REAR_SIDES, failing=failing)
    elif not failing:
        yield _unmeasured("rear", tr("the shape of the stays"), tr("builder"))


_REAR_SIDES, _FRONT_SIDES = ("tyre_rear", "frame"), ("tyre_front", "fork")


def rear_tyres_surely_fit(setup: Setup, others: Sequence[Setup]) -> list[bool]:
    """Which builds surely fail nothing of `rear_tyre_checks`: the gaps of all at once.

    Parameters
    ----------
    setup : Setup
        One build.
    others : sequence of Setup
        The same with other tyres and rims.

    Returns
    -------
    list of bool
        False where only the checks can tell.
    """
    if setup.extras("mudguard"):
        return [False] * len(others)
    read = [each.assembly.parts.get(at) for each in others for at in ("tyre_rear", "rim_rear")]
    return setup.assembly.memory.of_very(
        ("rear tyres surely fit", setup.choice.slot),
        (setup.assembly.size, *read),
        lambda: _surely_fit(setup, others),
    )


def _surely_fit(setup: Setup, others: Sequence[Setup]) -> list[bool]:
    room, slot = stay_room(setup), setup.choice.slot
    sizes = [_sizes(each, "rear") for each in others]
    narrow = [each is None or _is_stated(setup, *each[1:]) for each in sizes]
    different = list({(tyre_radius(tyre), width) for tyre, _, width in filter(None, sizes)})
    if room is None or not different:
        return narrow
    radius, width = np.array(different).T
    gaps = stay_gaps(room, slot_position=slot, radius=radius, width=width)
    enough = np.asarray(gaps.least) > STANDARD_GAP[use_of(setup)] + _ROUNDING
    roomy = dict(zip(different, enough.tolist(), strict=True))
    return [
        stated and (each is None or roomy[tyre_radius(each[0]), each[2]])
        for stated, each in zip(narrow, sizes, strict=True)
    ]


def _is_stated(setup: Setup, rim: RimData, width: float) -> bool:
    """Whether a tyre is no wider than the builder states at the axle position, if anything."""
    levels = rear_levels(setup, rim.bead_seat_diameter)
    level = levels_at(levels, slot_position=setup.choice.slot)
    return level is None or width <= level.largest


def _gap_check(
    setup: Setup, room: StayRoom, gaps: Gaps, tyre: TyreData, width: float
) -> Check[Statement]:
    """The rear gap; its remedy is computed only when one is needed."""
    use, mud = use_of(setup), setup.choice.mud or 0.0
    check = tyre_gap_check(gaps, use=use, mud_room=mud, end="rear")
    if check.outcome == "clear":
        return check
    remedy = room_remedy(
        room,
        slot_position=setup.choice.slot,
        radius=tyre_radius(tyre),
        width=width,
        wanted=STANDARD_GAP[use] + mud,
        tyres=_tyres_for(setup),
    )
    return tyre_gap_check(gaps, use=use, mud_room=mud, end="rear", remedy=remedy)


def clear_positions(setup: Setup) -> float | None:
    """From which axle position backwards the rear tyre is clear, from here on [mm].

    Parameters
    ----------
    setup : Setup

    Returns
    -------
    float or None [mm]
        To a tenth of a millimetre; None when it is clear nowhere further back.
    """
    sizes, room = _sizes(setup, "rear"), stay_room(setup)
    if sizes is None or room is None:
        return None
    tyre, rim, width = sizes
    start, end = setup.choice.slot, setup.assembly.size.data.slot_length
    positions = np.arange(np.ceil(10 * start), np.floor(10 * end) + 1) / 10.0
    gaps = stay_gaps(room, slot_position=positions, radius=tyre_radius(tyre), width=width)
    wanted = STANDARD_GAP[use_of(setup)] + (setup.choice.mud or 0.0)
    levels = rear_levels(setup, rim.bead_seat_diameter)
    stated = (levels_at(levels, slot_position=float(position)) for position in positions)
    wide = np.array([level is not None and level.recommended >= width for level in stated])
    enough = positions[np.atleast_1d(gaps.least >= wanted) & wide]
    return float(enough[0]) if enough.size else None


def _tyres_for(setup: Setup) -> Sequence[tuple[str, float, float]]:
    """Name, radius and width of every tyre to be had for the rear rim."""
    rim = setup.data("rim_rear", RimData)
    bead = rim.bead_seat_diameter if rim else None
    return [
        (tyre.name, tyre_radius(tyre.data), width_on_rim(tyre.data, rim))
        for tyre in setup.catalogue.offered(TyreData)
        if tyre.data.bead_seat_diameter == bead
    ]


@remembered
def mudguard_checks(setup: Setup, *, failing: bool = False) -> Iterator[WordedCheck]:
    """Whether a mudguard passes under the bridge."""
    for part in setup.extras("mudguard"):
        tyre, room = setup.data("tyre_rear", TyreData), stay_room(setup)
        if tyre is None or room is None:
            continue
        gaps = stay_gaps(
            room,
            slot_position=setup.choice.slot,
            radius=tyre_radius(tyre),
            width=width_on_rim(tyre, setup.data("rim_rear", RimData)),
        )
        if failing and gaps.top >= part.data.clearance:
            continue
        yield judge(
            "tyre.mudguard.rear",
            figure=float(gaps.top),
            limit=part.data.clearance,
            unit=tr("mm"),
            reason=tr(
                "{name} and {frame}: {clearance:g} mm over the tyre; "
                "the bridge leaves {float:.1f} mm",
                name=part.name,
                frame=setup.frame,
                clearance=part.data.clearance,
                float=float(gaps.top),
            ),
            source=tr("builder"),
            remedy=tr("the axle further back, or a lower tyre"),
            band=2.0,
        )


@remembered
def front_tyre_checks(setup: Setup, *, failing: bool = False) -> Iterator[WordedCheck]:
    """The front tyre alone."""
    sizes, fork = _sizes(setup, "front"), setup.data("fork", ForkData)
    if sizes is None or fork is None:
        return
    tyre, rim, width = sizes
    stated = [t for t in fork.tyres if t.bead_seat_diameter == rim.bead_seat_diameter]
    if not stated:
        return
    room = stated[0]
    level = TyreLevels(recommended=room.recommended or room.widest, largest=room.widest)
    levels = tyre_levels_check(width, levels=[level], end="front", source=Source.FORK_MAKER)
    yield from setup.told(levels, *_FRONT_SIDES, failing=failing)
    gaps = _fork_gaps(fork, room, tyre, width)
    if gaps is not None:
        mud = setup.choice.mud or 0.0
        check = tyre_gap_check(gaps, use=use_of(setup), mud_room=mud, end="front")
        yield from setup.told(check, *_FRONT_SIDES, failing=failing)
    elif not failing:
        yield _unmeasured("front", tr("the room inside the fork"), tr("fork's maker"))


def _fork_gaps(fork: ForkData, room: ForkTyre, tyre: TyreData, width: float) -> Gaps | None:
    """Gaps in the fork; None where its maker states too little."""
    if room.between_legs is None or room.largest_radius is None:
        return None
    crown = room.crown_radius
    return fork_gaps(
        radius=tyre_radius(tyre),
        width=width,
        between_legs=room.between_legs,
        arch_radius=room.largest_radius,
        crown_radius=room.largest_radius if crown is None else crown,
        travel=0.0 if crown is None else fork.travel,
    )


def _unmeasured(end: str, missing: str, who: str) -> WordedCheck:
    return not_known(
        f"tyre.{end}.gap",
        missing=missing,
        source=CHECK_SENTENCES.word(Source.ISO_4210_GAP),
        remedy=tr("ask the {who}", who=who),
        safety=True,
    )
