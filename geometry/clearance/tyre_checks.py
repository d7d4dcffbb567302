"""Whether a tyre has its room: as the builder states it, and as it is measured.

A builder states for each rim size the widest tyre recommended and the widest that
goes in, from some axle position backwards. The gaps themselves are held against
the standard's, with the rider's wish for mud room on top.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from geometry.checks import Ask, Check, Source, judge, unknown
from geometry.clearance.remedies import WithinLargestTyre
from geometry.clearance.statements import (
    AxleAt,
    AxleFurtherBack,
    Gap,
    GapBelowLaw,
    NarrowerOrLowerTyre,
    NothingIsEnough,
    Place,
    ThisTyre,
    TyreAtMost,
    TyreWidth,
    TyreWidthNotKnown,
)
from geometry.clearance.tyre_room import Gaps, StayRoom, stay_gaps
from geometry.core import AnyOf, ContradictoryInput, Statement, checked

Use = Literal["mountain", "touring", "racing"]

STANDARD_GAP: dict[Use, float] = {"mountain": 6.0, "touring": 6.0, "racing": 4.0}
"""Least gap between tyre and frame or fork [mm]: ISO 4210-2, from an excerpt and memory."""

LEGAL_GAP_US = 1.6
"""Least gap between tyre and frame or fork [mm]: 16 CFR 1512.11(b)."""


@dataclass(frozen=True, kw_only=True, slots=True)
class TyreLevels:
    """The widest tyres a builder or fork maker states for one rim size.

    Parameters
    ----------
    recommended : float [mm]
        Widest recommended.
    largest : float [mm]
        Widest that goes in, with no standard room left.
    slot_position : float [mm]
        From which axle position backwards this holds.

    Raises
    ------
    InvalidInput
        A number of impossible size.
    ContradictoryInput
        A recommended tyre wider than goes in.
    """

    recommended: float
    largest: float
    slot_position: float = 0.0

    def __post_init__(self) -> None:
        checked("recommended", self.recommended, "mm", above=0)
        checked("largest", self.largest, "mm", above=0)
        checked("slot_position", self.slot_position, "mm", least=0)
        if self.recommended > self.largest:
            remedy = WithinLargestTyre(largest=float(self.largest))
            raise ContradictoryInput("recommended", self.recommended, remedy)


def levels_at(levels: Sequence[TyreLevels], *, slot_position: float) -> TyreLevels | None:
    """Which of a builder's statements applies at an axle position.

    Parameters
    ----------
    levels : sequence of TyreLevels
        In any order.
    slot_position : float [mm]
        Of the axle.

    Returns
    -------
    TyreLevels or None
        The one stated furthest back that the axle has reached; nothing is
        interpolated. ``None`` when the axle is ahead of all of them.

    Examples
    --------
    >>> front, back = TyreLevels(recommended=60, largest=66), TyreLevels(
    ...     recommended=65, largest=70, slot_position=22.0)
    >>> levels_at([front, back], slot_position=19.0).recommended
    60
    """
    reached = [level for level in levels if level.slot_position <= slot_position]
    return max(reached, key=lambda level: level.slot_position, default=None)


def tyre_levels_check(
    width: float,
    *,
    levels: Sequence[TyreLevels],
    slot_position: float = 0.0,
    end: Literal["rear", "front"] = "rear",
    source: str = Source.BUILDER,
) -> Check[Statement]:
    """Hold a tyre against what builder or fork maker states.

    Parameters
    ----------
    width : float [mm]
        As measured on its rim.
    levels : sequence of TyreLevels
        For its rim size; empty when none is stated.
    slot_position : float [mm]
        Of the axle.
    end : {"rear", "front"}
        Which wheel.
    source : str
        Who states them.

    Returns
    -------
    Check
        Code ``tyre.<end>.stated``, of safety: clear up to the recommended width,
        tight up to the largest. The remedy names the width, and the axle
        position if one further back is stated for it.

    Raises
    ------
    InvalidInput
        A width not above 0.

    Examples
    --------
    >>> stated = [TyreLevels(recommended=60, largest=66),
    ...           TyreLevels(recommended=70, largest=75, slot_position=22.0)]
    >>> tyre_levels_check(70.0, levels=stated).remedy.ways
    (TyreAtMost(width=60.0), AxleFurtherBack(position=22.0))
    """
    width = float(checked("width", width, "mm", above=0))
    code = f"tyre.{end}.stated"
    level = levels_at(levels, slot_position=slot_position)
    if level is None:
        missing, ask = TyreWidthNotKnown(), Ask(whom=source)
        return unknown(code, missing=missing, source=source, remedy=ask, safety=True)
    narrower = TyreAtMost(width=float(level.recommended))
    return judge(
        code,
        figure=width,
        limit=level.largest,
        unit="mm",
        reason=TyreWidth(width=width, recommended=level.recommended, largest=level.largest),
        source=source,
        remedy=AnyOf(ways=(narrower, *_slide(width, levels, slot_position))),
        sense="at most",
        band=level.largest - level.recommended,
        safety=True,
    )


def _slide(
    width: float, levels: Sequence[TyreLevels], slot_position: float
) -> tuple[AxleFurtherBack, ...]:
    """The nearest axle position further back for which the width is recommended."""
    further = [
        level.slot_position
        for level in levels
        if level.slot_position > slot_position and level.recommended >= width
    ]
    return (AxleFurtherBack(position=min(further)),) if further else ()


def tyre_gap_check(
    gaps: Gaps,
    *,
    use: Use,
    mud_room: float = 0.0,
    end: Literal["rear", "front"] = "rear",
    remedy: Statement | None = None,
) -> Check[Statement]:
    """Hold one build's gaps against the standard's, and the rider's wish for mud room.

    Parameters
    ----------
    gaps : Gaps
        As from `stay_gaps` or `fork_gaps`.
    use : {"mountain", "touring", "racing"}
        Which standard gap applies.
    mud_room : float [mm]
        Wished on top of it; tight while it is lacking.
    end : {"rear", "front"}
        Which wheel.
    remedy : Statement, optional
        What would make it clear, as from `room_remedy`; else a smaller tyre.

    Returns
    -------
    Check
        Code ``tyre.<end>.gap``, of safety.

    Raises
    ------
    InvalidInput
        Negative mud room.

    Examples
    --------
    >>> tyre_gap_check(Gaps(side=7.0, top=9.0), use="mountain", mud_room=4.0).outcome
    'tight'
    """
    mud_room = float(checked("mud_room", mud_room, "mm", least=0))
    least = float(gaps.least)
    places = (
        (Place.STAYS, Place.BRIDGE) if end == "rear" else (Place.FORK_LEGS, Place.CROWN_OR_ARCH)
    )
    place = places[0] if gaps.side <= gaps.top else places[1]
    legal = least >= LEGAL_GAP_US
    return judge(
        f"tyre.{end}.gap",
        figure=least,
        limit=STANDARD_GAP[use],
        unit="mm",
        reason=Gap(gap=least, place=place)
        if legal
        else GapBelowLaw(gap=least, place=place, floor=LEGAL_GAP_US),
        source=Source.ISO_4210_GAP,
        remedy=remedy or NarrowerOrLowerTyre(),
        band=mud_room,
        safety=True,
    )


def room_remedy(
    room: StayRoom,
    *,
    slot_position: float,
    radius: float,
    width: float,
    wanted: float,
    tyres: Sequence[tuple[str, float, float]] = (),
) -> AnyOf:
    """What would give the rear tyre the gap wanted: another axle position, another tyre.

    Parameters
    ----------
    room : StayRoom
        One frame's.
    slot_position : float [mm]
        Of the axle now.
    radius, width : float [mm]
        Of the tyre now.
    wanted : float [mm]
        Gap to reach.
    tyres : sequence of (name, radius, width) [mm]
        To be had for that rim.

    Returns
    -------
    AnyOf
        The first axle position from here backwards that is enough, to a tenth of a
        millimetre, and the widest tyre that is enough where the axle is; says so if
        there is neither.

    Examples
    --------
    >>> from geometry.drive import Slot
    >>> slot = Slot(chainstay_length=420.0, bb_drop=60.0, slot_length=22.0)
    >>> room = StayRoom(slot=slot, behind=[40.0, 160.0], between=[80.0, 110.0], bridge=42.0)
    >>> room_remedy(room, slot_position=0.0, radius=374.0, width=66.0, wanted=10.0).ways
    (AxleAt(position=6.1),)
    """
    end = float(np.max(room.slot.slot_length))
    start = float(checked("slot_position", slot_position, "mm", least=0))
    tenths = np.arange(np.ceil(10 * start), np.floor(10 * end) + 1) / 10.0
    gaps = stay_gaps(room, slot_position=tenths, radius=radius, width=width)
    enough = tenths[np.atleast_1d(gaps.least) >= wanted]
    ways: list[Statement] = [AxleAt(position=float(enough[0]))] if enough.size else []
    ways += _widest(room, start, wanted, tyres) if tyres else []
    return AnyOf(ways=tuple(ways or [NothingIsEnough()]))


def _widest(
    room: StayRoom, position: float, wanted: float, tyres: Sequence[tuple[str, float, float]]
) -> list[ThisTyre]:
    """The widest of some tyres that leaves the gap wanted, if one does."""
    names, radius, width = zip(*tyres, strict=True)
    gaps = stay_gaps(room, slot_position=position, radius=np.array(radius), width=np.array(width))
    enough = np.asarray(gaps.least) >= wanted
    fitting = [
        each for each, fits in zip(zip(width, names, strict=True), enough, strict=True) if fits
    ]
    return [ThisTyre(tyre=max(fitting)[1])] if fitting else []
