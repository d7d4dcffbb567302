"""Where the axle lands: which counts close, wear, play, belts, fixed axles, ranking."""

from __future__ import annotations

import dataclasses
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.core.errors import InvalidInput, NoSolution
from geometry.drive.axle_position import CHAIN, Fitting, axle_positions, closing_positions, ranked
from geometry.drive.loop import centre_distance, loop_length
from geometry.drive.slot import Slot, centre_at, free_play_shift

SLIDING = Slot(chainstay_length=420.0, bb_drop=60.0, slot_length=22.0)
RINGS = np.arange(28.0, 45.0)[:, None]
SPROCKETS = np.arange(14.0, 25.0)
slots = st.builds(
    Slot,
    chainstay_length=st.floats(400.0, 460.0),
    bb_drop=st.floats(30.0, 80.0),
    slot_length=st.floats(0.0, 35.0),
    slot_angle=st.floats(-20.0, 20.0),
)
rings, sprockets = st.integers(26, 50), st.integers(12, 24)


@given(slot=slots, ring=rings, sprocket=sprockets)
def test_every_count_that_closes_is_found_and_no_other(
    slot: Slot, ring: int, sprocket: int
) -> None:
    """Against trying every even count there is."""
    tried = axle_positions(slot, ring=ring, sprocket=sprocket, pitches=np.arange(80.0, 140.0, 2.0))
    expected = np.asarray(tried.pitches)[np.asarray(tried.code) > 0]
    found = closing_positions(slot, ring=ring, sprocket=sprocket)
    assert np.asarray(found.pitches).tolist() == expected.tolist()


@given(slot=slots, ring=rings, sprocket=sprockets)
def test_the_chain_has_its_play_at_new_and_its_length_at_worn(
    slot: Slot, ring: int, sprocket: int
) -> None:
    found = closing_positions(slot, ring=ring, sprocket=sprocket, half_link=True)
    for i, count in enumerate(np.asarray(found.pitches)):
        if slot.slot_length in (np.asarray(found.new)[i], np.asarray(found.worn)[i]):
            continue  # set at the slot's end, with more play than the least
        straight = loop_length(
            centre_at(slot, np.asarray(found.taut)[i]), ring=ring, sprocket=sprocket
        )
        assert straight == pytest.approx(count, abs=1e-9)
        lengthened = centre_at(
            slot,
            np.asarray(found.worn)[i] + np.asarray(found.taut)[i] - np.asarray(found.new)[i],
        )
        worn = loop_length(lengthened, ring=ring, sprocket=sprocket)
        assert worn / count - 1 == pytest.approx(CHAIN.wear, abs=1e-9)


@given(slot=slots, ring=rings, sprocket=sprockets, pitches=st.integers(100, 130))
def test_more_teeth_bring_the_axle_forward_and_links_back(
    slot: Slot, ring: int, sprocket: int, pitches: int
) -> None:
    here = axle_positions(slot, ring=ring, sprocket=sprocket, pitches=pitches)
    assert axle_positions(slot, ring=ring + 1, sprocket=sprocket, pitches=pitches).new < here.new
    assert axle_positions(slot, ring=ring, sprocket=sprocket + 1, pitches=pitches).new < here.new
    assert axle_positions(slot, ring=ring, sprocket=sprocket, pitches=pitches + 1).new > here.new


@given(slot=slots, ring=rings, sprocket=sprockets)
def test_wear_room_and_the_code_tell_the_same(slot: Slot, ring: int, sprocket: int) -> None:
    found = closing_positions(slot, ring=ring, sprocket=sprocket)
    room, code = np.asarray(found.wear_room), np.asarray(found.code)
    clearly = np.abs(room - CHAIN.wear) > 1e-6
    assert np.array_equal((room > CHAIN.wear)[clearly], (code == 2)[clearly])


@given(slot=slots, ring=rings, sprocket=sprockets)
def test_play_at_most_and_the_wear_it_takes(slot: Slot, ring: int, sprocket: int) -> None:
    """The axle at the slot's end and 20 mm of play: what the chain may have lengthened to."""
    found = closing_positions(slot, ring=ring, sprocket=sprocket, half_link=True)
    for i, count in enumerate(np.asarray(found.pitches)):
        taut, new = np.asarray(found.taut)[i], np.asarray(found.new)[i]
        straight = centre_at(slot, taut)
        most = free_play_shift(20.0, centre=straight)
        assert new - np.asarray(found.allowance)[i] == pytest.approx(taut - most, abs=1e-9)
        longest = count * (1 + np.asarray(found.wear_room)[i])
        reach = centre_distance(longest, ring=ring, sprocket=sprocket)
        assert reach == pytest.approx(centre_at(slot, slot.slot_length + most), abs=1e-6)
        assert np.asarray(found.left)[i] == pytest.approx(slot.slot_length - new)
        assert np.asarray(found.chainstay)[i] == pytest.approx(centre_at(slot, new))


def test_a_chain_as_the_trade_sets_it_up() -> None:
    """[CP] 10 to 20 mm of play; worn out at 0.75 %, the stricter end of 0.75 to 1 %."""
    assert (CHAIN.drive, CHAIN.pitch) == ("chain", 12.7)
    assert (CHAIN.least_play, CHAIN.most_play, CHAIN.wear) == (10.0, 20.0, 0.0075)
    assert CHAIN.mounting == 0.0


def test_what_a_fitting_may_just_be() -> None:
    assert Fitting(wear=0.05, least_play=0.0, most_play=0.0).most_play == 0.0
    assert Fitting(least_play=15.0, most_play=15.0).least_play == 15.0
    with pytest.raises(InvalidInput, match="wear"):
        Fitting(wear=0.0501)


def test_a_belt_has_neither_play_nor_wear_and_is_put_on_where_it_runs() -> None:
    belt = Fitting.belt(pitch=11.0)
    assert (belt.wear, belt.least_play, belt.most_play, belt.mounting) == (0.0, 0.0, 0.0, 0.0)


def test_an_axle_at_the_slots_end_keeps_its_most_play_and_tells_what_wear_would_ask() -> None:
    """A slot that ends 0.1 mm before the new position; wear would draw it millimetres further."""
    whole = axle_positions(SLIDING, ring=32, sprocket=20, pitches=94)
    end = float(whole.new) - 0.1
    slot = Slot(chainstay_length=420.0, bb_drop=60.0, slot_length=end)
    axles = axle_positions(slot, ring=32, sprocket=20, pitches=94)
    assert axles.code == 1
    assert (axles.new, axles.left) == pytest.approx((end, 0.0))
    most = free_play_shift(20.0, centre=centre_at(slot, axles.taut))
    assert axles.new - axles.allowance == pytest.approx(axles.taut - most, abs=1e-9)
    assert axles.worn == pytest.approx(whole.worn)


def test_wishes_and_steps_may_be_small_numbers() -> None:
    """In metres the order is that in millimetres; a ratio below 1 is one to wish for."""
    pairs = closing_positions(SLIDING, ring=RINGS, sprocket=SPROCKETS)
    small = dataclasses.replace(pairs, chainstay=np.asarray(pairs.chainstay) / 1000.0)
    order = ranked(pairs, chainstay=425.0, chainstay_step=10.0, ratio=1.8)
    assert ranked(small, chainstay=0.425, chainstay_step=0.01, ratio=1.8).tolist() == order.tolist()
    swapped = dataclasses.replace(pairs, ring=pairs.sprocket, sprocket=pairs.ring)
    best = swapped.rows(ranked(swapped, ratio=0.625)[:1])
    assert float(np.asarray(best.ring / best.sprocket)[0]) == pytest.approx(0.625, rel=0.02)


def test_a_slot_that_just_takes_all_wear_or_just_closes() -> None:
    """At each edge by a hundredth of a millimetre, on either side."""
    axles = axle_positions(SLIDING, ring=32, sprocket=20, pitches=94)
    worn_end = float(axles.worn - axles.allowance)
    new_end = float(axles.new - axles.allowance)
    for length, code in [
        (worn_end + 0.01, 2),
        (worn_end - 0.01, 1),
        (new_end + 0.01, 1),
        (new_end - 0.01, 0),
    ]:
        slot = Slot(chainstay_length=420.0, bb_drop=60.0, slot_length=length)
        assert axle_positions(slot, ring=32, sprocket=20, pitches=94).code == code


def test_ten_millimetres_miss_as_much_as_a_tenth_of_the_ratio() -> None:
    """Two hand-made positions: one misses the chainstay, the other the ratio."""
    pairs = closing_positions(SLIDING, ring=RINGS, sprocket=SPROCKETS)
    two = pairs.rows([0, 0])

    def first(chainstay_miss: float, ratio_miss: float) -> int:
        missed = dataclasses.replace(
            two,
            chainstay=np.array([430.0 + chainstay_miss, 430.0]),
            ring=np.array([32.0, 32.0 * (1.0 + ratio_miss)]),
            sprocket=np.array([20.0, 20.0]),
        )
        return int(ranked(missed, chainstay=430.0, ratio=1.6)[0])

    assert first(10.0, 0.0995) == 1
    assert first(10.0, 0.1005) == 0
    assert first(-10.0, -0.0995) == 1


def test_half_links_halve_the_steps() -> None:
    even = closing_positions(SLIDING, ring=32, sprocket=20)
    every = closing_positions(SLIDING, ring=32, sprocket=20, half_link=True)
    assert set(np.asarray(even.pitches)) < set(np.asarray(every.pitches))
    steps = [b - a for a, b in pairwise(np.asarray(every.new))]
    assert steps == pytest.approx([6.4] * len(steps), abs=0.1)


def test_a_fixed_axle_closes_only_for_lucky_pairs() -> None:
    """Slot length 0: the chain's play must come out between 10 and 20 mm by itself.

    By the handbook's form 94 links close at (68 + √(68² − 8 (12/2π)²))/4 = 33.946 pitches,
    431.12 mm, and 10 to 20 mm of play take v²/4C = 0.06 to 0.23 mm off that.
    """
    fixed = Slot(chainstay_length=430.9, bb_drop=60.0)
    found = closing_positions(fixed, ring=RINGS, sprocket=SPROCKETS)
    assert (32, 20, 94) in set(
        zip(found.ring, found.sprocket, found.pitches, strict=True)  # type: ignore[arg-type]
    )
    for position in np.asarray(found.taut):
        least, most = (free_play_shift(play, centre=430.9) for play in (10.0, 20.0))
        assert least - 1e-3 <= position <= most + 1e-3
    assert np.all(np.asarray(found.code) == 1)


def test_when_nothing_closes_the_table_is_empty() -> None:
    """94 links close near 431 mm, as above, and 92 a pitch, 12.7 mm, before that."""
    nothing = closing_positions(Slot(chainstay_length=426.0, bb_drop=60.0), ring=32, sprocket=20)
    assert np.size(nothing.ring) == 0


def test_a_belt_comes_in_the_lengths_sold() -> None:
    """Against placing every length sold by hand."""
    sold = [120, 123, 126, 129, 132, 135, 138]
    fitting = Fitting.belt(pitch=9.0)
    found = closing_positions(SLIDING, ring=44, sprocket=24, fitting=fitting, sold=sold)
    by_hand = [
        count
        for count in sold
        if loop_length(420.0, ring=44, sprocket=24, drive="belt", pitch=9.0)
        <= count
        <= loop_length(centre_at(SLIDING, 22.0), ring=44, sprocket=24, drive="belt", pitch=9.0)
    ]
    assert np.asarray(found.pitches).tolist() == by_hand
    assert len(by_hand) > 0
    assert np.array_equal(found.new, found.worn)
    with pytest.raises(InvalidInput, match="sold"):
        closing_positions(SLIDING, ring=44, sprocket=24, fitting=fitting)


def test_a_belt_needs_slot_ahead_to_be_put_on() -> None:
    plain_belt = closing_positions(
        SLIDING, ring=44, sprocket=24, fitting=Fitting.belt(pitch=9.0), sold=range(110, 145)
    )
    flanged = closing_positions(
        SLIDING,
        ring=44,
        sprocket=24,
        fitting=Fitting.belt(pitch=9.0, mounting=8.0),
        sold=range(110, 145),
    )
    new = np.asarray(plain_belt.new)
    assert np.asarray(flanged.new).tolist() == new[new >= 8.0].tolist()
    assert 0 < np.size(flanged.new) < new.size


def test_ranking_puts_wear_first_then_the_wish_then_adjustment() -> None:
    pairs = closing_positions(SLIDING, ring=RINGS, sprocket=SPROCKETS, half_link=True)
    order = ranked(pairs, chainstay=430.0)
    best = pairs.rows(order)
    keys = list(
        zip(
            -np.asarray(best.code),
            np.abs(np.asarray(best.chainstay) - 430.0),
            np.asarray(best.half_link),
            -np.asarray(best.left),
            strict=True,
        )
    )
    assert keys == sorted(keys)
    assert sorted(order.tolist()) == list(range(np.size(pairs.ring)))
    unwished = pairs.rows(ranked(pairs))
    lasting = np.asarray(unwished.code) == 2
    half = np.asarray(unwished.half_link)[lasting]
    assert np.all(np.diff(half.astype(int)) >= 0)  # all even counts, then all odd ones
    for odd in (False, True):
        left = np.asarray(unwished.left)[lasting][half == odd]
        assert np.all(np.diff(left) <= 0)


def test_ranking_by_gear() -> None:
    pairs = closing_positions(SLIDING, ring=RINGS, sprocket=SPROCKETS)
    best = pairs.rows(ranked(pairs, ratio=1.6)[:1])
    ratios = np.asarray(pairs.ring) / np.asarray(pairs.sprocket)
    lasting = ratios[np.asarray(pairs.code) == 2]
    assert float(np.asarray(best.ring)[0] / np.asarray(best.sprocket)[0]) == pytest.approx(
        lasting[np.argmin(np.abs(lasting - 1.6))]
    )
    with pytest.raises(InvalidInput, match="ratio"):
        ranked(pairs, ratio=-1.0)


@pytest.mark.parametrize("pitches", [float("nan"), -94.0, 94.5, 0.0])
def test_bad_counts_are_named(pitches: float) -> None:
    with pytest.raises(InvalidInput) as caught:
        axle_positions(SLIDING, ring=32, sprocket=20, pitches=pitches)
    assert caught.value.field == "pitches"


def test_impossible_pairs_and_slots_are_refused() -> None:
    with pytest.raises(NoSolution):
        axle_positions(SLIDING, ring=32, sprocket=20, pitches=30)
    many = Slot(chainstay_length=np.array([420.0, 430.0]), bb_drop=60.0)
    with pytest.raises(InvalidInput, match="one at a time"):
        closing_positions(many, ring=32, sprocket=20)
    with pytest.raises(InvalidInput, match="wear"):
        Fitting(wear=0.2)
    with pytest.raises(InvalidInput, match="most_play"):
        Fitting(least_play=20.0, most_play=10.0)


def test_equal_ring_and_sprocket() -> None:
    """Two straight runs and one whole turn: 2 C + z."""
    axles = axle_positions(SLIDING, ring=22, sprocket=22, pitches=90)
    assert centre_at(SLIDING, axles.taut) == pytest.approx((90 - 22) / 2 * 12.7)


@given(slot=slots, ring=rings, sprocket=sprockets)
def test_no_axle_is_set_outside_its_slot(slot: Slot, ring: int, sprocket: int) -> None:
    """A loop a little long still closes: the axle at the slot's end, with more play."""
    found = closing_positions(slot, ring=ring, sprocket=sprocket, half_link=True)
    new, worn = np.asarray(found.new), np.asarray(found.worn)
    lasts = np.asarray(found.code) == 2
    assert np.all((new >= 0) & (new <= slot.slot_length))
    assert np.all(worn[lasts] <= slot.slot_length)
    assert np.all(np.asarray(found.left) >= 0)
    assert np.all(np.asarray(found.allowance) >= -1e-9)


def test_a_slot_of_6_mm_has_its_axle_at_6_and_not_beyond() -> None:
    """The chainstay is chosen so that the least play alone would set the axle at 6.1 mm."""
    plain_slot = Slot(chainstay_length=420.0, bb_drop=60.0, slot_length=22.0)
    reached = float(np.ravel(closing_positions(plain_slot, ring=32, sprocket=20).new)[0])
    ahead = centre_at(plain_slot, reached - 6.1)
    short = Slot(chainstay_length=float(ahead), bb_drop=60.0, slot_length=6.0)
    found = axle_positions(short, ring=32, sprocket=20, pitches=94)
    assert (found.new, found.left, found.code > 0) == (6.0, 0.0, True)


def test_even_counts_come_before_half_links() -> None:
    found = closing_positions(SLIDING, ring=32, sprocket=20, half_link=True)
    first = found.rows(ranked(found)[:1])
    assert not np.any(first.half_link)
    belt = axle_positions(
        SLIDING, ring=32, sprocket=20, pitches=93, fitting=Fitting.belt(pitch=12.7)
    )
    assert belt.half_link is False
