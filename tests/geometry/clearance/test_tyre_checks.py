"""Tyre room judged: builder's statements, standard and legal floors, mud room, remedies.

Marks: [R] read in the source, [E/M] from an excerpt and memory.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from geometry.bike.wheels import measured_width, radius
from geometry.clearance import (
    AxleAt,
    AxleFurtherBack,
    Gap,
    GapBelowLaw,
    NothingIsEnough,
    Place,
    ThisTyre,
    TyreAtMost,
)
from geometry.clearance.tyre_checks import (
    LEGAL_GAP_US,
    STANDARD_GAP,
    TyreLevels,
    levels_at,
    room_remedy,
    tyre_gap_check,
    tyre_levels_check,
)
from geometry.clearance.tyre_room import Gaps, StayRoom, stay_gaps
from geometry.core import AnyOf
from geometry.core.errors import ContradictoryInput, InvalidInput
from geometry.drive.slot import Slot

STATED = [
    TyreLevels(recommended=60.0, largest=66.0),
    TyreLevels(recommended=70.0, largest=75.0, slot_position=22.0),
]
SLOT = Slot(chainstay_length=420.0, bb_drop=60.0, slot_length=22.0)
ROOM = StayRoom(
    slot=SLOT,
    behind=np.array([40.0, 160.0]),
    between=np.array([80.0, 110.0]),
    bridge=42.0,
)


def test_floors() -> None:
    """[E/M] ISO 4210-2: 6 mm, racing 4 mm. [R] 16 CFR 1512.11(b): 1.6 mm."""
    assert STANDARD_GAP == {"mountain": 6.0, "touring": 6.0, "racing": 4.0}
    assert LEGAL_GAP_US == 1.6


def test_sizes_of_the_tyres_in_question() -> None:
    """[E] ISO 5775: 60-622 is 742 mm over the tyre, 57-584 698, 71-622 764."""
    for width, rim, diameter in ((60.0, 622.0, 742.0), (57.0, 584.0, 698.0), (71.0, 622.0, 764.0)):
        assert 2 * radius(nominal_width=width, bead_seat_diameter=rim) == diameter
    assert measured_width(60.0, measured_on=30.0, rim_inner_width=35.0) == pytest.approx(62.0)


@pytest.mark.parametrize(
    ("width", "position", "outcome"),
    [
        (60.0, 0.0, "clear"),
        (60.1, 0.0, "tight"),
        (66.0, 19.9, "tight"),
        (66.1, 0.0, "no"),
        (70.0, 22.0, "clear"),
        (76.1, 20.0, "no"),
    ],
)
def test_stated_levels(width: float, position: float, outcome: str) -> None:
    check = tyre_levels_check(width, levels=STATED, slot_position=position)
    assert check.outcome == outcome
    assert check.safety


def test_a_statement_further_back_is_offered_as_a_way_out() -> None:
    back, nowhere = (tyre_levels_check(width, levels=STATED).remedy for width in (70.0, 75.0))
    assert isinstance(back, AnyOf)
    assert back.ways[1:] == (AxleFurtherBack(position=22.0),)
    assert isinstance(nowhere, AnyOf)
    assert [type(way) for way in nowhere.ways] == [TyreAtMost]
    third = [*STATED, TyreLevels(recommended=80.0, largest=85.0, slot_position=30.0)]
    nearest = tyre_levels_check(70.0, levels=third).remedy
    assert isinstance(nearest, AnyOf)
    assert nearest.ways[1:] == (AxleFurtherBack(position=22.0),), "the nearest that will do"


def test_where_nothing_is_stated_it_is_not_known() -> None:
    assert tyre_levels_check(60.0, levels=[]).outcome is None
    assert tyre_levels_check(60.0, levels=[]).safety
    late = [TyreLevels(recommended=60.0, largest=66.0, slot_position=10.0)]
    assert levels_at(late, slot_position=5.0) is None
    assert tyre_levels_check(60.0, levels=late, slot_position=5.0).outcome is None


@pytest.mark.parametrize(
    ("gap", "use", "mud", "outcome"),
    [
        (5.9, "mountain", 0.0, "no"),
        (6.0, "mountain", 0.0, "clear"),
        (6.0, "touring", 4.0, "tight"),
        (10.0, "touring", 4.0, "clear"),
        (4.0, "racing", 0.0, "clear"),
        (-2.0, "racing", 0.0, "no"),
    ],
)
def test_gaps_against_the_standard(gap: float, use: str, mud: float, outcome: str) -> None:
    check = tyre_gap_check(Gaps(side=gap, top=gap + 1), use=use, mud_room=mud)  # type: ignore[arg-type]
    assert check.outcome == outcome
    assert check.safety


def test_the_reason_names_the_place_and_the_legal_floor_only_when_broken() -> None:
    narrow = tyre_gap_check(Gaps(side=1.0, top=9.0), use="mountain")
    assert narrow.reason == GapBelowLaw(gap=1.0, place=Place.STAYS, floor=1.6)
    tall = tyre_gap_check(Gaps(side=8.0, top=4.0), use="mountain", end="front")
    assert tall.reason == Gap(gap=4.0, place=Place.CROWN_OR_ARCH)


def test_the_remedy_s_axle_position_is_enough_and_a_tenth_less_is_not() -> None:
    remedy = room_remedy(ROOM, slot_position=0.0, radius=374.0, width=66.0, wanted=10.0)
    at = remedy.ways[0]
    assert isinstance(at, AxleAt)
    position = at.position
    enough, short = (
        stay_gaps(ROOM, slot_position=s, radius=374.0, width=66.0).least
        for s in (position, position - 0.1)
    )
    assert short < 10.0 <= enough


def test_the_remedy_s_tyre_is_the_widest_that_is_enough() -> None:
    tyres = [("58-622", 369.0, 58.0), ("61-622", 372.0, 61.0), ("70-622", 381.0, 70.0)]
    remedy = room_remedy(
        ROOM, slot_position=22.0, radius=382.0, width=71.0, wanted=16.0, tyres=tyres
    )
    assert remedy == AnyOf(ways=(ThisTyre(tyre="61-622"),))
    fitting = [
        name
        for name, high, wide in tyres
        if stay_gaps(ROOM, slot_position=22.0, radius=high, width=wide).least >= 16.0
    ]
    assert fitting == ["58-622", "61-622"]


def test_when_nothing_helps_it_says_so() -> None:
    remedy = room_remedy(ROOM, slot_position=0.0, radius=400.0, width=66.0, wanted=10.0)
    assert remedy == AnyOf(ways=(NothingIsEnough(),))


def test_bad_statements_are_named() -> None:
    with pytest.raises(ContradictoryInput, match="recommended"):
        TyreLevels(recommended=70.0, largest=66.0)
    with pytest.raises(InvalidInput, match="largest"):
        TyreLevels(recommended=70.0, largest=float("nan"))
    with pytest.raises(InvalidInput, match="width"):
        tyre_levels_check(-1.0, levels=STATED)
    with pytest.raises(InvalidInput, match="mud_room"):
        tyre_gap_check(Gaps(side=8.0, top=8.0), use="touring", mud_room=-1.0)


WHEEL: dict[str, Any] = {"radius": 374.0, "width": 66.0}


def least_at(position: float) -> float:
    return float(stay_gaps(ROOM, slot_position=position, **WHEEL).least)


@pytest.mark.parametrize(
    ("here", "enough_at", "ways"),
    [
        (3.14, 3.14, (AxleAt(position=3.2),)),
        (3.14, 2.0, (AxleAt(position=3.2),)),
        (0.0, 6.05, (AxleAt(position=6.1),)),
        (0.0, 22.0, (AxleAt(position=22.0),)),
        (0.0, 22.05, (NothingIsEnough(),)),
    ],
)
def test_the_axle_is_sent_to_the_first_tenth_that_is_enough_and_never_beyond_the_slot(
    here: float, enough_at: float, ways: tuple[object, ...]
) -> None:
    wanted = least_at(enough_at) - 1e-9
    assert room_remedy(ROOM, slot_position=here, wanted=wanted, **WHEEL).ways == ways


def test_a_tyre_and_its_axle_are_at_the_front_unless_it_is_told() -> None:
    levels = [TyreLevels(slot_position=0.0, recommended=0.06, largest=0.07)]
    assert tyre_levels_check(0.05, levels=levels).outcome == "clear"
    later = [TyreLevels(slot_position=0.005, recommended=60.0, largest=70.0)]
    assert tyre_levels_check(50.0, levels=later).outcome is None
