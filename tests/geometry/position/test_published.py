"""Published numbers, against the solver that draws whole frames and against drawn samples."""

from __future__ import annotations

from dataclasses import replace

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


# [CP] How far a bike is from its table, and for what nobody knows by heart what is usual and
# how far off that may be [mm, deg]; of the size of Moore (2012): head angle 0.2°, offset 1 mm,
# wheelbase 2 mm [R].
FAR_OFF: dict[str, tuple[float, float, float]] = {
    "reach": (2.0, 450.0, 0.0),
    "stack": (2.0, 640.0, 0.0),
    "head_angle": (0.2, 66.0, 0.0),
    "stem_length": (1.0, 45.0, 0.0),
    "stem_angle": (1.0, 0.0, 5.0),
    "spacers": (2.0, 10.0, 10.0),
    "headset_cover": (2.0, 8.0, 4.0),
    "bar_rise": (2.0, 10.0, 12.0),
    "bar_width": (3.0, 760.0, 30.0),
    "bar_backsweep": (1.0, 8.0, 2.0),
    "bar_upsweep": (1.0, 4.0, 2.0),
}


def grips_by_the_solver(v: dict[str, float]) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Grips on a head tube drawn where the numbers say, by the solver's own cockpit."""
    cockpit = Cockpit(
        stem=Stem(length=v["stem_length"], angle=v["stem_angle"]),
        handlebar=Handlebar(
            width=v["bar_width"], rise=v["bar_rise"], backsweep=v["bar_backsweep"],
            upsweep=v["bar_upsweep"],
        ),
        upper_headset_stack=v["headset_cover"], spacers=v["spacers"],
    )  # fmt: skip
    whole = stand(build_with(530.0, 372.0, 368.0))
    standing = replace(whole, reach=v["reach"], stack=v["stack"], head_angle=v["head_angle"])
    return np.array([float(at) for at in hands(standing, cockpit).grips])


@pytest.mark.parametrize(
    "unknown",
    [(), *[(name,) for name in FAR_OFF if FAR_OFF[name][2]], tuple(FAR_OFF)[4:]],
)
def test_errors_of_the_numbers_add_by_their_squares(unknown: tuple[str, ...]) -> None:
    """Each number moved by a thousandth in the solver; its spread, or that of what is usual."""
    usual = {name: value for name, (_, value, _) in FAR_OFF.items()}
    own = {name: value for name, value in usual.items() if name not in unknown}
    found = place_published(own)
    here = grips_by_the_solver(usual)
    assert found.point("grip")[0] == pytest.approx(here, abs=1e-9)
    covariance = np.zeros((2, 2))
    for name, (spread, _, far) in FAR_OFF.items():
        slope = (grips_by_the_solver({**usual, name: usual[name] + 1e-3}) - here) / 1e-3
        off = slope * (far if name in unknown else spread)
        covariance += np.outer(off, off)
    assert found.point("grip")[1] == pytest.approx(covariance, rel=1e-4, abs=1e-6)
    assert [found.spread(n) for n in ("reach", "stack", "head_angle")] == pytest.approx([2, 2, 0.2])
    assert found.value("head_angle") == 66.0


def test_a_frame_and_a_saddle_are_as_sure_as_their_numbers() -> None:
    """By slopes on paper: BB height R − drop, rear centre √(c² − d²), the saddle on its line."""
    found = place_published(
        {
            "chainstay_length": 425.0, "bb_drop": 65.0, "rear_radius": 365.0,
            "front_radius": 370.0, "seat_tube_angle": 75.0, "saddle_height": 720.0,
        }
    )  # fmt: skip
    back = np.sqrt(425.0**2 - 65.0**2)
    assert (found.value("rear_centre"), found.value("bb_height")) == pytest.approx((back, 300.0))
    slope = 2.0 * np.hypot(425.0, 65.0) / back
    assert found.spread("rear_centre") == pytest.approx(slope, rel=1e-4)
    assert found.spread("bb_height") == pytest.approx(np.hypot(2.0, 2.0), rel=1e-6)
    assert found.spread("front_radius") == pytest.approx(2.0)
    at = 720.0 * np.exp(1j * np.radians(105.0))
    (x, y), covariance = found.point("saddle")
    assert (x, y) == pytest.approx((at.real, at.imag))
    along, round_it = 3.0 * at / 720.0, 0.3 * np.radians(1.0) * 1j * at
    assert covariance[0, 0] == pytest.approx(along.real**2 + round_it.real**2, rel=1e-4)
    assert covariance[1, 1] == pytest.approx(along.imag**2 + round_it.imag**2, rel=1e-4)
    level = place_published({"saddle_height": 720.0, "saddle_setback": 432.0})
    (x, y), covariance = level.point("saddle")
    assert (x, y) == pytest.approx((-432.0, 576.0))  # a triangle of 3, 4 and 5
    assert covariance[0, 0] == pytest.approx(4.0**2, rel=1e-6)
    assert covariance[1, 1] == pytest.approx((3.0 / 0.8) ** 2 + (4.0 * 0.75) ** 2, rel=1e-4)
    hardly = place_published({"saddle_height": 100.004, "saddle_setback": 100.0})
    assert hardly.point("saddle")[0][1] == pytest.approx(np.sqrt(100.004**2 - 100.0**2))


def test_a_fork_is_as_sure_as_its_numbers() -> None:
    """Trail by its formula, each number moved; a longer fork by the solver, ± 2 mm."""
    numbers = table_of(build_with(530.0, 372.0, 368.0))
    found = place_published({**numbers, "fork_longer": 0.0})
    angle, radius, offset = (numbers[n] for n in ("head_angle", "front_radius", "fork_offset"))

    def trail(angle: float, radius: float, offset: float) -> float:
        turn = np.radians(angle)
        return float((radius * np.cos(turn) - offset) / np.sin(turn))

    now = trail(angle, radius, offset)
    assert found.value("trail") == pytest.approx(now)
    longer = place_published({**numbers, "fork_longer": 0.01})
    square = sum(
        (moved - now) ** 2 * 1e6 * spread**2
        for moved, spread in (
            (trail(angle + 1e-3, radius, offset), 0.2),
            (trail(angle, radius + 1e-3, offset), 2.0),
            (trail(angle, radius, offset + 1e-3), 1.0),
        )
    )
    square += ((longer.value("trail") - now) / 0.01 * 2.0) ** 2
    assert found.spread("trail") == pytest.approx(np.sqrt(square), rel=1e-3)
    sure = place_published(numbers)
    assert sure.spread("trail") < found.spread("trail")


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
