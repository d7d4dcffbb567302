"""The standing attitude: outside measurements, laws it must keep, input it must refuse."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.bike.drawing import front_axle
from geometry.bike.parts import Build, DrawnWith, Fork, Frame, State
from geometry.bike.standing import Standing, arguments, solve, stand
from geometry.examples.trail_bike import trail_build, trail_hardtail
from tests.geometry.random_builds import random_build, random_state

seeds = st.integers(0, 100_000)

ANGLES = {"head_angle", "seat_tube_angle", "turn"}
TURNS = {"turn_cosine", "turn_sine"}


def moore_frame(
    *, d1: float, d2: float, front: float, rear: float, drawn_at: float
) -> tuple[Frame, float]:
    """A frame whose rear axle lies d1 square behind the steering axis, drawn anywhere.

    Returns it with the axle-to-crown that puts the front axle d2 below the rear
    axle, along the axis.
    """
    drop, chainstay, tube, above = 60.0, 430.0, 150.0, 250.0
    a = math.radians(drawn_at)
    normal, down = (math.sin(a), math.cos(a)), (math.cos(a), -math.sin(a))
    axle = (-math.sqrt(chainstay**2 - drop**2), drop)
    reach, stack = (axle[i] + d1 * normal[i] - above * down[i] for i in (0, 1))
    frame = Frame(
        reach=reach,
        stack=stack,
        head_angle=drawn_at,
        head_tube_length=tube,
        seat_tube_angle=72.0,
        seat_tube_length=500.0,
        chainstay_length=chainstay,
        bb_drop=drop,
        drawn_with=DrawnWith(
            fork=Fork(axle_to_crown=400.0, offset=45.0),
            lower_headset_stack=0.0,
            front_radius=front,
            rear_radius=rear,
        ),
    )
    return frame, above + d2 - tube


def moore_build(
    *, d1: float, d2: float, d3: float, front: float, rear: float, drawn_at: float
) -> Build:
    frame, axle_to_crown = moore_frame(d1=d1, d2=d2, front=front, rear=rear, drawn_at=drawn_at)
    return Build(
        frame=frame,
        fork=Fork(axle_to_crown=axle_to_crown, offset=d3),
        lower_headset_stack=0.0,
        front_radius=front,
        rear_radius=rear,
    )


@pytest.mark.parametrize("drawn_at", [60.0, 71.81, 80.0])
def test_standing_attitude_from_three_frame_lengths(drawn_at: float) -> None:
    # [R] Moore, Human Control of a Bicycle, diss. UC Davis 2012, equations for
    # steering axis tilt, wheelbase and trail, whatever it was drawn at. Held to the
    # printed digits: half of the last one, and what half a micrometre in each of the
    # five lengths makes of it (0.0001°, 0.0011 mm, 0.0013 mm).
    standing = stand(
        moore_build(
            d1=963.755, d2=329.192, d3=47.810, front=335.573, rear=332.528, drawn_at=drawn_at
        )
    )
    assert standing.head_angle == pytest.approx(71.81, abs=0.0051)
    assert standing.wheelbase == pytest.approx(1063.8, abs=0.0511)
    assert standing.trail == pytest.approx(59.9, abs=0.0513)


def test_a_real_fork_turned_round() -> None:
    # [R] Moore 2012: measured HA 72.7°, offset 57, wheelbase 1089, rF 341.9,
    # rR 341.4; the same bicycle with its fork turned round: 70.6° ±0.2, 985 ±2,
    # trail 180 ±2; a model of it lands within 0.3°, 6 mm, 3 mm.
    head, front, rear = math.radians(72.7), 341.9, 341.4
    rise = front - rear
    # Before: the vector between the axles along and square to the steering axis.
    d1 = 1089.0 * math.sin(head) + rise * math.cos(head) - 57.0
    d2 = 1089.0 * math.cos(head) - rise * math.sin(head)
    common = {"d1": d1, "d2": d2, "front": front, "rear": rear, "drawn_at": 75.0}
    before = stand(moore_build(d3=57.0, **common))
    assert before.head_angle == pytest.approx(72.7, abs=1e-9)
    assert before.wheelbase == pytest.approx(1089.0, abs=1e-9)
    after = stand(moore_build(d3=-57.0, **common))
    assert after.head_angle == pytest.approx(70.6, abs=0.3)
    assert after.wheelbase == pytest.approx(985.0, abs=6.0)
    assert after.trail == pytest.approx(180.0, abs=3.0)


def test_benchmark_bicycle_stands_with_its_published_trail() -> None:
    # [R] Meijaard et al., Proc. R. Soc. A 463 (2007), Table 1: w 1.02 m, trail
    # 0.08 m, steering axis tilt 18°, rR 0.30, rF 0.35; offset 32.07 by arithmetic.
    head, rise = math.radians(72.0), 50.0
    d1 = 1020.0 * math.sin(head) + rise * math.cos(head) - 32.07
    d2 = 1020.0 * math.cos(head) - rise * math.sin(head)
    standing = stand(moore_build(d1=d1, d2=d2, d3=32.07, front=350.0, rear=300.0, drawn_at=68.0))
    assert standing.wheelbase == pytest.approx(1020.0, abs=0.01)
    assert standing.head_angle == pytest.approx(72.0, abs=0.001)
    assert standing.trail == pytest.approx(80.0, abs=0.01)
    assert standing.mechanical_trail == pytest.approx(76.09, abs=0.01)
    assert standing.wheel_flop == pytest.approx(23.51, abs=0.01)


def with_fork(build: Build, longer: float) -> Build:
    fork = build.fork
    return dataclasses.replace(
        build,
        fork=Fork(axle_to_crown=fork.along + longer, offset=fork.offset, travel=fork.travel),
    )


def test_rules_of_thumb() -> None:
    # [CP] 20 mm more fork lifts the BB by 7 to 10 mm and slackens head and seat
    # angles by about 1°; 10 mm of slot adds nearly 10 mm of chainstay and
    # wheelbase and alters angles by a few hundredths of a degree.
    # The lift is for stays and wheelbase of common length; the long front of the
    # example frame leaves 6.4 mm of it.
    frame = dataclasses.replace(
        trail_hardtail(), reach=400.0, head_angle=68.0, chainstay_length=440.0
    )
    build = dataclasses.replace(trail_build(), frame=frame)
    before, after = stand(build), stand(with_fork(build, 20.0))
    assert 7 <= after.bb_height - before.bb_height <= 10
    assert after.head_angle - before.head_angle == pytest.approx(-1.0, abs=0.15)
    assert after.seat_tube_angle - before.seat_tube_angle == pytest.approx(-1.0, abs=0.15)
    slid = stand(dataclasses.replace(build, slot_position=10.0))
    assert 9.5 <= slid.chainstay_length - before.chainstay_length < 10
    assert 9.5 <= slid.wheelbase - before.wheelbase < 10
    assert 0 < np.abs(slid.head_angle - before.head_angle) < 0.06


def scaled(value: Any, factor: float) -> Any:
    """Every length of a tree of inputs scaled, every angle kept."""
    if not dataclasses.is_dataclass(value):
        return value
    fields: dict[str, Any] = {}
    for field in dataclasses.fields(value):
        own = getattr(value, field.name)
        fields[field.name] = (
            own * factor if field.metadata.get("unit") == "mm" else scaled(own, factor)
        )
    return dataclasses.replace(value, **fields)  # type: ignore[type-var]  # narrowed above


@given(seeds, st.floats(0.1, 20))
def test_scaling_scales_lengths_and_keeps_angles(seed: int, factor: float) -> None:
    rng = np.random.default_rng(seed)
    build = random_build(rng)
    state = random_state(rng, build)
    small, large = stand(build, state), stand(scaled(build, factor), scaled(state, factor))
    for name in Standing.__slots__:
        scale = 1.0 if name in ANGLES | TURNS else factor
        expected = getattr(small, name) * scale
        assert getattr(large, name) == pytest.approx(expected, rel=1e-9, abs=1e-8 * scale), name


@given(seeds, st.floats(0.01, 80))
def test_lengthening_the_fork_never_steepens(seed: int, longer: float) -> None:
    build = random_build(np.random.default_rng(seed))
    before, after = stand(build), stand(with_fork(build, longer))
    assert after.head_angle < before.head_angle
    assert after.seat_tube_angle < before.seat_tube_angle
    assert after.turn > before.turn


@given(seeds)
def test_equal_wheels_on_level_axles_keep_the_drawn_attitude(seed: int) -> None:
    rng = np.random.default_rng(seed)
    build = random_build(rng)
    frame, radius = build.frame, rng.uniform(300, 385)
    head = math.radians(float(frame.head_angle))
    _, axle = front_axle(
        reach=0.0,
        stack=0.0,
        sine=math.sin(head),
        cosine=math.cos(head),
        below_top=frame.head_tube_length + build.lower_headset_stack + build.fork.along,
        offset=build.fork.offset,
    )
    rear = frame.bb_drop + build.slot_position * math.sin(math.radians(float(frame.slot_angle)))
    level = dataclasses.replace(frame, stack=rear - axle)
    standing = stand(
        dataclasses.replace(build, frame=level, front_radius=radius, rear_radius=radius)
    )
    for name in ("reach", "head_angle", "seat_tube_angle"):
        assert getattr(standing, name) == pytest.approx(getattr(frame, name), abs=1e-9)
    assert standing.stack == pytest.approx(level.stack, abs=1e-9)
    assert standing.bb_drop == pytest.approx(standing.bb_drop_front, abs=1e-9)


@given(seeds)
def test_turning_back_gives_the_drawing(seed: int) -> None:
    build = random_build(np.random.default_rng(seed))
    standing = stand(build)
    x, y = standing.place(build.frame.reach, build.frame.stack)
    assert (x, y) == (standing.reach, standing.stack)
    back = dataclasses.replace(standing, turn_sine=-standing.turn_sine)
    assert back.place(x, y) == pytest.approx((build.frame.reach, build.frame.stack), abs=1e-9)


@given(seeds)
def test_a_frame_drawn_as_it_stands_stands_as_drawn(seed: int) -> None:
    # Inverse round trip: redraw in the standing attitude; nothing turns any more.
    build = random_build(np.random.default_rng(seed))
    standing = stand(build)
    frame = dataclasses.replace(
        build.frame,
        reach=standing.reach,
        stack=standing.stack,
        head_angle=standing.head_angle,
        seat_tube_angle=standing.seat_tube_angle,
        chainstay_length=standing.chainstay_length,
        bb_drop=standing.bb_drop,
        slot_length=0.0,
        drawn_with=dataclasses.replace(build.frame.drawn_with, slot_position=0.0),
    )
    again = stand(dataclasses.replace(build, frame=frame, slot_position=0.0))
    assert again.turn == pytest.approx(0.0, abs=1e-9)
    for name in set(Standing.__slots__) - {"turn", *TURNS}:
        assert getattr(again, name) == pytest.approx(getattr(standing, name), abs=1e-8), name


@given(seeds)
def test_riding_backwards_is_the_mirror_image(seed: int) -> None:
    # Swap the wheels' ends of a symmetric question: the slope of the line
    # between the axles changes sign with the difference of the radii.
    build = random_build(np.random.default_rng(seed))
    swapped = dataclasses.replace(
        build, front_radius=build.rear_radius, rear_radius=build.front_radius
    )
    one, other = stand(build), stand(swapped)
    assert one.wheelbase == pytest.approx(other.wheelbase, abs=1e-9)
    assert one.bb_drop_front - one.bb_drop == pytest.approx(
        other.bb_drop - other.bb_drop_front, abs=1e-9
    )


@given(seeds)
def test_triangles_hold(seed: int) -> None:
    rng = np.random.default_rng(seed)
    build = random_build(rng)
    found = stand(build, random_state(rng, build))
    assert math.hypot(found.rear_centre, found.bb_drop) == pytest.approx(
        found.chainstay_length, abs=1e-6
    )
    assert math.hypot(found.front_centre, found.bb_drop_front) == pytest.approx(
        found.front_centre_straight, abs=1e-6
    )
    assert found.rear_centre + found.front_centre == pytest.approx(found.wheelbase, abs=1e-6)
    assert found.bb_height + found.bb_drop == pytest.approx(found.rear_radius, abs=1e-6)
    assert found.bb_height + found.bb_drop_front == pytest.approx(found.front_radius, abs=1e-6)
    assert found.turn_cosine**2 + found.turn_sine**2 == pytest.approx(1.0)


@given(seeds)
def test_slot_from_end_to_end_is_monotonic(seed: int) -> None:
    build = random_build(np.random.default_rng(seed))
    frame = dataclasses.replace(build.frame, slot_length=30.0)
    positions = np.linspace(0, 30, 31)
    found = stand(dataclasses.replace(build, frame=frame, slot_position=positions))
    for name in ("chainstay_length", "wheelbase"):
        assert np.all(np.diff(getattr(found, name)) > 0)
    turns = np.diff(np.asarray(found.turn))
    assert np.all(turns > 0) or np.all(turns < 0) or np.ptp(found.turn) < 0.1


@given(st.lists(seeds, min_size=1, max_size=5))
def test_an_array_is_its_elements(chosen: list[int]) -> None:
    builds = [random_build(np.random.default_rng(seed)) for seed in chosen]
    rows = [arguments(build, State.unloaded()) for build in builds]
    columns = {name: np.array([row[name] for row in rows]) for name in rows[0]}
    together = solve(**columns)
    for row, build in enumerate(builds):
        alone = stand(build)
        for name in set(Standing.__slots__) - {"front_radius", "rear_radius"}:
            # Vectorised and scalar trigonometry may differ in the last bit.
            expected = pytest.approx(getattr(alone, name), rel=1e-12, abs=1e-10)
            assert getattr(together, name)[row] == expected


def test_scalars_stay_floats_and_arrays_take_one_shape() -> None:
    for value in dataclasses.asdict(stand(trail_build())).values():
        assert type(value) is float
    spread = dataclasses.replace(trail_build(), front_radius=np.full((2, 1), 370.0))
    state = State(fork_compression=np.array([0.0, 10.0, 20.0]))
    for value in dataclasses.asdict(stand(spread, state)).values():
        assert value.shape == (2, 3)
        assert value.dtype == np.float64


def test_pressed_tyres_and_fork_lower_what_they_carry() -> None:
    build = trail_build()
    free, sagged = stand(build), stand(build, State.sagged(build.fork, fraction=0.2))
    assert sagged.head_angle > free.head_angle
    assert sagged.bb_height < free.bb_height
    flat = stand(build, State(front_deflection=10.0, rear_deflection=10.0))
    assert flat.bb_height == pytest.approx(free.bb_height - 10.0)
    assert flat.head_angle == pytest.approx(free.head_angle)


def test_sagged_by_the_whole_travel_is_bottomed() -> None:
    build = trail_build()
    all_in = stand(build, State.sagged(build.fork, fraction=1.0))
    assert all_in.head_angle == stand(build, State(fork_compression=build.fork.travel)).head_angle


def test_complex_steps_pass_through() -> None:
    # A derivative by complex step against a central difference.
    given = arguments(trail_build(), State.unloaded())
    h = 1e-30
    stepped: dict[str, Any] = {**given, "axle_to_crown": given["axle_to_crown"] + 1j * h}
    exact = np.asarray(solve(**stepped).head_angle).imag / h
    up, down = (
        solve(**{**given, "axle_to_crown": given["axle_to_crown"] + d}).head_angle
        for d in (1e-3, -1e-3)
    )
    assert exact == pytest.approx((up - down) / 2e-3, rel=1e-7)
