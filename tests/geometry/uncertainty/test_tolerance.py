"""Slopes against finite differences, intervals against Monte Carlo."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from geometry.bike.cockpit import Cockpit, Handlebar, Stem
from geometry.bike.drawing import closure
from geometry.bike.parts import Build, Fork, State
from geometry.bike.saddle import Seat
from geometry.bike.slopes import jacobian
from geometry.bike.whole_bike import Bike, figures, moved, numbers
from geometry.core.errors import InvalidInput
from geometry.examples.trail_bike import trail_build, trail_cockpit, trail_fork, trail_hardtail
from geometry.uncertainty.interval import intervals
from geometry.uncertainty.tolerance import (
    Tolerance,
    Tolerances,
    sensitivities,
    standard_deviation,
)

SEAT = Seat(height=740.0, post_offset=10.0, rail_position=5.0)
RIGID = Build(
    frame=dataclasses.replace(trail_hardtail(), seat_tube_offset=-30.0, slot_angle=8.0),
    fork=Fork(axle_to_crown=505.0, offset=51.0, axle_to_crown_measured="straight"),
    lower_headset_stack=3.0,
    front_radius=371.0,
    rear_radius=349.0,
    slot_position=13.0,
)
BIKES = {
    "as drawn": Bike(build=trail_build(), cockpit=trail_cockpit(), seat=SEAT, standover_ahead=50.0),
    "sagged": Bike(
        build=trail_build(16.0),
        state=State(fork_compression=35.0, front_deflection=6.0, rear_deflection=9.0),
        cockpit=trail_cockpit(),
        seat=Seat(height=680.0),
        standover_ahead=0.0,
    ),
    "unequal wheels, rigid fork quoted straight": Bike(
        build=RIGID,
        cockpit=Cockpit(
            stem=Stem(length=80.0, angle=-6.0),
            handlebar=Handlebar(width=700.0, backsweep=12.0, upsweep=4.0, roll=10.0),
            spacers=25.0,
        ),
        seat=Seat(height=760.0, post_offset=20.0),
        standover_ahead=100.0,
    ),
}

# Half-widths of ordinary size for a small builder [CP]; every input that any
# figure follows has one.
WIDTHS = {
    "frame.reach": 1.5,
    "frame.stack": 1.5,
    "frame.head_angle": 0.2,
    "frame.head_tube_length": 0.5,
    "frame.seat_tube_angle": 0.3,
    "frame.seat_tube_offset": 1.0,
    "frame.chainstay_length": 1.0,
    "frame.bb_drop": 1.0,
    "frame.slot_angle": 0.5,
    "top_tube.below_head_tube_top": 2.0,
    "top_tube.along_seat_tube": 2.0,
    "top_tube.diameter": 0.2,
    "fork.axle_to_crown": 3.0,
    "fork.offset": 1.0,
    "build.lower_headset_stack": 0.3,
    "build.front_radius": 3.0,
    "build.rear_radius": 3.0,
    "build.slot_position": 0.5,
    "state.fork_compression": 3.0,
    "state.front_deflection": 1.0,
    "state.rear_deflection": 1.0,
    "cockpit.upper_headset_stack": 0.3,
    "cockpit.spacers": 0.5,
    "stem.length": 1.0,
    "stem.angle": 1.0,
    "stem.clamp_height": 0.5,
    "handlebar.width": 2.0,
    "handlebar.rise": 1.0,
    "handlebar.forward": 1.0,
    "handlebar.backsweep": 1.0,
    "handlebar.upsweep": 1.0,
    "handlebar.sweep_start": 2.0,
    "handlebar.grip_from_end": 3.0,
    "handlebar.roll": 2.0,
    "seat.height": 2.0,
    "seat.post_offset": 1.0,
    "seat.saddle_stack": 2.0,
}
TOLERANCES: Tolerances = {key: Tolerance(half_width=width) for key, width in WIDTHS.items()}


@pytest.mark.parametrize("name", BIKES)
def test_slopes_agree_with_finite_differences(name: str) -> None:
    bike = BIKES[name]
    found = sensitivities(bike)
    step = 1e-4
    for key in found.inputs:
        plus, minus = figures(moved(bike, {key: step})), figures(moved(bike, {key: -step}))
        for figure in found.values:
            slope = (plus[figure] - minus[figure]) / (2 * step)
            # A central difference of lengths near 1000 mm is good to about 1e-8.
            assert found.of(figure, key) == pytest.approx(slope, rel=1e-6, abs=5e-8)


def test_slopes_of_closure_agree_with_finite_differences() -> None:
    def loop(bike: Bike) -> dict[str, object]:
        found = closure(bike.build.frame)
        return {"axle": found.axle, "head_angle": found.head_angle}

    bike = BIKES["as drawn"]
    keys = [key for key in numbers(bike) if key.startswith(("frame.", "drawn_with."))]
    slopes = jacobian(loop, bike, keys)  # type: ignore[arg-type]  # figures of any name
    for row, key in enumerate(keys):
        plus, minus = loop(moved(bike, {key: 1e-4})), loop(moved(bike, {key: -1e-4}))
        for figure, slope in slopes.items():
            difference = (plus[figure] - minus[figure]) / 2e-4  # type: ignore[operator]
            assert slope[row] == pytest.approx(difference, rel=1e-6, abs=5e-8)


def test_every_input_that_matters_has_a_tolerance_in_these_tests() -> None:
    found = sensitivities(BIKES["unequal wheels, rigid fork quoted straight"])
    rows = np.array([np.abs(slope) for slope in found.slopes.values()]).max(axis=0)
    matter = {key for key, size in zip(found.inputs, rows, strict=True) if size > 0}
    assert matter == set(WIDTHS)


@pytest.mark.parametrize("name", BIKES)
def test_intervals_agree_with_monte_carlo(name: str) -> None:
    """Spread of 200,000 bikes drawn at random within 3 % of every interval."""
    bike, count = BIKES[name], 200_000
    rng = np.random.default_rng(20261125)
    noise = {key: rng.normal(0.0, width / 2, count) for key, width in WIDTHS.items()}
    drawn = figures(moved(bike, noise))
    for figure, interval in intervals(bike, TOLERANCES).items():
        half_width = 2.0 * float(np.std(np.asarray(drawn[figure]) * np.ones(count)))
        assert interval.half_width == pytest.approx(half_width, rel=0.03), figure


@pytest.mark.parametrize("name", BIKES)
def test_intervals_hold_ninety_five_in_a_hundred(name: str) -> None:
    bike, count = BIKES[name], 100_000
    rng = np.random.default_rng(7)
    noise = {key: rng.normal(0.0, width / 2, count) for key, width in WIDTHS.items()}
    drawn = figures(moved(bike, noise))
    for figure, interval in intervals(bike, TOLERANCES).items():
        inside = (drawn[figure] >= interval.low) & (drawn[figure] <= interval.high)
        # Two standard deviations of a normal spread hold 95.45 %.
        assert np.mean(inside) == pytest.approx(0.9545, abs=0.005), figure


def test_one_call_for_many_bikes_is_the_same_as_many_calls() -> None:
    positions = np.array([0.0, 6.0, 12.0, 16.0])
    radii = np.array([[345.0], [371.0]])
    build = dataclasses.replace(trail_build(), slot_position=positions, rear_radius=radii)
    whole = intervals(Bike(build=build, seat=SEAT), TOLERANCES)
    for i, radius in enumerate(radii[:, 0]):
        for j, position in enumerate(positions):
            one = dataclasses.replace(trail_build(), slot_position=position, rear_radius=radius)
            for figure, interval in intervals(Bike(build=one, seat=SEAT), TOLERANCES).items():
                array = np.broadcast_to(whole[figure].half_width, (2, 4))
                assert array[i, j] == pytest.approx(interval.half_width, rel=1e-12, abs=1e-15)


def test_large_arrays_are_taken_in_groups_without_changing_anything() -> None:
    count = 40_000
    build = dataclasses.replace(trail_build(), slot_position=np.linspace(0.0, 16.0, count))
    keys = ["fork.offset", "frame.reach", "build.front_radius"]
    many = sensitivities(Bike(build=build), keys).slopes["trail"]
    last = sensitivities(Bike(build=trail_build(16.0)), keys).slopes["trail"]
    assert many.shape == (3, count)
    np.testing.assert_allclose(many[:, -1], last, rtol=1e-12)


def test_parts_and_kinds_add_in_squares() -> None:
    tolerances: Tolerances = {
        "frame.head_angle": [
            Tolerance(half_width=0.05, kind="drawn"),
            Tolerance(half_width=0.2, kind="made"),
        ],
        "fork.axle_to_crown": Tolerance(half_width=3.0, kind="measured"),
    }
    for interval in intervals(Bike(build=trail_build()), tolerances).values():
        square = interval.half_width**2
        assert sum(part**2 for part in interval.parts.values()) == pytest.approx(square)
        assert sum(part**2 for part in interval.kinds.values()) == pytest.approx(square)


def test_the_largest_part_is_named() -> None:
    found = intervals(Bike(build=trail_build()), TOLERANCES)
    assert found["chainstay_length"].largest == "frame.chainstay_length"
    assert found["rear_radius"].ranked()[0][0] == "build.rear_radius"
    alone = {"fork.offset": Tolerance(half_width=0.1)}
    assert intervals(Bike(build=trail_build()), alone)["trail"].largest == "fork.offset"


def test_without_tolerances_there_is_no_spread() -> None:
    found = intervals(Bike(build=trail_build()), {})
    assert found["trail"].half_width == 0
    assert found["trail"].largest is None
    assert found["trail"].low == found["trail"].high == found["trail"].value


def test_tolerances_of_absent_parts_are_left_out() -> None:
    found = intervals(Bike(build=trail_build()), TOLERANCES, ["head_angle"])
    assert list(found) == ["head_angle"]
    assert "seat.height" not in found["head_angle"].parts


def test_standard_deviation_is_half_the_half_width() -> None:
    assert standard_deviation(Tolerance(half_width=3.0)) == 1.5


@pytest.mark.parametrize("half_width", [-1.0, float("nan"), float("inf"), "wide"])
def test_bad_half_widths_are_refused(half_width: float) -> None:
    with pytest.raises(InvalidInput) as caught:
        Tolerance(half_width=half_width)
    assert caught.value.field == "half_width"


def test_unknown_names_are_refused() -> None:
    bike = Bike(build=trail_build())
    with pytest.raises(InvalidInput):
        Tolerance(half_width=1.0, kind="guessed")  # type: ignore[arg-type]  # on purpose
    with pytest.raises(InvalidInput):
        intervals(bike, {"fork.rake": Tolerance(half_width=1.0)})
    with pytest.raises(InvalidInput):
        intervals(bike, {}, ["grips_to_rear_axle"])
    with pytest.raises(InvalidInput):
        sensitivities(bike, ["seat.height"])
    found = sensitivities(bike, ["fork.offset"])
    with pytest.raises(InvalidInput):
        found.of("rake", "fork.offset")
    with pytest.raises(InvalidInput):
        found.of("trail", "frame.reach")


def test_a_bike_refuses_what_its_parts_refuse() -> None:
    with pytest.raises(InvalidInput) as caught:
        Bike(build=trail_build(), standover_ahead=5000.0)
    assert caught.value.field == "ahead"
    assert trail_fork().travel == 125.0
