"""Chain or belt in the slot, judged: closing, lasting, agreeing with the axle chosen."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.core import AnyOf
from geometry.core.errors import InvalidInput
from geometry.drive import (
    AxleSetAt,
    HalfLink,
    OtherPair,
    PairCloses,
    SetAxleAt,
    TensionerOrLongerSlot,
    closing_positions,
)
from geometry.drive.axle_position import Fitting
from geometry.drive.loop import centre_distance
from geometry.drive.slot import Slot, centre_at, free_play_shift
from geometry.drive.slot_checks import agreement, slot_check

SLIDING = Slot(chainstay_length=420.0, bb_drop=60.0, slot_length=22.0)
SHORT = Slot(chainstay_length=420.0, bb_drop=60.0, slot_length=8.0)
FIXED = Slot(chainstay_length=426.0, bb_drop=60.0)


def test_the_page_s_position_and_the_chain_s_agree_or_it_says_so() -> None:
    found = closing_positions(SLIDING, ring=32, sprocket=20)
    new = float(np.asarray(found.new)[0])
    assert agreement(new, found).figure == 0.0
    assert agreement(new + 0.04, found).outcome == "clear"
    assert agreement(new + 0.4, found).outcome == "tight"
    apart = agreement(new + 3.0, found)
    assert apart.outcome == "no"
    assert apart.figure == pytest.approx(3.0)
    assert apart.remedy == SetAxleAt(position=new, pitches=94.0)


def test_half_a_millimetre_is_the_same_setting_and_a_twentieth_is_not_told() -> None:
    found = closing_positions(SLIDING, ring=32, sprocket=20)
    new = float(np.asarray(found.new)[0])
    outcomes = [agreement(new + off, found).outcome for off in (0.049, 0.051, 0.499, 0.501)]
    assert outcomes == ["clear", "tight", "tight", "no"]
    assert agreement(new + 0.499, found).limit == 0.5
    close = [agreement(new + off, found, tolerance=0.02).outcome for off in (0.0, 0.015, 0.03)]
    assert close == ["clear", "clear", "no"]


def test_of_two_settings_that_will_do_the_one_whose_play_is_least_is_named() -> None:
    one = closing_positions(SLIDING, ring=32, sprocket=20)
    both = dataclasses.replace(
        one.rows([0, 0]),
        new=np.array([5.9, 5.1]),
        allowance=np.array([2.0, 2.0]),
        pitches=np.array([94.0, 96.0]),
    )
    assert agreement(5.0, both).reason == AxleSetAt(position=5.0, pitches=96.0, closes_at=5.1)


def test_the_lengthening_told_is_that_at_which_the_slot_ends() -> None:
    """Lengthened by so much, the chain has 20 mm of play with its axle at the rear end."""
    check = slot_check(SLIDING, ring=32, sprocket=20)
    assert check.figure is not None
    longest = 94.0 * (1.0 + check.figure / 100.0)
    taut = centre_distance(longest, ring=32, sprocket=20)
    end = centre_at(SLIDING, SLIDING.slot_length)
    assert taut - free_play_shift(20.0, centre=taut) == pytest.approx(end, abs=0.01)
    assert check.limit == pytest.approx(0.75)  # [CP] of the chain's length, in hundredths
    assert check.margin == pytest.approx(check.figure - 0.75)
    assert isinstance(check.reason, PairCloses)
    assert check.reason.takes_up == check.figure


def test_where_nothing_closes_there_is_no_position_to_agree_with() -> None:
    check = agreement(0.0, closing_positions(FIXED, ring=32, sprocket=20))
    assert check.outcome == "no"
    assert check.figure is None
    with pytest.raises(InvalidInput, match="slot_position"):
        agreement(float("nan"), closing_positions(SLIDING, ring=32, sprocket=20))


def test_a_pair_that_closes_and_lasts_is_clear() -> None:
    check = slot_check(SLIDING, ring=32, sprocket=20)
    assert check.outcome == "clear"
    assert check.remedy == ""
    assert isinstance(check.reason, PairCloses)
    assert check.reason.pitches == 94


def test_a_slot_that_ends_before_the_chain_is_worn_is_tight() -> None:
    """94 links land at 11.2 mm and wear to 15.7 mm."""
    slot = Slot(chainstay_length=420.0, bb_drop=60.0, slot_length=14.0)
    check = slot_check(slot, ring=32, sprocket=20)
    assert check.outcome == "tight"
    assert check.margin is not None
    assert -0.75 < check.margin < 0


@given(ring=st.integers(28, 44), sprocket=st.integers(14, 24))
def test_the_pair_of_the_remedy_is_clear_itself(ring: int, sprocket: int) -> None:
    check = slot_check(
        SHORT,
        ring=ring,
        sprocket=sprocket,
        rings=[30.0, 32.0, 33.0, 34.0],
        sprockets=[16.0, 17.0, 18.0, 19.0, 20.0],
    )
    if check.outcome == "clear":
        return
    assert isinstance(check.remedy, AnyOf)
    instead = check.remedy.ways[-1]
    assert isinstance(instead, OtherPair)
    other = slot_check(SHORT, ring=instead.ring, sprocket=instead.sprocket)
    assert other.outcome == "clear"
    assert isinstance(other.reason, PairCloses)
    assert other.reason.pitches == instead.pitches
    halved = slot_check(SHORT, ring=ring, sprocket=sprocket, half_link=True)
    assert (check.remedy.ways[0] == HalfLink()) == (halved.outcome == "clear")


def test_a_fixed_axle_is_told_about_a_tensioner() -> None:
    check = slot_check(FIXED, ring=32, sprocket=20)
    assert check.outcome == "no"
    assert check.remedy == AnyOf(ways=(TensionerOrLongerSlot(),))


def test_a_belt_is_never_told_to_take_a_half_link() -> None:
    belt = Fitting.belt(pitch=9.0)
    check = slot_check(SHORT, ring=44, sprocket=24, fitting=belt, sold=[120, 140])
    assert check.outcome == "no"
    assert isinstance(check.remedy, AnyOf)
    assert HalfLink() not in check.remedy.ways
    sold = np.asarray(
        closing_positions(SLIDING, ring=44, sprocket=24, fitting=belt, sold=range(110, 145)).pitches
    )
    fits = slot_check(SLIDING, ring=44, sprocket=24, fitting=belt, sold=[int(sold[0])])
    assert fits.outcome == "clear"


def test_a_chain_may_sit_anywhere_within_its_play() -> None:
    """From least play (at ``new``) forward to most: here 0.17 mm of axle, so that half a
    millimetre off would leave the chain taut or hanging, and is not clear."""
    slot = Slot(chainstay_length=420.0, bb_drop=60.0, slot_length=22.0)
    found = closing_positions(slot, ring=32, sprocket=20)
    new, allowance = float(np.ravel(found.new)[0]), float(np.ravel(found.allowance)[0])
    assert 0.1 < allowance < 0.5
    for position in (new, new - allowance / 2, new - allowance, new + 0.04):
        assert agreement(position, found).outcome == "clear", position
    for position in (new + 0.06, new + 0.49, new - allowance - 0.06, new - allowance - 0.49):
        assert agreement(position, found).outcome == "tight", position
    for position in (new + 0.51, new - allowance - 0.51):
        assert agreement(position, found).outcome == "no"


def test_a_belt_runs_without_play_and_has_no_such_room() -> None:
    slot = Slot(chainstay_length=420.0, bb_drop=60.0, slot_length=22.0)
    belt = Fitting.belt(pitch=11.0)
    found = closing_positions(slot, ring=50, sprocket=24, fitting=belt, sold=range(90, 140))
    new = float(np.ravel(found.new)[0])
    assert agreement(new - 0.51, found).outcome == "no"


def test_the_pair_told_is_the_nearest_in_gear_of_those_that_last() -> None:
    """Against looking at every pair by itself."""
    rings, sprockets = list(range(28, 40)), list(range(14, 24))
    check = slot_check(SHORT, ring=32, sprocket=20, rings=rings, sprockets=sprockets)
    assert isinstance(check.remedy, AnyOf)
    (told,) = (way for way in check.remedy.ways if isinstance(way, OtherPair))
    misses = {}
    for ring in rings:
        for sprocket in sprockets:
            found = closing_positions(SHORT, ring=ring, sprocket=sprocket)
            if np.any(np.asarray(found.code) == 2):
                misses[ring, sprocket] = abs(ring / sprocket / 1.6 - 1.0)
    assert len(misses) > 5
    assert misses[int(told.ring), int(told.sprocket)] == pytest.approx(min(misses.values()))
