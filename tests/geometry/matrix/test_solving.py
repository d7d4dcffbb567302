"""The matrix build for build against the single solver, and what it must refuse."""

from __future__ import annotations

import dataclasses
import tracemalloc
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.bike.cockpit import Cockpit, Handlebar, Stem, hands
from geometry.bike.parts import Build, Fork, TopTube
from geometry.bike.saddle import Seat, seated
from geometry.bike.standing import Standing, stand
from geometry.bike.standover_height import standover
from geometry.bike.states import BOTTOMED, LOADINGS, UNLOADED, Loading
from geometry.core.errors import InvalidInput
from geometry.examples.trail_bike import trail_cockpit, trail_hardtail
from geometry.matrix import kernel as matrix_kernel
from geometry.matrix.axes import AxlePositions, Forks, Sizes, WheelPairs
from geometry.matrix.solving import BARE_OUTPUTS, BuildIndex, Matrix, solve_matrix
from tests.geometry.constraints import solve_by_constraints
from tests.geometry.one_build import Axes, one_build


def trail_like_fork(rng: np.random.Generator) -> Fork:
    """A fork short enough of travel for a top tube to stay over the place of standover."""
    return Fork(
        axle_to_crown=rng.uniform(490, 580),
        offset=rng.uniform(-30, 60),
        travel=rng.choice([0.0, rng.uniform(80, 160)]),
        axle_to_crown_measured=("along", "straight")[rng.integers(2)],
    )


def random_axes(seed: int, *, counts: tuple[int, int, int, int] = (3, 4, 3, 4)) -> Axes:
    """Sizes with riders, forks of both conventions, unequal wheels, inclined slots."""
    rng = np.random.default_rng(seed)
    s, f, w, p = counts

    def each(low: float, high: float) -> Any:
        return rng.uniform(low, high, s)

    frame = dataclasses.replace(
        trail_hardtail(),
        reach=each(380, 500),
        stack=each(600, 680),
        head_angle=each(63, 70),
        head_tube_length=each(90, 150),
        seat_tube_angle=each(70, 78),
        seat_tube_offset=each(-30, 30),
        chainstay_length=each(410, 450),
        bb_drop=each(30, 70),
        slot_length=each(18, 25),
        slot_angle=each(-10, 10),
        top_tube=TopTube(
            below_head_tube_top=each(30, 50), along_seat_tube=each(350, 420), diameter=34.9
        ),
    )
    cockpit = Cockpit(
        stem=Stem(length=each(35, 80), angle=each(-10, 10)),
        handlebar=Handlebar(width=each(700, 800), rise=each(0, 40), backsweep=8.0, upsweep=5.0),
        spacers=each(0, 30),
    )
    return {
        "sizes": Sizes(
            frame=frame,
            saddle_height=each(650, 800),
            cockpit=cockpit,
            standover_ahead=each(30, 100),
            mass_centre_x=each(0, 100),
            mass_centre_y=each(500, 700),
        ),
        "forks": Forks.of(
            [trail_like_fork(rng) for _ in range(f)],
            lower_headset_stack=rng.uniform(5, 15, f),
            sag_fraction=rng.uniform(0.1, 0.3, f),
        ),
        "wheels": WheelPairs(
            front_radius=rng.uniform(320, 385, w),
            rear_radius=rng.uniform(320, 385, w),
            front_deflection=rng.uniform(0, 8, w),
            rear_deflection=rng.uniform(0, 10, w),
        ),
        "positions": AxlePositions(at=rng.uniform(0, 1, p), measured_in="slots"),
    }


def row_of(value: Any, index: int) -> Any:
    """One row of a tree of inputs."""
    if isinstance(value, np.ndarray):
        return float(value[index])
    if not dataclasses.is_dataclass(value) or isinstance(value, type):
        return value
    rows = {f.name: row_of(getattr(value, f.name), index) for f in dataclasses.fields(value)}
    return type(value)(**rows)


def single(axes: Axes, index: BuildIndex, state: Loading) -> tuple[Build, Standing, Sizes]:
    """The same build, through the single solver."""
    size: Sizes = row_of(axes["sizes"], index.size)
    fork: Forks = row_of(axes["forks"], index.fork)
    pair: WheelPairs = row_of(axes["wheels"], index.wheels)
    position = float(axes["positions"].at[index.position]) * size.frame.slot_length
    build = Build(
        frame=size.frame,
        fork=fork.fork,
        lower_headset_stack=fork.lower_headset_stack,
        front_radius=pair.front_radius,
        rear_radius=pair.rear_radius,
        slot_position=position,
    )
    pressed = state.state(
        fork.fork,
        sag=fork.sag,
        front_deflection=pair.front_deflection,
        rear_deflection=pair.rear_deflection,
    )
    return build, stand(build, pressed), size


def expected(axes: Axes, index: BuildIndex, state: Loading) -> dict[str, Any]:
    """Every figure of one build from `stand`, `hands`, `seated` and `standover`."""
    build, standing, size = single(axes, index, state)
    assert size.cockpit is not None
    assert size.saddle_height is not None
    assert size.standover_ahead is not None
    held = hands(standing, size.cockpit)
    assert size.mass_centre_x is not None
    assert size.mass_centre_y is not None
    mass_x, _ = standing.place(size.mass_centre_x, size.mass_centre_y)
    return {
        **{name: getattr(standing, name) for name in BARE_OUTPUTS},
        "effective_seat_angle": seated(
            standing, build, Seat(height=size.saddle_height)
        ).effective_seat_angle,
        "grips_to_rear_axle": held.to_rear_axle,
        "grips_to_rear_axle_straight": held.to_rear_axle_straight,
        "standover": standover(standing, build, ahead=size.standover_ahead),
        "front_share": (mass_x + standing.rear_centre) / standing.wheelbase,
    }


def builds(found: Matrix) -> list[BuildIndex]:
    """Every build of a matrix."""
    return [BuildIndex(*index) for index in np.ndindex(*found.shape)]


@pytest.mark.parametrize("seed", range(3))
def test_every_build_is_what_the_single_solver_says(seed: int) -> None:
    axes = random_axes(seed)
    found = solve_matrix(**axes)
    assert found.shape == (3, 4, 3, 4, 3)
    for index in builds(found):
        wanted = expected(axes, index, LOADINGS[index.state])
        assert found.at(index) == pytest.approx(wanted, rel=1e-11, abs=1e-9), index


@pytest.mark.parametrize("block", [1, 7, 100, 1 << 20])
@pytest.mark.parametrize("short", [0, 1000])
def test_blocks_do_not_show(block: int, short: int, monkeypatch: pytest.MonkeyPatch) -> None:
    axes = random_axes(11)
    whole = solve_matrix(**axes)
    monkeypatch.setattr("geometry.matrix.solving.BLOCK", block)
    monkeypatch.setattr(matrix_kernel, "_SHORT", short)
    for name, value in solve_matrix(**axes).outputs.items():
        np.testing.assert_allclose(value, whole.outputs[name], rtol=1e-13, atol=1e-11)


def test_a_root_finder_fed_with_constraints_agrees() -> None:
    axes = random_axes(5, counts=(2, 3, 2, 2))
    found = solve_matrix(**axes)
    for index in builds(found)[::3]:
        state = LOADINGS[index.state]
        build, _, _ = single(axes, index, state)
        pair, fork = row_of(axes["wheels"], index.wheels), row_of(axes["forks"], index.fork)
        pressed = state.state(
            fork.fork,
            sag=fork.sag,
            front_deflection=pair.front_deflection,
            rear_deflection=pair.rear_deflection,
        )
        figures = found.at(index)
        for name, value in solve_by_constraints(build, pressed).items():
            assert figures[name] == pytest.approx(value, abs=1e-4 if "angle" in name else 1e-3)


def test_arrays_are_typed_contiguous_and_indexed() -> None:
    found = solve_matrix(**random_axes(1))
    assert set(found.outputs) >= set(BARE_OUTPUTS)
    for name, value in found.outputs.items():
        assert value.dtype == np.float64, name
        assert value.flags.c_contiguous, name
        assert value.shape == found.shape == (3, 4, 3, 4, 3)
        assert np.isfinite(value).all()
    assert found.possible.all()


def test_only_what_is_asked_for_is_computed() -> None:
    axes = random_axes(2)
    bare = solve_matrix(**{**axes, "sizes": Sizes(frame=axes["sizes"].frame)})
    assert set(bare.outputs) == set(BARE_OUTPUTS)
    assert bare.standover is None
    full = solve_matrix(**axes)
    np.testing.assert_array_equal(bare.trail, full.trail)


def test_scalars_make_a_matrix_of_one_build() -> None:
    found = solve_matrix(**one_build(), states=[UNLOADED])
    assert found.shape == (1, 1, 1, 1, 1)
    assert found.head_angle[0, 0, 0, 0, 0] == pytest.approx(68.0, abs=1e-3)


@settings(max_examples=20)
@given(st.integers(0, 1000), st.floats(0.2, 5))
def test_scaling_scales_lengths_and_keeps_angles(seed: int, factor: float) -> None:
    axes = random_axes(seed, counts=(2, 2, 2, 2))
    small, large = (
        solve_matrix(**axes),
        solve_matrix(**{k: grown(v, factor) for k, v in axes.items()}),
    )
    for name, value in small.outputs.items():
        scale = 1.0 if "angle" in name or name in ("turn", "front_share") else factor
        np.testing.assert_allclose(large.outputs[name], value * scale, rtol=1e-9, atol=1e-9)


def grown(value: Any, factor: float, *, length: bool = False) -> Any:
    """Every length of a tree of inputs scaled; slot shares and angles kept."""
    if isinstance(value, (float, np.ndarray)):
        return value * factor if length else value
    if not dataclasses.is_dataclass(value) or isinstance(value, type):
        return value
    fields = {}
    for field in dataclasses.fields(value):
        own = field.metadata.get("unit") == "mm" or isinstance(value, Sizes)
        fields[field.name] = grown(getattr(value, field.name), factor, length=own)
    return type(value)(**fields)


def test_sliding_back_lengthens_monotonically() -> None:
    axes = random_axes(4)
    axes["positions"] = AxlePositions(at=np.linspace(0, 1, 9), measured_in="slots")
    found = solve_matrix(**axes)
    assert np.all(np.diff(found.chainstay_length, axis=3) > 0)
    assert np.all(np.diff(found.wheelbase, axis=3) > 0)


def test_change_between_states_is_signed() -> None:
    found = solve_matrix(**random_axes(3))
    delta = found.change("unloaded", "bottomed")
    np.testing.assert_array_equal(
        delta["bb_height"], found.bb_height[..., 2] - found.bb_height[..., 0]
    )
    assert np.all(delta["bb_height"] <= 0)
    with pytest.raises(InvalidInput) as caught:
        found.change("unloaded", "flying")
    assert (caught.value.field, caught.value.value) == ("after", "flying")


def test_memory_is_linear_in_the_builds() -> None:
    def peak(positions: int) -> tuple[int, int]:
        axes = one_build(
            sizes=Sizes(frame=trail_hardtail(), cockpit=trail_cockpit(), standover_ahead=50.0),
            wheels=WheelPairs(front_radius=np.linspace(345, 370, 20), rear_radius=370.0),
            positions=AxlePositions(at=np.linspace(0, 16, positions)),
        )
        tracemalloc.start()
        found = solve_matrix(**axes)
        size = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        return size, found.turn.size * len(found.outputs) * 8

    (small, small_out), (large, large_out) = peak(100), peak(1000)
    assert large / large_out < 1.5
    assert large - small < 1.3 * (large_out - small_out)


def test_bottomed_is_all_of_the_travel() -> None:
    found = solve_matrix(**one_build(), states=[BOTTOMED])
    assert found.states == ("bottomed",)
    wanted = stand(
        Build(
            frame=trail_hardtail(),
            fork=Fork(axle_to_crown=395.0, offset=48.0),
            lower_headset_stack=12.0,
            front_radius=370.0,
            rear_radius=370.0,
        )
    )
    assert found.head_angle.item() == pytest.approx(wanted.head_angle, abs=1e-12)
