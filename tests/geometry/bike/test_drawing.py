"""The drawing's points, and whether it closes."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.bike.drawing import closure, drawn_front_axle, front_axle, rear_axle
from geometry.bike.parts import Build, Frame
from geometry.bike.remedies import DrawingThatCloses
from geometry.bike.standing import stand
from geometry.core.errors import ContradictoryInput
from geometry.examples.trail_bike import trail_hardtail
from tests.geometry.random_builds import random_frame


def as_drawn(frame: Frame) -> Build:
    """The frame with the fork, headset, wheels and axle position of its drawing."""
    drawn = frame.drawn_with
    return Build(
        frame=frame,
        fork=drawn.fork,
        lower_headset_stack=drawn.lower_headset_stack,
        front_radius=drawn.front_radius,
        rear_radius=drawn.rear_radius,
        slot_position=drawn.slot_position,
    )


def nearly_closed(seed: int) -> Frame:
    """A random frame whose stack is off by up to 15 mm, else it would close."""
    rng = np.random.default_rng(seed)
    frame = random_frame(rng)
    drawn = frame.drawn_with
    _, axle = drawn_front_axle(frame)
    wanted = rear_y(frame) - drawn.rear_radius + drawn.front_radius
    stack = frame.stack + wanted - axle + rng.uniform(-15, 15)
    return dataclasses.replace(frame, stack=stack)


def rear_y(frame: Frame) -> float:
    """Height of the drawn rear axle above the BB."""
    rise = math.sin(math.radians(float(frame.slot_angle))) * float(frame.drawn_with.slot_position)
    return float(frame.bb_drop) + rise


def test_a_square_frame_by_hand() -> None:
    # Upright head tube: the axle is one offset ahead, 650 mm below the top.
    at = front_axle(reach=400.0, stack=600.0, sine=1.0, cosine=0.0, below_top=650.0, offset=45.0)
    assert at == (445.0, -50.0)
    # A 5-12-13 triangle: chainstay 390, drop 150, rear centre 360.
    assert rear_axle(
        chainstay_length=390.0, bb_drop=150.0, slot_angle=0.0, slot_position=0.0
    ) == pytest.approx((-360.0, 150.0))


@pytest.mark.parametrize(("angle", "moves"), [(0, (-10, 0)), (90, (0, 10)), (-30, (-8.660254, -5))])
def test_the_slot_slides_back_and_rises(angle: float, moves: tuple[float, float]) -> None:
    start, end = (
        rear_axle(chainstay_length=420.0, bb_drop=60.0, slot_angle=angle, slot_position=s)
        for s in (0.0, 10.0)
    )
    assert (end[0] - start[0], end[1] - start[1]) == pytest.approx(moves, abs=1e-6)


@given(st.integers(0, 10_000))
def test_closing_head_angle_really_closes(seed: int) -> None:
    frame = nearly_closed(seed)
    found = closure(frame)
    mended = dataclasses.replace(frame, head_angle=frame.head_angle + found.head_angle)
    assert closure(mended).axle == pytest.approx(0.0, abs=1e-9)
    assert closure(mended).head_angle == pytest.approx(0.0, abs=1e-9)


@given(st.integers(0, 10_000))
def test_a_drawing_that_closes_stands_as_drawn(seed: int) -> None:
    frame = nearly_closed(seed)
    found = closure(frame)
    mended = dataclasses.replace(frame, head_angle=frame.head_angle + found.head_angle)
    standing = stand(as_drawn(mended))
    assert standing.turn == pytest.approx(0.0, abs=1e-9)
    assert (standing.reach, standing.stack) == pytest.approx((frame.reach, frame.stack))


@given(st.integers(0, 10_000))
def test_a_drawing_that_does_not_close_stands_otherwise(seed: int) -> None:
    # Axle drawn too high: standing, the front comes down, and by just so much.
    frame = nearly_closed(seed)
    found, standing = closure(frame), stand(as_drawn(frame))
    if np.abs(found.axle) > 1e-6:
        assert math.copysign(1, standing.turn) == -math.copysign(1, found.axle)
    _, drawn_y = drawn_front_axle(frame)
    assert drawn_y - found.axle == pytest.approx(
        rear_y(frame) - frame.drawn_with.rear_radius + frame.drawn_with.front_radius
    )


def test_closure_counts_millimetres_of_a_known_fault() -> None:
    frame = trail_hardtail()
    right = closure(frame)
    wrong = closure(dataclasses.replace(frame, stack=frame.stack + 5.0))
    assert wrong.axle - right.axle == pytest.approx(5.0)


def test_a_head_tube_past_the_axis_upright_still_closes() -> None:
    # Just beside the singular point, where the axle hangs at its lowest.
    drawn = trail_hardtail()
    lean = math.degrees(math.atan(48.0 / 642.0))
    lowest = 90.0 + lean
    for angle in (lowest - 1e-3, lowest + 1e-3):
        frame = dataclasses.replace(drawn, head_angle=angle, stack=708.0)
        found = closure(frame)
        mended = dataclasses.replace(frame, head_angle=angle + found.head_angle)
        assert closure(mended).axle == pytest.approx(0.0, abs=1e-6)
        assert (found.head_angle > 0) == (angle > lowest)


def test_no_head_angle_can_close_a_frame_too_tall() -> None:
    with pytest.raises(ContradictoryInput) as caught:
        closure(dataclasses.replace(trail_hardtail(), stack=900.0))
    assert (caught.value.field, caught.value.value) == ("stack", 900.0)
    assert caught.value.remedy == DrawingThatCloses()


def test_sizes_in_an_array_close_as_alone_and_are_named_when_they_cannot() -> None:
    stacks = np.array([620.0, 635.05, 650.0])
    together = closure(dataclasses.replace(trail_hardtail(), stack=stacks))
    for row, stack in enumerate(stacks):
        alone = closure(dataclasses.replace(trail_hardtail(), stack=float(stack)))
        assert np.asarray(together.axle)[row] == alone.axle
        assert np.asarray(together.head_angle)[row] == alone.head_angle
    with pytest.raises(ContradictoryInput) as caught:
        closure(dataclasses.replace(trail_hardtail(), stack=np.array([620.0, 900.0])))
    assert caught.value.index == (1,)
