"""Bottles on their mounts, and against a dropper post."""

from __future__ import annotations

import pytest

from geometry.clearance import DropperAtMost, NoBottleOnMount, NoBottleOnSeatTube, OtherBottle
from geometry.clearance.bottles import Bottle, BottleMount, bottle_check, dropper_and_bottle_check
from geometry.clearance.post import Post, SeatTube, post_check
from geometry.core import AnyOf
from geometry.core.errors import InvalidInput

SMALL = Bottle(name="0.5 litre", length=180.0, diameter=74.0)
MIDDLE = Bottle(name="0.6 litre", length=205.0, diameter=74.0)
LARGE = Bottle(name="0.75 litre", length=250.0, diameter=74.0)
TUBE = SeatTube(length=420.0, depth=260.0)
LONG = Post(body=270.0, head=220.0, least_insertion=90.0, travel=170.0)
SHORT = Post(body=200.0, head=175.0, least_insertion=90.0, travel=125.0)
DROPPERS = Post(body=[200.0, 270.0], head=[175.0, 220.0], least_insertion=90.0, travel=[125, 170])  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("bottle", "outcome"), [(SMALL, "clear"), (MIDDLE, "clear"), (LARGE, "no")]
)
def test_a_bottle_fits_by_length_and_diameter(bottle: Bottle, outcome: str) -> None:
    mount = BottleMount(name="down tube", length=205.0, diameter=75.0)
    check = bottle_check(mount, bottle, others=[SMALL, MIDDLE, LARGE])
    assert check.outcome == outcome
    assert check.remedy == (OtherBottle(bottle="0.6 litre") if outcome == "no" else "")
    assert check.code == "bottle.down_tube"


def test_a_thick_bottle_and_no_other_means_no_bottle() -> None:
    mount = BottleMount(name="seat tube", length=300.0, diameter=70.0)
    check = bottle_check(mount, SMALL)
    assert check.margin == -4.0
    assert check.remedy == NoBottleOnMount(mount="seat tube")


def test_an_unmeasured_mount_is_not_known() -> None:
    assert bottle_check(None, SMALL).outcome is None


def test_a_long_dropper_excludes_the_bottle_and_both_ways_out_work() -> None:
    check = dropper_and_bottle_check(
        TUBE, LONG, saddle_height=730.0, saddle_stack=45.0, boss=190.0, posts=DROPPERS
    )
    assert check.outcome == "no"
    assert check.figure == pytest.approx(420 + 270 + 220 + 45 - 730)
    assert check.remedy == AnyOf(ways=(NoBottleOnSeatTube(), DropperAtMost(travel=125.0)))
    without_bottle = post_check(TUBE, LONG, saddle_height=730.0, saddle_stack=45.0)
    assert without_bottle.outcome == "clear"
    shorter = dropper_and_bottle_check(
        TUBE, SHORT, saddle_height=730.0, saddle_stack=45.0, boss=190.0
    )
    assert shorter.outcome == "clear"


def test_a_short_rider_keeps_no_dropper_with_the_bottle() -> None:
    check = dropper_and_bottle_check(
        TUBE, LONG, saddle_height=600.0, saddle_stack=45.0, boss=190.0, posts=DROPPERS
    )
    assert check.remedy == AnyOf(ways=(NoBottleOnSeatTube(),))


def test_an_unknown_boss_is_not_known() -> None:
    check = dropper_and_bottle_check(TUBE, LONG, saddle_height=730.0, saddle_stack=45.0, boss=None)
    assert check.outcome is None


def test_bad_sizes_are_named() -> None:
    with pytest.raises(InvalidInput, match="length"):
        Bottle(name="none", length=0.0, diameter=74.0)
    with pytest.raises(InvalidInput, match="diameter"):
        BottleMount(name="seat tube", length=200.0, diameter=float("nan"))
