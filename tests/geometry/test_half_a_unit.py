"""Numbers told to functions: refused from nothing down, or below it, and at no other number.

Half a unit is as usable as any; so is the edge of an angle. Each call is with one number alone
changed, and what refuses it names that number. What is left out is nothing, or all.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from geometry.bike import Fork, State
from geometry.bike.states import SAGGED, sag_of
from geometry.clearance import (
    Gaps,
    Pedal,
    Post,
    SeatTube,
    StayRoom,
    TyreLevels,
    Wheel,
    fork_gaps,
    pedal_ground_clearance,
    room_remedy,
    stay_gaps,
    toe_clearance,
    tyre_gap_check,
    tyre_levels_check,
)
from geometry.clearance.post import (
    along_axis_height,
    free_depth,
    insertion,
    largest_travel,
    least_insertion,
    post_range,
)
from geometry.core import GeometryError, InvalidInput
from geometry.drive import Fitting, Slot, closing_positions
from geometry.drive.axle_position import ranked
from geometry.drive.gearing import gears, smallest_ring
from geometry.drive.loop import centre_distance, loop_length
from geometry.drive.slot import free_play_shift, position_at
from geometry.drive.slot_checks import agreement

FORK = Fork(axle_to_crown=530.0, offset=44.0, travel=120.0)
SLOT = Slot(chainstay_length=420.0, bb_drop=60.0, slot_length=22.0)
ROOM = StayRoom(
    slot=SLOT, behind=np.array([40.0, 160.0]), between=np.array([80.0, 110.0]), bridge=42.0
)
TUBE = SeatTube(length=420.0, depth=250.0)
POST = Post(body=270.0, head=220.0, least_insertion=90.0, travel=170.0)
PEDAL = Pedal(crank_length=170.0, centre=135.0, outer=185.0)
REAR = Wheel(x=-430.0, y=60.0, radius=360.0, width=55.0)
FRONT = Wheel(x=640.0, y=60.0, radius=360.0, width=55.0)
AXLES = closing_positions(SLOT, ring=32, sprocket=20, half_link=True)
FORK_ROOM = {"radius": 370.0, "width": 58.0, "between_legs": 81.0, "arch_radius": 384.0}
GEARS = {"ring": 32, "sprocket": 20, "wheel_diameter": 740.0}

Call = Callable[[Any], object]

# A call by the name that its refusal gives, which takes the number.
LENGTHS: list[tuple[str, Call]] = [  # above nothing
    ("between", lambda v: replace(ROOM, between=np.array([v, 110.0]))),
    ("radius", lambda v: stay_gaps(ROOM, slot_position=0.0, radius=v, width=min(abs(v) / 2, 58.0))),
    ("width", lambda v: stay_gaps(ROOM, slot_position=0.0, radius=370.0, width=v)),
    ("between_legs", lambda v: fork_gaps(**{**FORK_ROOM, "between_legs": v}, crown_radius=500.0)),
    ("arch_radius", lambda v: fork_gaps(**{**FORK_ROOM, "arch_radius": v}, crown_radius=500.0)),
    ("crown_radius", lambda v: fork_gaps(**FORK_ROOM, crown_radius=v)),
    ("recommended", lambda v: TyreLevels(recommended=v, largest=66.0)),
    ("largest", lambda v: TyreLevels(recommended=min(v, 0.5) if v > 0 else 0.5, largest=v)),
    ("width", lambda v: tyre_levels_check(v, levels=[TyreLevels(recommended=60, largest=66)])),
    ("diameter", least_insertion),
    ("straight", lambda v: free_depth(straight=v)),
    ("boss", lambda v: free_depth(straight=260.0, boss=v, bottle=True)),
    ("saddle_height", along_axis_height),
    ("pitch", lambda v: Fitting(pitch=v)),
    ("chainstay", lambda v: ranked(AXLES, chainstay=v)),
    ("chainstay_step", lambda v: ranked(AXLES, chainstay=430.0, chainstay_step=v)),
    ("ratio", lambda v: ranked(AXLES, ratio=v)),
    ("ratio_step", lambda v: ranked(AXLES, ratio=1.6, ratio_step=v)),
    ("centre", lambda v: free_play_shift(10.0, centre=v)),
    ("wheel_diameter", lambda v: gears(**{**GEARS, "wheel_diameter": v})),
    ("hub_ratio", lambda v: gears(**GEARS, hub_ratio=v)),
    ("least_ratio", lambda v: smallest_ring(sprocket=20, least_ratio=v)),
    ("pitch", lambda v: loop_length(420.0, ring=32, sprocket=20, pitch=v)),
    ("pitch", lambda v: centre_distance(94.0, ring=32, sprocket=20, pitch=v)),
]

AMOUNTS: list[tuple[str, Call]] = [  # nothing or more
    ("front_deflection", lambda v: SAGGED.state(FORK, front_deflection=v)),
    ("rear_deflection", lambda v: SAGGED.state(FORK, rear_deflection=v)),
    ("sag", lambda v: SAGGED.state(FORK, sag=v)),
    ("sag", lambda v: sag_of(FORK, sag=v)),
    ("sag_fraction", lambda v: sag_of(FORK, fraction=v)),
    ("sag_fraction", lambda v: State.sagged(FORK, fraction=v)),
    ("bridge", lambda v: replace(ROOM, behind=np.array([0.0, 160.0]), bridge=v)),
    ("behind", lambda v: replace(ROOM, behind=np.array([v, 160.0]))),
    ("travel", lambda v: fork_gaps(**FORK_ROOM, crown_radius=500.0, travel=v)),
    ("slot_position", lambda v: TyreLevels(recommended=60.0, largest=66.0, slot_position=v)),
    ("mud_room", lambda v: tyre_gap_check(Gaps(side=7.0, top=9.0), use="racing", mud_room=v)),
    (
        "slot_position",
        lambda v: room_remedy(ROOM, slot_position=v, radius=370.0, width=60.0, wanted=6.0),
    ),
    ("stated", lambda v: least_insertion(31.6, stated=v)),
    ("saddle_stack", lambda v: post_range(TUBE, POST, saddle_stack=v)),
    ("saddle_stack", lambda v: insertion(TUBE, POST, saddle_height=730.0, saddle_stack=v)),
    ("saddle_stack", lambda v: largest_travel(TUBE, POST, saddle_height=730.0, saddle_stack=v)),
    ("wear", lambda v: Fitting(wear=v / 10.0)),
    ("least_play", lambda v: Fitting(least_play=v)),
    ("mounting", lambda v: Fitting(mounting=v)),
    ("slot_position", lambda v: agreement(v, AXLES)),
    ("tolerance", lambda v: agreement(5.0, AXLES, tolerance=v)),
    ("play", lambda v: free_play_shift(v, centre=420.0)),
    ("cadence", lambda v: gears(**GEARS, cadence=v)),
    ("lean", lambda v: pedal_ground_clearance(rear=REAR, front=FRONT, pedal=PEDAL, lean=v)),
]


def refused(call: Call, value: float) -> str | None:
    """The name of the number at fault, if it is refused for being out of its range."""
    try:
        call(value)
    except InvalidInput as error:
        return error.field
    return None


@pytest.mark.parametrize(("name", "call"), LENGTHS, ids=[name for name, _ in LENGTHS])
def test_a_length_or_ratio_begins_above_nothing(name: str, call: Call) -> None:
    assert refused(call, 0.5) is None
    assert refused(call, 0.0) == name
    assert refused(call, -0.5) == name


@pytest.mark.parametrize(("name", "call"), AMOUNTS, ids=[name for name, _ in AMOUNTS])
def test_an_amount_begins_at_nothing(name: str, call: Call) -> None:
    assert refused(call, 0.0) is None
    assert refused(call, 0.5) is None
    assert refused(call, -0.001) == name


@pytest.mark.parametrize(
    ("name", "call", "least", "most"),
    [
        ("sag_fraction", lambda v: sag_of(FORK, fraction=v), None, 1.0),
        ("sag_fraction", lambda v: State.sagged(FORK, fraction=v), None, 1.0),
        ("wear", lambda v: Fitting(wear=v), None, 0.05),
        ("lean", AMOUNTS[-1][1], None, 89.0),
        (
            "head_angle",
            lambda v: toe_clearance(
                wheel=FRONT, head_angle=v, axis_x=590.0, axis_y=60.0, pedal=PEDAL
            ),
            30.0,
            100.0,
        ),
    ],
)
def test_where_a_range_ends(name: str, call: Call, least: float | None, most: float) -> None:
    assert refused(call, most) is None
    assert refused(call, most * 1.004) == name
    if least is not None:
        assert refused(call, least) is None
        assert refused(call, least * 0.996) == name


@pytest.mark.parametrize(
    ("name", "call"),
    [
        ("centre", lambda v: loop_length(v, ring=32, sprocket=20)),
        ("centre", lambda v: position_at(SLOT, v)),
        ("pitches", lambda v: centre_distance(v, ring=32, sprocket=20)),
    ],
)
def test_what_is_too_short_to_close_is_a_number_all_the_same(name: str, call: Call) -> None:
    """Half a unit is a length, of which no loop can be made; nothing is none."""
    assert refused(call, 0.0) == name
    with pytest.raises(GeometryError) as error:
        call(0.5)
    assert not isinstance(error.value, InvalidInput)


def test_a_slack_run_s_most_play_is_no_less_than_its_least() -> None:
    assert Fitting(least_play=4.0, most_play=4.0).most_play == 4.0
    with pytest.raises(InvalidInput) as error:
        Fitting(least_play=4.0, most_play=3.9)
    assert error.value.field == "most_play"


def test_what_is_left_out_is_nothing_or_all() -> None:
    nothing = SAGGED.state(FORK)
    assert nothing.fork_compression == 0.0
    assert nothing.front_deflection == nothing.rear_deflection == 0.0
    assert fork_gaps(**FORK_ROOM, crown_radius=384.0).top == 14.0
    stated = [TyreLevels(recommended=60.0, largest=66.0, slot_position=0.005)]
    assert tyre_levels_check(50.0, levels=stated).outcome is None
    assert tyre_gap_check(Gaps(side=6.005, top=9.0), use="mountain").outcome == "clear"
    assert least_insertion(0.004) == 0.008
    assert along_axis_height(0.005) == 0.005
    assert Fitting.belt(pitch=9.0).mounting == 0.0
    assert gears(**GEARS).ratio == 1.6
