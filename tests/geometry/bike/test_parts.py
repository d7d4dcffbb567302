"""Typed inputs: both conventions of fork length, and everything they refuse."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.bike.parts import Build, Fork, Frame, State, along_axis
from geometry.bike.remedies import BetweenSlotEnds, FixedAxle, LongerThanOffset
from geometry.core.errors import ContradictoryInput, GeometryError, InvalidInput
from geometry.core.inputs import LARGEST
from geometry.core.remedies import AnyNumber, FiniteNumber, SmallerSize
from geometry.examples.trail_bike import trail_build, trail_fork, trail_hardtail


def test_the_two_conventions_differ_as_the_trade_says() -> None:
    # By arithmetic: at 530 mm and 44 mm offset, 1.8 mm.
    assert 530.0 - along_axis(530.0, 44.0, "straight") == pytest.approx(1.8, abs=0.05)
    assert along_axis(530.0, 44.0, "along") == 530.0


@given(st.floats(300, 700), st.floats(-80, 80))
def test_conventions_round_trip(along: float, offset: float) -> None:
    straight = math.hypot(along, offset)
    fork = Fork(axle_to_crown=straight, offset=offset, axle_to_crown_measured="straight")
    assert fork.along == pytest.approx(along, rel=1e-12)


def test_without_offset_the_conventions_are_one() -> None:
    fork = Fork(axle_to_crown=505.0, offset=0.0, axle_to_crown_measured="straight")
    assert fork.along == 505.0


@pytest.mark.parametrize("offset", [505.0, -505.0, 600.0])
def test_a_straight_length_not_longer_than_the_offset(offset: float) -> None:
    with pytest.raises(ContradictoryInput) as caught:
        Fork(axle_to_crown=505.0, offset=offset, axle_to_crown_measured="straight")
    assert caught.value.field == "axle_to_crown"
    assert caught.value.remedy == LongerThanOffset()


def test_the_bad_row_of_many_forks_is_named() -> None:
    with pytest.raises(ContradictoryInput) as caught:
        Fork(
            axle_to_crown=np.array([500.0, 40.0, 30.0]),
            offset=45.0,
            axle_to_crown_measured="straight",
        )
    assert (caught.value.index, caught.value.value) == ((1,), 40.0)


def test_an_unknown_convention() -> None:
    with pytest.raises(InvalidInput) as caught:
        Fork(axle_to_crown=505.0, offset=45.0, axle_to_crown_measured="up")  # type: ignore[arg-type]  # the point
    assert caught.value.field == "axle_to_crown_measured"


def test_a_travel_that_reaches_the_crown() -> None:
    Fork(axle_to_crown=505.0, offset=45.0, travel=504.9)
    with pytest.raises(ContradictoryInput) as caught:
        Fork(axle_to_crown=505.0, offset=45.0, travel=505.0)
    assert caught.value.field == "travel"


def frame_with(field: str, value: Any) -> Frame:
    changed: dict[str, Any] = {field: value}
    return dataclasses.replace(trail_hardtail(), **changed)


LENGTHS = [
    field.name
    for field in dataclasses.fields(trail_hardtail())
    if field.metadata.get("unit") in ("mm", "degrees")
]


@pytest.mark.parametrize("field", LENGTHS)
@pytest.mark.parametrize(
    "value", [math.nan, math.inf, -math.inf, "long", None, 10**400, 2 * LARGEST]
)
def test_every_number_of_a_frame_must_be_one(field: str, value: Any) -> None:
    with pytest.raises(InvalidInput) as caught:
        frame_with(field, value)
    assert caught.value.field == field
    assert type(caught.value.remedy) in {FiniteNumber, AnyNumber, SmallerSize}


@pytest.mark.parametrize(
    "field", ["stack", "head_tube_length", "seat_tube_length", "chainstay_length", "slot_length"]
)
def test_lengths_are_not_negative(field: str) -> None:
    with pytest.raises(GeometryError) as caught:
        frame_with(field, -1.0)
    assert (caught.value.field, caught.value.value) == (field, -1.0)


@pytest.mark.parametrize("field", ["head_angle", "seat_tube_angle"])
def test_tube_angles_at_their_limits(field: str) -> None:
    for angle in (30.0, 90.0, 100.0):
        assert getattr(frame_with(field, angle), field) == angle
    for angle in (29.999, 100.001, 0.0):
        with pytest.raises(InvalidInput) as caught:
            frame_with(field, angle)
        assert caught.value.value == angle


@pytest.mark.parametrize("drop", [430.0, -430.0, 500.0])
def test_a_drop_as_long_as_the_stays(drop: float) -> None:
    with pytest.raises(ContradictoryInput) as caught:
        dataclasses.replace(trail_hardtail(), bb_drop=drop)
    assert caught.value.field == "bb_drop"


def test_a_drawn_axle_outside_its_slot() -> None:
    frame = trail_hardtail()
    drawn = dataclasses.replace(frame.drawn_with, slot_position=16.5)
    with pytest.raises(ContradictoryInput) as caught:
        dataclasses.replace(frame, drawn_with=drawn)
    assert (caught.value.field, caught.value.value) == ("drawn_with.slot_position", 16.5)


def test_sizes_of_unequal_number() -> None:
    with pytest.raises(InvalidInput) as caught:
        dataclasses.replace(trail_hardtail(), reach=np.full(3, 440.0), stack=np.full(2, 630.0))
    assert caught.value.field == "stack"
    with pytest.raises(InvalidInput) as caught:
        slots = dataclasses.replace(trail_hardtail(), slot_length=np.full(3, 16.0))
        dataclasses.replace(trail_build(), frame=slots, slot_position=np.zeros(2))
    assert caught.value.field == "slot_position"


def test_numbers_become_floats_and_lists_arrays() -> None:
    fork = Fork(axle_to_crown=505, offset=np.float64(45))
    assert type(fork.axle_to_crown) is float
    assert type(fork.offset) is float
    many = Fork(axle_to_crown=[505, 515], offset=45)  # type: ignore[arg-type]  # tolerated
    assert isinstance(many.axle_to_crown, np.ndarray)
    assert many.axle_to_crown.dtype == np.float64


def test_inputs_are_frozen() -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        trail_fork().offset = 40.0  # type: ignore[misc]  # the point


@pytest.mark.parametrize("fraction", [-0.01, 1.01, math.nan])
def test_sag_fractions_outside_the_travel(fraction: float) -> None:
    with pytest.raises(InvalidInput) as caught:
        State.sagged(trail_fork(), fraction=fraction)
    assert caught.value.field == "sag_fraction"


def test_states_of_a_rigid_fork_are_one() -> None:
    rigid = Fork(axle_to_crown=470.0, offset=47.0)
    bottomed = State(fork_compression=rigid.travel)
    states = (State.unloaded(), State.sagged(rigid, fraction=0.3), bottomed)
    assert {state.fork_compression for state in states} == {0.0}


def test_an_axle_lies_anywhere_between_its_slot_s_ends() -> None:
    """Half a millimetre of slot is one; a slot of no length holds the axle where it is."""
    short = dataclasses.replace(
        trail_hardtail(),
        slot_length=0.5,
        drawn_with=dataclasses.replace(trail_hardtail().drawn_with, slot_position=0.0),
    )
    wheels = {"lower_headset_stack": 12.0, "front_radius": 370.0, "rear_radius": 366.0}
    fork = Fork(axle_to_crown=530.0, offset=44.0)
    for position in (0.0, 0.3, 0.5):
        build = Build(frame=short, fork=fork, slot_position=position, **wheels)
        assert build.slot_position == position
    for position in (-0.1, 0.6):
        with pytest.raises(InvalidInput) as caught:
            Build(frame=short, fork=fork, slot_position=position, **wheels)
        assert caught.value.remedy == BetweenSlotEnds(longest=0.5)
    fixed = dataclasses.replace(short, slot_length=0.0)
    with pytest.raises(InvalidInput) as caught:
        Build(frame=fixed, fork=fork, slot_position=0.1, **wheels)
    assert caught.value.remedy == FixedAxle()
    sizes = dataclasses.replace(short, slot_length=np.array([10.0, 0.5]))
    with pytest.raises(InvalidInput) as caught:
        Build(frame=sizes, fork=fork, slot_position=np.array([3.0, 3.0]), **wheels)
    assert (caught.value.index, caught.value.remedy) == ((1,), BetweenSlotEnds(longest=10.0))
