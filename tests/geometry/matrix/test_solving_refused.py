"""Combinations that cannot exist are named by their place, or marked; bad axes are refused."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import numpy as np
import pytest

from geometry.bike.parts import Fork, Frame, TopTube
from geometry.bike.states import SAGGED, UNLOADED, Loading
from geometry.core import Remedy
from geometry.core.errors import ContradictoryInput, InvalidInput
from geometry.examples.trail_bike import trail_fork, trail_hardtail
from geometry.matrix.axes import AxlePositions, Forks, Sizes, WheelPairs
from geometry.matrix.solving import BuildIndex, Matrix, solve_matrix
from tests.geometry.one_build import Axes, one_build


def overlapping() -> Axes:
    return one_build(wheels=WheelPairs(front_radius=np.array([375.0, 900.0]), rear_radius=375.0))


def outside_the_slot() -> Axes:
    frame = dataclasses.replace(trail_hardtail(), slot_length=np.array([22.0, 16.0]))
    return one_build(sizes=Sizes(frame=frame), positions=AxlePositions(at=np.array([0.0, 19.0])))


def beyond_travel() -> Axes:
    # A sag of 100 and half the travel of 140 together are 170.
    greedy = Loading(name="greedy", sag_share=1.0, travel_share=0.5)
    forks = Forks(fork=trail_fork(), lower_headset_stack=12.0, sag=np.array([28.0, 100.0]))
    return one_build(forks=forks, states=[UNLOADED, greedy])


def back_to_front() -> Axes:
    frame = dataclasses.replace(trail_hardtail(), reach=np.array([445.0, -2000.0]))
    return one_build(sizes=Sizes(frame=frame))


def fallen_level() -> Axes:
    frame: Frame = dataclasses.replace(
        trail_hardtail(), head_angle=60.0, stack=np.array([2600.0, 100.0]), reach=-900.0
    )
    forks = Forks(fork=Fork(axle_to_crown=2900.0, offset=45.0), lower_headset_stack=12.0)
    return one_build(sizes=Sizes(frame=frame), forks=forks, states=[UNLOADED])


IMPOSSIBLE = [
    (overlapping, (0, 0, 1, 0, 0)),
    (outside_the_slot, (1, 0, 0, 1, 0)),
    (beyond_travel, (0, 1, 0, 0, 1)),
    (back_to_front, (1, 0, 0, 0, 0)),
    (fallen_level, (1, 0, 0, 0, 0)),
]


@pytest.mark.parametrize(("make", "place"), IMPOSSIBLE)
def test_an_impossible_build_is_named_by_its_place(make: Any, place: tuple[int, ...]) -> None:
    with pytest.raises(ContradictoryInput) as caught:
        solve_matrix(**make())
    assert caught.value.field == "build"
    assert caught.value.index == place
    assert caught.value.value == BuildIndex(*place)


@pytest.mark.parametrize(("make", "place"), IMPOSSIBLE)
def test_impossible_builds_can_be_marked_instead(make: Any, place: tuple[int, ...]) -> None:
    found: Matrix = solve_matrix(**make(), impossible="mark")
    assert not found.possible[place]
    assert found.possible.any()
    for value in found.outputs.values():
        np.testing.assert_array_equal(np.isnan(value), ~found.possible)


@pytest.mark.parametrize("ahead", [-300.0, 600.0, np.array([50.0, 475.0])])
def test_a_standover_place_beyond_the_top_tube(ahead: Any) -> None:
    frame = dataclasses.replace(trail_hardtail(), reach=np.array([470.0, 470.0]))
    sizes = Sizes(frame=frame, standover_ahead=ahead)
    forks = Forks(
        fork=Fork(axle_to_crown=np.array([520.0, 560.0]), offset=48.0), lower_headset_stack=12.0
    )
    with pytest.raises(InvalidInput) as caught:
        solve_matrix(**one_build(sizes=sizes, forks=forks))
    assert caught.value.field == "standover_ahead"
    if isinstance(ahead, np.ndarray):  # only the longer fork tips the head tube past the place
        assert caught.value.index == (1, 1, 0, 0, 0)


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: Sizes(frame=trail_hardtail(), saddle_height=np.nan), "saddle_height"),
        (lambda: Sizes(frame=trail_hardtail(), mass_centre_x=100.0), "mass_centre_x"),
        (
            lambda: Sizes(
                frame=dataclasses.replace(trail_hardtail(), seat_tube_offset=800.0),
                saddle_height=np.array([700.0]),
            ),
            "saddle_height",
        ),
        (
            lambda: Sizes(
                frame=dataclasses.replace(trail_hardtail(), top_tube=None), standover_ahead=50.0
            ),
            "frame.top_tube",
        ),
        (
            lambda: Sizes(
                frame=dataclasses.replace(trail_hardtail(), reach=np.full(2, 440.0)),
                saddle_height=np.full(3, 700.0),
            ),
            "saddle_height",
        ),
        (
            lambda: Sizes(frame=trail_hardtail(), saddle_height=np.full((2, 2), 700.0)),
            "saddle_height",
        ),
        (lambda: Sizes(frame=trail_hardtail(), saddle_height=np.empty(0)), "saddle_height"),
        (lambda: Forks(fork=trail_fork(), lower_headset_stack=12.0, sag=140.5), "sag"),
        (lambda: Forks.of([trail_fork()], lower_headset_stack=9.0, sag_fraction=2), "sag_fraction"),
        (
            lambda: WheelPairs(front_radius=370.0, rear_radius=370.0, front_deflection=370.0),
            "front_deflection",
        ),
        (lambda: WheelPairs(front_radius=np.inf, rear_radius=370.0), "front_radius"),
        (lambda: AxlePositions(at=-0.1), "at"),
        (lambda: AxlePositions(at=np.array([0.0, 1.1]), measured_in="slots"), "at"),
        (lambda: AxlePositions(at=0.0, measured_in="inches"), "measured_in"),  # type: ignore[arg-type]  # the point
        (lambda: solve_matrix(**one_build(), states=[]), "states"),
        (lambda: solve_matrix(**one_build(), states=[SAGGED, SAGGED]), "states"),
        (lambda: solve_matrix(**one_build(), impossible="ignore"), "impossible"),  # type: ignore[arg-type]  # the point
    ],
)
def test_unusable_axes_are_refused(make: Any, field: str) -> None:
    with pytest.raises((InvalidInput, ContradictoryInput)) as caught:
        make()
    assert caught.value.field == field
    assert isinstance(caught.value.remedy, Remedy)


@pytest.mark.parametrize(("front_radius", "end"), [(330.0, "seat"), (410.0, "head")])
def test_the_top_tube_ends_where_the_turn_has_brought_it(front_radius: float, end: str) -> None:
    """Both ends turned by hand about the BB: a twentieth of a millimetre decides."""
    tube = TopTube(below_head_tube_top=40.0, along_seat_tube=400.0, diameter=34.9)
    frame = dataclasses.replace(
        trail_hardtail(), reach=450.0, stack=640.0, head_angle=66.0, seat_tube_angle=75.0,
        seat_tube_offset=0.0, top_tube=tube,
    )  # fmt: skip
    wheels = WheelPairs(front_radius=front_radius, rear_radius=370.0)
    bare = solve_matrix(**one_build(sizes=Sizes(frame=frame), wheels=wheels), states=[UNLOADED])
    turn = math.radians(bare.turn.item())
    seat = (-400.0 * math.cos(math.radians(75.0)), 400.0 * math.sin(math.radians(75.0)))
    head = (
        450.0 + 40.0 * math.cos(math.radians(66.0)),
        640.0 - 40.0 * math.sin(math.radians(66.0)),
    )
    x, y = seat if end == "seat" else head
    place = x * math.cos(turn) - y * math.sin(turn)
    inward = 0.05 if end == "seat" else -0.05
    for ahead, fits in ((place + inward, True), (place - inward, False)):
        sizes = Sizes(frame=frame, standover_ahead=ahead)
        asked = one_build(sizes=sizes, wheels=wheels, states=[UNLOADED])
        if fits:
            assert solve_matrix(**asked).standover is not None
        else:
            with pytest.raises(InvalidInput, match="standover_ahead"):
                solve_matrix(**asked)
