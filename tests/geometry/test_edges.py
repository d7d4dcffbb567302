"""Outcomes at the very edge of a range, and the amounts that remedies name.

A change of one token in a limit, a default or a rounding must show somewhere. Values are
worked out by hand beside each check.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass

import numpy as np
import pytest

from geometry.bike import Handlebar
from geometry.checks import (
    Check,
    Part,
    Rule,
    judge,
    judge_rule,
    usage_check,
)
from geometry.checks.outcomes import outcome_codes
from geometry.checks.usage import USAGE_CLASSES
from geometry.clearance import (
    LongerPost,
    Post,
    SeatTube,
    ShorterPost,
    Toe,
    largest_travel,
    post_check,
    toe_check,
    tyre_levels_check,
)
from geometry.clearance.post import free_depth, post_range
from geometry.core import InvalidInput, NoSolution
from geometry.drive import KeepHubRatio, Slot, hub_ratio_check
from geometry.drive.axle_position import Fitting, axle_positions, closing_positions
from geometry.drive.slot import position_at
from geometry.loads import FrontShare, RiderForward
from geometry.loads.wheel_loads import front_share_check, loading, mass_centre, permissible_check
from tests.architecture.reading_code import modules

SLIDING = Slot(chainstay_length=420.0, bb_drop=60.0, slot_length=22.0)
TUBE = SeatTube(length=420.0, depth=250.0)


def checked_classes() -> Iterator[type]:
    """Every input class of the package that declares checked numbers."""
    for module in modules("geometry"):
        found = vars(__import__(module.name, fromlist=["_"]))
        for kind in found.values():
            if is_dataclass(kind) and isinstance(kind, type) and kind.__module__ == module.name:
                yield kind


def test_whatever_must_be_above_something_must_be_above_nothing() -> None:
    # A tape's lengths may be negative; everything else that has a lower limit that does
    # not count itself is a length, a weight or a count, and half of a unit is one.
    above = {
        f"{kind.__name__}.{field.name}": field.metadata.get("above")
        for kind in checked_classes()
        for field in fields(kind)
        if field.metadata.get("above") is not None
    }
    assert len(above) > 20
    assert {name for name, bound in above.items() if bound != 0} == {"Measured.value"}


@pytest.mark.parametrize(
    "half",
    [
        lambda: free_depth(straight=0.5),
        lambda: free_depth(straight=260.0, boss=0.5, bottle=True),
        lambda: Fitting(pitch=0.5),
        lambda: loading(ahead=0.2, height=0.5, wheelbase=0.5),
        lambda: front_share_check(0.3, wheelbase=0.5, total=0.5, rider=0.5),
        lambda: permissible_check("load.rack", what="Rack", mass=0.1, limit=0.5),
        lambda: mass_centre([0.25, 0.25], [(0.0, 0.0), (2.0, 2.0)]),
    ],
)
def test_half_a_unit_is_a_usable_number(half: Callable[[], object]) -> None:
    assert half() is not None


def test_one_pitch_is_a_count_though_no_loop() -> None:
    with pytest.raises(NoSolution):
        axle_positions(SLIDING, ring=32, sprocket=20, pitches=1)


def test_limits_of_angles() -> None:
    for angle in (-89.0, 89.0):
        assert Handlebar(width=760.0, upsweep=angle).upsweep == angle
    for angle in (-89.5, 89.5):
        with pytest.raises(InvalidInput):
            Handlebar(width=760.0, upsweep=angle)
        with pytest.raises(InvalidInput):
            Handlebar(width=760.0, backsweep=angle)
    assert Slot(chainstay_length=420.0, bb_drop=60.0, slot_angle=90.0).slot_angle == 90.0
    with pytest.raises(InvalidInput):
        Slot(chainstay_length=420.0, bb_drop=60.0, slot_angle=90.5)


def test_a_post_s_remedy_is_in_whole_millimetres_and_enough() -> None:
    # 12.4 mm beyond the range and the 5 mm of its band are 17.4 mm: 18 are enough.
    post = Post(body=270.0, head=220.0, least_insertion=90.0, travel=170.0)
    reach = post_range(TUBE, post, saddle_stack=45.0)
    high, low = float(reach.highest) + 12.4, float(reach.lowest) - 12.4
    assert post_check(TUBE, post, saddle_height=high, saddle_stack=45.0).remedy == LongerPost(by=18)
    assert post_check(TUBE, post, saddle_height=low, saddle_stack=45.0).remedy == ShorterPost(by=18)


def test_a_rigid_post_that_fits_has_no_travel_but_a_place() -> None:
    rigid = Post(body=300.0, head=60.0, least_insertion=90.0, travel=0.0)
    lowest = 420.0 - 250.0 + 300.0 + 60.0 + 45.0
    travel, which = largest_travel(TUBE, rigid, saddle_height=lowest + 10.0, saddle_stack=45.0)
    assert (travel, which) == (0.0, 0.0)


def test_feet_held_to_the_pedals_have_no_limit() -> None:
    held = toe_check(Toe(clearance=0.005, steering_angle=20.0), feet_held=True)
    assert (held.outcome, held.limit, held.safety) == ("clear", 0.0, False)


def test_what_is_not_stated_of_tyres_is_of_safety() -> None:
    assert tyre_levels_check(60.0, levels=[]).safety


def test_a_check_is_of_no_safety_until_it_is_said() -> None:
    assert not Check(code="a", outcome="clear", reason="", source="").safety
    assert usage_check(wished=4, part="rim", stated=3).safety
    assert usage_check(wished=4, part="rim", stated=None).safety


def test_without_a_band_whatever_keeps_the_limit_is_clear() -> None:
    # A band below nothing is none, and none is not a hundredth.
    assert outcome_codes(np.array([0.0, 0.005])).tolist() == [2, 2]
    assert outcome_codes(np.array([0.005]), band=-1.0).tolist() == [2]
    assert judge("a", figure=1.005, limit=1.0, unit="", reason="", source="").outcome == "clear"


@pytest.mark.parametrize(("value", "kept"), [(4.9, False), (5, True), (7, True), (7.1, False)])
def test_both_ends_of_a_range_belong_to_it(value: float, kept: bool) -> None:
    rule = Rule(code="c", left="left.a", right="right.b", relation="within", source="")
    parts = {
        "left": Part(name="left", properties={"a": value}),
        "right": Part(name="right", properties={"b": (5, 7)}),
    }
    found = judge_rule(rule, parts)
    assert found is not None
    assert (found.outcome == "clear") == kept


def test_each_class_of_use_covers_its_own_ground() -> None:
    # EN 17406 [E]: 1 to 5 each cover those before; road sport covers paved ground alone.
    covers = {number: set(row.covers) for number, row in USAGE_CLASSES.items()}
    assert covers == {n: set(range(1, n + 1)) for n in range(1, 6)} | {6: {1, 6}}


def test_half_links_are_odd_chains_only() -> None:
    chain = closing_positions(SLIDING, ring=32, sprocket=20, half_link=True)
    assert np.asarray(chain.pitches).tolist() == [93.0, 94.0, 95.0]
    assert np.asarray(chain.half_link).tolist() == [True, False, True]
    belt = Fitting.belt(pitch=9.0)
    assert belt.mounting == 0.0
    odd = closing_positions(SLIDING, ring=55, sprocket=22, fitting=belt, sold=[131, 132, 133])
    assert not np.any(odd.half_link)


@pytest.mark.parametrize("sprocket", range(16, 25))
def test_a_count_that_closes_only_by_its_play_is_found(sprocket: int) -> None:
    # Every count is tried one by one; those found at once must be the same.
    slack = Fitting(least_play=2.0, most_play=60.0)
    short = Slot(chainstay_length=420.0, bb_drop=60.0, slot_length=3.0)
    alone = [
        count
        for count in range(80, 121, 2)
        if axle_positions(short, ring=32, sprocket=sprocket, pitches=count, fitting=slack).code
    ]
    found = closing_positions(short, ring=32, sprocket=sprocket, fitting=slack)
    assert np.asarray(found.pitches).tolist() == alone


def test_a_hub_s_largest_sprocket_is_not_lost_to_rounding() -> None:
    # 35 teeth at a least ratio of 1.75 are 20 sprocket teeth to the tooth.
    refused = hub_ratio_check(ring=35, sprocket=22, least_ratio=1.75, source="hub maker")
    assert refused.remedy == KeepHubRatio(ring=39.0, sprocket=20.0)


def test_a_centre_distance_just_beyond_the_slot_s_line_has_a_position() -> None:
    # A level slot at 60 mm above the BB: half a millimetre along it from the BB's foot.
    along = np.sqrt(420.0**2 - 60.0**2)
    assert position_at(SLIDING, float(np.hypot(60.0, 0.5))) == pytest.approx(0.5 - along)


def test_the_front_share_is_told_in_percent_and_no_move_is_none() -> None:
    enough = front_share_check(0.30, wheelbase=1100.0, total=95.0, rider=80.0)
    assert enough.reason == FrontShare(percent=30.0)
    assert enough.safety
    short = front_share_check(0.245, wheelbase=1000.0, total=100.0, rider=80.0)
    assert short.remedy == RiderForward(by=44.0)  # 0.035 × 1000 × 100/80 = 43.75
