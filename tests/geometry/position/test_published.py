"""Published numbers, against the solver that draws whole frames and against drawn samples."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.bike import Build, Cockpit, Fork, Handlebar, Seat, Stem, hands, seated, stand
from geometry.core import ContradictoryInput, InvalidInput
from geometry.examples import trail_hardtail
from geometry.position import FIGURES, place_published
from geometry.position.published import NUMBERS

KNOWN = ("head_angle", "seat_tube_angle", "reach", "stack", "bb_height", "bb_drop", "rear_centre")


def table_of(build: Build) -> dict[str, float]:
    """What a maker would print of a build that stands as drawn."""
    standing = stand(build)
    return {
        "reach": float(standing.reach),
        "stack": float(standing.stack),
        "head_angle": float(standing.head_angle),
        "seat_tube_angle": float(standing.seat_tube_angle),
        "chainstay_length": float(standing.chainstay_length),
        "bb_drop": float(standing.bb_drop),
        "rear_radius": float(build.rear_radius),
        "front_radius": float(build.front_radius),
        "fork_offset": float(build.fork.offset),
    }


def build_with(axle_to_crown: float, front: float, rear: float) -> Build:
    return Build(
        frame=trail_hardtail(),
        fork=Fork(axle_to_crown=axle_to_crown, axle_to_crown_measured="along", offset=44.0),
        lower_headset_stack=12.0,
        front_radius=front,
        rear_radius=rear,
    )


@given(
    longer=st.floats(-40.0, 60.0),
    front=st.floats(340.0, 380.0),
    rear=st.floats(330.0, 380.0),
)
def test_a_table_stands_as_the_solver_has_it(longer: float, front: float, rear: float) -> None:
    """Published on one fork, ridden on a longer one: the solver's own frame, on both."""
    now = stand(build_with(530.0 + longer, front, rear))
    numbers = table_of(build_with(530.0, front, rear)) | {"fork_longer": longer}
    found = place_published(numbers)
    for name in (*KNOWN, "front_centre", "wheelbase", "trail"):
        assert found.value(name) == pytest.approx(float(getattr(now, name)), abs=1e-6), name


def test_grips_and_saddle_are_those_of_the_solver() -> None:
    build = build_with(530.0, 372.0, 368.0)
    standing = stand(build)
    bar = {"width": 780.0, "rise": 20.0, "backsweep": 9.0, "upsweep": 5.0}
    cockpit = Cockpit(
        stem=Stem(length=45.0, angle=6.0),
        handlebar=Handlebar(**bar),
        upper_headset_stack=9.0,
        spacers=15.0,
    )
    seat = seated(standing, build, Seat(height=731.0)).saddle
    found = place_published(
        {
            **table_of(build),
            **{f"bar_{name}": value for name, value in bar.items()},
            "stem_length": 45.0,
            "stem_angle": 6.0,
            "headset_cover": 9.0,
            "spacers": 15.0,
            "saddle_height": float(np.hypot(*seat)),
            "saddle_setback": -float(seat[0]),
        }
    )
    assert found.point("grip")[0] == pytest.approx(hands(standing, cockpit).grips)
    assert found.point("saddle")[0] == pytest.approx(seat)


def test_spreads_are_those_of_bikes_drawn_at_random() -> None:
    """Monte Carlo: numbers that differ by their spreads."""
    numbers = table_of(build_with(530.0, 372.0, 368.0)) | {
        "stem_length": 45.0, "saddle_height": 730.0, "saddle_setback": 190.0, "fork_longer": 0.0,
        "spacers": 20.0, "headset_cover": 9.0,
    }  # fmt: skip
    usual = {name: each.usual for name, each in NUMBERS.items() if name not in numbers}
    random = np.random.default_rng(4)

    def bike() -> np.ndarray[tuple[int], np.dtype[np.float64]]:
        drawn = {
            name: random.normal(value, NUMBERS[name].spread) for name, value in numbers.items()
        }
        for name, value in usual.items():
            drawn[name] = random.normal(value, NUMBERS[name].usual_spread)
        return place_published(drawn).values

    drawn = np.array([bike() for _ in range(1500)])
    found = place_published(numbers)
    spreads = np.array([found.spread(name) for name in FIGURES])
    assert drawn.std(axis=0) == pytest.approx(spreads, rel=0.08)
    grip = np.cov(drawn[:, :2].T)
    assert found.point("grip")[1] == pytest.approx(grip, rel=0.15, abs=4.0)


@given(left_out=st.sampled_from(["reach", "head_angle", "chainstay_length", "fork_offset"]))
def test_what_is_left_out_is_open_and_nothing_else(left_out: str) -> None:
    numbers = table_of(build_with(530.0, 372.0, 368.0))
    whole, found = place_published(numbers), place_published(
        {name: value for name, value in numbers.items() if name != left_out}
    )  # fmt: skip
    needed = {
        "reach": {"reach", "front_centre", "wheelbase", "front_axle_x"},
        "head_angle": {"head_angle", "front_centre", "wheelbase", "trail", "front_axle_x"},
        "chainstay_length": {"chainstay_length", "rear_centre", "wheelbase", "rear_axle_x"},
        "fork_offset": {"front_centre", "wheelbase", "trail", "front_axle_x"},
    }[left_out]
    for name in FIGURES:
        assert np.isnan(found.value(name)) == (name in needed or np.isnan(whole.value(name))), name
        assert np.isnan(found.spread(name)) == np.isnan(found.value(name))


@pytest.mark.parametrize(
    ("numbers", "field"),
    [
        ({"chainstay_length": 40.0, "bb_drop": 60.0}, "chainstay_length"),
        ({"saddle_height": 150.0, "saddle_setback": 200.0}, "saddle_setback"),
        ({"wings": 2.0}, "wings"),
        ({"reach": float("nan")}, "reach"),
    ],
)
def test_what_no_bike_has_is_refused(numbers: dict[str, float], field: str) -> None:
    with pytest.raises((ContradictoryInput, InvalidInput)) as error:
        place_published(numbers)
    assert error.value.field == field
