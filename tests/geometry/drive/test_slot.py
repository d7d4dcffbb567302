"""The axle slot: distances measured between drawn points, round trips, edges."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.bike.drawing import rear_axle
from geometry.core.errors import ContradictoryInput, InvalidInput, NoSolution
from geometry.drive.slot import Slot, centre_at, free_play_shift, position_at

slots = st.builds(
    Slot,
    chainstay_length=st.floats(400.0, 470.0),
    bb_drop=st.floats(-20.0, 90.0),
    slot_length=st.floats(0.0, 40.0),
    slot_angle=st.floats(-30.0, 30.0),
)


@given(slot=slots, position=st.floats(-20.0, 60.0))
def test_distance_is_that_of_the_drawn_axle(slot: Slot, position: float) -> None:
    x, y = rear_axle(
        chainstay_length=slot.chainstay_length,
        bb_drop=slot.bb_drop,
        slot_angle=slot.slot_angle,
        slot_position=position,
    )
    assert centre_at(slot, position) == pytest.approx(np.hypot(x, y), rel=1e-14)


@given(slot=slots, position=st.floats(-20.0, 60.0))
def test_position_undoes_distance(slot: Slot, position: float) -> None:
    assert position_at(slot, centre_at(slot, position)) == pytest.approx(position, abs=1e-10)


@given(slot=slots, position=st.floats(0.0, 40.0))
def test_sliding_back_lengthens(slot: Slot, position: float) -> None:
    assert centre_at(slot, position + 1.0) > centre_at(slot, position)


def test_ten_millimetres_of_slot_are_nearly_ten_of_chainstay() -> None:
    """Common practice: sliding an axle back by 10 mm adds nearly 10 mm of chainstay."""
    slot = Slot(chainstay_length=425.0, bb_drop=60.0, slot_length=22.0)
    assert 9.8 < float(centre_at(slot, 10.0)) - 425.0 < 10.0


def test_arrays_of_frames_and_positions() -> None:
    slot = Slot(chainstay_length=np.array([[420.0], [430.0]]), bb_drop=60.0, slot_length=22.0)
    table = centre_at(slot, np.array([0.0, 10.0, 20.0]))
    assert np.shape(table) == (2, 3)
    assert np.asarray(table)[:, 0].tolist() == [420.0, 430.0]


def test_a_slot_told_in_metres_is_the_same_slot() -> None:
    slot = Slot(chainstay_length=420.0, bb_drop=60.0, slot_length=22.0, slot_angle=7.0)
    small = Slot(chainstay_length=0.42, bb_drop=0.06, slot_length=0.022, slot_angle=7.0)
    assert position_at(small, 0.431) == pytest.approx(position_at(slot, 431.0) / 1000.0)
    assert free_play_shift(0.018, centre=0.431) == pytest.approx(
        free_play_shift(18.0, centre=431.0) / 1000.0
    )


def test_a_slot_is_fixed_and_level_unless_it_is_told_and_may_stand_upright() -> None:
    plain = Slot(chainstay_length=420.0, bb_drop=60.0)
    assert (plain.slot_length, plain.slot_angle) == (0.0, 0.0)
    for angle in (-90.0, 90.0):
        assert Slot(chainstay_length=420.0, bb_drop=60.0, slot_angle=angle).slot_angle == angle
    for angle in (-90.5, 90.5):
        with pytest.raises(InvalidInput, match="slot_angle"):
            Slot(chainstay_length=420.0, bb_drop=60.0, slot_angle=angle)


def test_impossible_slots_are_refused() -> None:
    with pytest.raises(ContradictoryInput, match="bb_drop"):
        Slot(chainstay_length=60.0, bb_drop=60.0)
    with pytest.raises(InvalidInput, match="slot_length"):
        Slot(chainstay_length=420.0, bb_drop=60.0, slot_length=-1.0)
    with pytest.raises(InvalidInput, match="chainstay_length"):
        Slot(chainstay_length=float("nan"), bb_drop=60.0)


def test_a_centre_distance_short_of_the_slot_s_line_has_no_position() -> None:
    slot = Slot(chainstay_length=420.0, bb_drop=60.0, slot_length=22.0)
    with pytest.raises(NoSolution) as caught:
        position_at(slot, np.array([425.0, 50.0]))
    assert caught.value.index == (1,)


def test_free_play_is_a_triangle() -> None:
    """Two straight runs plus the surplus of the bent one, measured point to point."""
    centre, play = 420.0, 20.0
    shift = free_play_shift(play, centre=centre)
    bent = 2 * np.hypot(centre / 2, play / 2)
    assert centre + bent == pytest.approx(2 * (centre + shift))
    assert free_play_shift(0.0, centre=420.0) == 0.0
    with pytest.raises(InvalidInput, match="play"):
        free_play_shift(-1.0, centre=420.0)
