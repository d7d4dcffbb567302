"""What a tape reads: slopes against differences, kinds and lengths that are refused."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.core import FloatArray, InvalidInput, MoreThan
from geometry.position import KINDS, UNKNOWNS, Measured
from geometry.position.tape import expected, slopes

BIKE = np.array([310.0, -200.0, 700.0, 430.0, 690.0, -430.0, 760.0, 365.0, 370.0])


@st.composite
def bikes(draw: st.DrawFn) -> FloatArray:
    """Bikes as far from the ordinary one as bikes are."""
    return np.asarray(BIKE + np.array([draw(st.floats(-60, 60)) for _ in UNKNOWNS]))


@pytest.mark.parametrize("kind", KINDS)
@given(bike=bikes())
def test_slopes_are_what_differences_say(kind: str, bike: FloatArray) -> None:
    found = slopes(kind, bike)
    for at in range(len(UNKNOWNS)):
        step = np.zeros(len(UNKNOWNS))
        step[at] = 1e-3
        difference = (expected(kind, bike + step) - expected(kind, bike - step)) / 2e-3
        assert found[at] == pytest.approx(difference, abs=1e-6)


@pytest.mark.parametrize(
    ("given_", "field"),
    [
        ({"kind": "bb_to_moon", "value": 700}, "kind"),
        ({"kind": "wheelbase", "value": 0}, "value"),
        ({"kind": "wheelbase", "value": -3}, "value"),
        ({"kind": "wheelbase", "value": float("nan")}, "value"),
        ({"kind": "wheelbase", "value": 9000}, "value"),
        ({"kind": "wheelbase", "value": 1180, "spread": -1}, "spread"),
    ],
)
def test_what_is_no_measurement_is_refused(given_: dict[str, float], field: str) -> None:
    with pytest.raises(InvalidInput) as error:
        Measured(**given_)  # type: ignore[arg-type]  # wrong on purpose
    assert error.value.field == field


def test_a_saddle_may_stand_ahead_of_the_bb() -> None:
    assert Measured(kind="saddle_behind_bb", value=-20.0).value == -20.0


def test_lengths_of_a_bike_are_more_than_nought_and_up_to_five_metres() -> None:
    assert Measured(kind="wheelbase", value=0.5, spread=0.5).spread == 0.5
    assert Measured(kind="wheelbase", value=5000.0).value == 5000.0
    assert Measured(kind="saddle_behind_bb", value=-4999.0).value == -4999.0
    for value in (5000.5, -5000.0, 0.0):
        with pytest.raises(InvalidInput):
            Measured(kind="wheelbase", value=value)
    with pytest.raises(InvalidInput) as error:
        Measured(kind="wheelbase", value=-1.0)
    assert error.value.remedy == MoreThan(bound=0.0, unit="mm")


# [CP] of a careful reading, by how well the ends of the tape can be held; of the size of
# the 2 mm of Moore (2012) for wheelbases [R]. Axles and BB have a centre to hold to;
# saddles and grips are judged by eye, a plumb line hangs and swings.
CAREFUL = {
    2.0: ("bb_above_floor", "bb_to_rear_axle", "bb_to_front_axle", "wheelbase"),
    3.0: (
        "bb_to_saddle", "bb_to_grip", "saddle_to_grip", "saddle_above_floor",
        "grip_above_floor", "saddle_to_rear_axle", "saddle_to_front_axle",
        "grip_to_rear_axle", "grip_to_front_axle", "rear_wheel_round", "front_wheel_round",
    ),
    4.0: ("saddle_behind_bb",),
}  # fmt: skip


def test_a_reading_is_as_good_as_its_ends() -> None:
    said = {kind: spread for spread, kinds in CAREFUL.items() for kind in kinds}
    assert {kind: Measured(kind=kind, value=500.0).spread for kind in KINDS} == said


def test_what_a_tape_reads_of_a_bike_of_round_numbers() -> None:
    """By Pythagoras: BB 300 mm above the floor, wheels of 350 mm."""
    bike = np.array([300.0, -210.0, 770.0, 330.0, 770.0, -400.0, 880.0, 350.0, 350.0])
    read = {
        "bb_above_floor": 300.0, "saddle_behind_bb": 210.0, "saddle_above_floor": 1070.0,
        "grip_above_floor": 1070.0, "saddle_to_grip": 540.0, "wheelbase": 1280.0,
        "rear_wheel_round": 700.0 * np.pi, "front_wheel_round": 700.0 * np.pi,
        "bb_to_saddle": np.sqrt(210.0**2 + 770.0**2), "bb_to_grip": np.sqrt(330.0**2 + 770.0**2),
        "bb_to_rear_axle": np.sqrt(400.0**2 + 50.0**2),
        "bb_to_front_axle": np.sqrt(880.0**2 + 50.0**2),
        "saddle_to_rear_axle": np.sqrt(190.0**2 + 720.0**2),
        "saddle_to_front_axle": np.sqrt(1090.0**2 + 720.0**2),
        "grip_to_rear_axle": np.sqrt(730.0**2 + 720.0**2),
        "grip_to_front_axle": np.sqrt(550.0**2 + 720.0**2),
    }  # fmt: skip
    assert {kind: expected(kind, bike) for kind in KINDS} == pytest.approx(read)
