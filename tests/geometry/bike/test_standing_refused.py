"""Builds that cannot stand are refused, by the field that is wrong and with what would be right."""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np
import pytest

from geometry.bike.parts import Build, State
from geometry.bike.remedies import BetweenSlotEnds, FixedAxle
from geometry.bike.standing import Standing, stand
from geometry.core import Remedy
from geometry.core.errors import ContradictoryInput, GeometryError, InvalidInput
from geometry.examples.trail_bike import trail_build, trail_fork, trail_hardtail


def refused(kind: type[GeometryError], field: str, make: Any) -> GeometryError:
    with pytest.raises(kind) as caught:
        make()
    assert caught.value.field == field
    assert isinstance(caught.value.remedy, Remedy)
    return caught.value


def test_wheels_that_overlap_or_cannot_both_touch() -> None:
    def build(front: Any, rear: Any = 370.0) -> Standing:
        changed = dataclasses.replace(trail_build(), front_radius=front, rear_radius=rear)
        return stand(changed)

    error = refused(ContradictoryInput, "front_radius", lambda: build(820.0))
    assert (error.value, error.index) == (820.0, None)
    # One so large that the other could never reach the ground.
    refused(ContradictoryInput, "front_radius", lambda: build(2500.0, 200.0))
    error = refused(ContradictoryInput, "front_radius", lambda: build(np.array([370.0, 1800.0])))
    assert (error.value, error.index) == (1800.0, (1,))
    # Beside the limit: touching is refused, one hundredth less stands.
    apart = float(stand(trail_build()).wheelbase)
    refused(ContradictoryInput, "front_radius", lambda: build(apart / 2 + 1e-9, apart / 2 + 1e-9))
    assert build(apart / 2 - 0.01, apart / 2 - 0.01).wheelbase == pytest.approx(apart)


def test_compression_beyond_travel() -> None:
    state = State(fork_compression=np.array([10.0, 125.1]))
    error = refused(ContradictoryInput, "fork_compression", lambda: stand(trail_build(), state))
    assert (error.value, error.index) == (125.1, (1,))
    stand(trail_build(), State(fork_compression=125.0))


def test_a_tyre_pressed_to_the_axle() -> None:
    for end in ("front", "rear"):
        state = State(**{f"{end}_deflection": 375.0})
        refused(ContradictoryInput, f"{end}_deflection", lambda s=state: stand(trail_build(), s))


def test_a_bike_drawn_back_to_front() -> None:
    frame = dataclasses.replace(trail_hardtail(), reach=-2000.0)
    build = dataclasses.replace(trail_build(), frame=frame)
    error = refused(ContradictoryInput, "frame.reach", lambda: stand(build))
    assert error.value == -2000.0


def test_a_tube_fallen_level() -> None:
    frame = dataclasses.replace(trail_hardtail(), head_angle=60.0, stack=100.0, reach=-900.0)
    build = dataclasses.replace(
        trail_build(), frame=frame, fork=dataclasses.replace(trail_fork(), axle_to_crown=2900.0)
    )
    refused(ContradictoryInput, "frame.head_angle", lambda: stand(build))


def test_shapes_that_do_not_go_together() -> None:
    build = dataclasses.replace(trail_build(), front_radius=np.full(3, 370.0))
    state = State(fork_compression=np.zeros(2))
    refused(InvalidInput, "fork_compression", lambda: stand(build, state))


@pytest.mark.parametrize("slot", [0.0, 16.0])
def test_slot_positions_outside(slot: float) -> None:
    frame = dataclasses.replace(trail_hardtail(), slot_length=slot)

    def place(position: Any) -> Build:
        return dataclasses.replace(trail_build(), frame=frame, slot_position=position)

    place(0.0), place(slot)
    refused(InvalidInput, "slot_position", lambda: place(-0.1))
    error = refused(InvalidInput, "slot_position", lambda: place(np.array([0.0, slot + 0.1])))
    assert error.index == (1,)
    assert error.remedy == (BetweenSlotEnds(longest=slot) if slot else FixedAxle())
