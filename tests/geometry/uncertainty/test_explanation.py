"""Explanations: the printed formula, fed with the printed terms, gives the figure."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from functools import cache
from math import asin, cos, degrees, radians, sin, sqrt

import numpy as np
import pytest

from geometry.bike.parts import Build, Fork, State
from geometry.bike.saddle import Seat
from geometry.bike.whole_bike import Bike, figures
from geometry.core.errors import InvalidInput
from geometry.examples.trail_bike import trail_build, trail_cockpit, trail_hardtail
from geometry.glossary.formula_terms import TERMS
from geometry.glossary.lookup import entry
from geometry.uncertainty.explanation import Explanation, closures, explain, explain_all
from geometry.uncertainty.interval import intervals
from geometry.uncertainty.printing import printed
from geometry.uncertainty.tolerance import Tolerance, Tolerances

BIKE = Bike(
    build=Build(
        frame=dataclasses.replace(trail_hardtail(), seat_tube_offset=-30.0),
        fork=Fork(axle_to_crown=520.0, offset=51.0, travel=115.0),
        lower_headset_stack=3.0,
        front_radius=371.0,
        rear_radius=349.0,
        slot_position=13.0,
    ),
    state=State(fork_compression=24.0, front_deflection=5.0, rear_deflection=9.0),
    cockpit=trail_cockpit(),
    seat=Seat(height=740.0, post_offset=15.0),
    standover_ahead=50.0,
)
TOLERANCES: Tolerances = {
    "frame.head_angle": [
        Tolerance(half_width=0.05, kind="drawn"),
        Tolerance(half_width=0.12, kind="made"),
    ],
    "fork.axle_to_crown": Tolerance(half_width=3.0),
    "build.rear_radius": Tolerance(half_width=3.0),
}


def s(angle: float) -> float:
    return sin(radians(angle))


def c(angle: float) -> float:
    return cos(radians(angle))


def rear(cs: float, d: float, sa: float, x: float) -> tuple[float, float]:
    """The a and b of the rear axle's formulas."""
    return sqrt(cs * cs - d * d) + x * c(sa), d + x * s(sa)


# Each formula of the glossary, written out again by hand in the order of its terms.
FORMULAS: dict[str, Callable[..., float]] = {
    "reach": lambda R, S, t: R * c(t) - S * s(t),
    "stack": lambda S, R, t: S * c(t) + R * s(t),
    "effective_top_tube": lambda R, S, STA, so: R + (S * c(STA) - so) / s(STA),
    "head_angle": lambda HA, t: HA - t,
    "seat_tube_angle": lambda STA, t: STA - t,
    "effective_seat_angle": lambda STA, so, SH: STA + degrees(asin(so / SH)),
    "chainstay_length": lambda RC, D: sqrt(RC * RC + D * D),
    "rear_centre": lambda CS, D, sa, x, t: (
        rear(CS, D, sa, x)[0] * c(t) + rear(CS, D, sa, x)[1] * s(t)
    ),
    "front_centre": lambda W, RC: W - RC,
    "front_centre_straight": lambda FC, Df: sqrt(FC * FC + Df * Df),
    "bb_drop": lambda CS, D, sa, x, t: rear(CS, D, sa, x)[1] * c(t) - rear(CS, D, sa, x)[0] * s(t),
    "bb_drop_front": lambda D, Rf, Rr: D + Rf - Rr,
    "bb_height": lambda Rr, D: Rr - D,
    "trail": lambda Rf, HA, o: (Rf * c(HA) - o) / s(HA),
    "mechanical_trail": lambda T, HA, Rf, o: (T * s(HA) + Rf * c(HA) - o) / 2,
    "wheel_flop": lambda T, HA: T * s(HA) * c(HA),
    "front_radius": lambda R, d: R - d,
    "rear_radius": lambda R, d: R - d,
    "grip_out": lambda bw, ge: bw / 2 - ge,
    "saddle_height": lambda SH: SH,
    "saddle_above_ground": lambda H, SH, ESA: H + SH * s(ESA),
}
KEYS = list(figures(BIKE))


@cache
def everything() -> dict[str, Explanation]:
    """All figures of the bike, explained when they are first asked for."""
    return explain_all(BIKE, TOLERANCES)


def test_every_figure_is_explained() -> None:
    assert list(everything()) == KEYS
    assert set(TERMS) == {*everything(), *closures(BIKE)}


@pytest.mark.parametrize("key", FORMULAS)
def test_formula_and_terms_give_the_figure(key: str) -> None:
    found = everything()[key]
    computed = FORMULAS[key](*(term.value for term in found.terms))
    assert found.value == pytest.approx(computed, abs=1e-9)


@pytest.mark.parametrize("key", FORMULAS)
def test_terms_are_written_in_the_formula(key: str) -> None:
    """Every symbol of a term stands in the formula, or in a definition it refers to."""
    for term in everything()[key].terms:
        if key != "saddle_height":
            assert term.symbol in everything()[key].formula


@pytest.mark.parametrize("key", KEYS)
def test_explanations_repeat_the_glossary_and_the_solver(key: str) -> None:
    found, told = everything()[key], entry(key)
    assert (found.name, found.symbol, found.unit) == (told.name, told.symbol, told.unit)
    assert (found.definition, found.formula, found.source) == (
        told.definition,
        told.formula,
        told.source,
    )
    assert found.value == figures(BIKE)[key]
    assert found.half_width == pytest.approx(intervals(BIKE, TOLERANCES)[key].half_width)


def test_inputs_come_with_value_slope_and_part() -> None:
    found = everything()["head_angle"]
    first = found.inputs[0]
    assert first.term.key == "build.rear_radius"
    assert first.term.value == 349.0
    assert first.part == pytest.approx(abs(first.slope) * 3.0)
    by_key = {one.term.key: one for one in found.inputs}
    assert by_key["frame.head_angle"].tolerance == pytest.approx(0.13)
    assert by_key["frame.reach"].tolerance is None
    assert by_key["frame.reach"].part is None


@pytest.mark.parametrize("key", KEYS)
def test_what_does_most_comes_first_and_then_what_it_follows_most(key: str) -> None:
    inputs = everything()[key].inputs
    parts = [one.part for one in inputs if one.part]
    others = [abs(one.slope) for one in inputs if not one.part]
    assert parts == sorted(parts, reverse=True)
    assert others == sorted(others, reverse=True)
    assert [bool(one.part) for one in inputs] == [True] * len(parts) + [False] * len(others)


def test_inputs_without_influence_are_left_out() -> None:
    keys = {one.term.key for one in everything()["head_angle"].inputs}
    assert "frame.seat_tube_length" not in keys
    assert "handlebar.width" not in keys


def test_without_tolerances_no_interval_is_told() -> None:
    found = explain(BIKE, "trail")
    assert found.half_width is None
    assert "±" not in found.text


def test_the_closure_is_explained_by_what_the_frame_is_drawn_with() -> None:
    tolerances = {"drawn_with.front_radius": Tolerance(half_width=0.5)}
    found = explain(BIKE, "closure_axle", tolerances)
    assert found.half_width == pytest.approx(0.5)
    assert found.inputs[0].term.key == "drawn_with.front_radius"
    assert "build.front_radius" not in {one.term.key for one in found.inputs}
    assert explain(BIKE, "closure_head_angle").unit == "°"


def test_explanations_are_plain_data() -> None:
    data = dataclasses.asdict(explain(BIKE, "trail", TOLERANCES))
    assert isinstance(data["value"], float)
    assert data["terms"][0]["symbol"] == "Rf"
    assert {f.name for f in dataclasses.fields(Explanation)} == set(data)


@pytest.mark.parametrize(
    ("value", "unit", "decimals", "half_width", "text"),
    [
        (66.418, "°", 2, 0.31, "66.4° ± 0.3"),
        (66.418, "°", 2, 0.0312, "66.42° ± 0.03"),
        (66.418, "°", 2, 0.14, "66.42° ± 0.14"),
        (66.418, "°", 2, 0.201, "66.4° ± 0.2"),
        (66.4182, "°", 3, 0.0199, "66.418° ± 0.020"),
        (66.4182, "°", 3, 1.4, "66.4° ± 1.4"),
        (1171.13, "mm", 1, 12.4, "1171 mm ± 12"),
        (1171.13, "mm", 1, None, "1171.1 mm"),
        (-0.001, "mm", 1, None, "0.0 mm"),
        (-3.26, "mm", 1, 0.0, "−3.3 mm ± 0.0"),
        (0.99985, "", 4, None, "0.9999"),
    ],
)
def test_values_are_printed_to_what_their_interval_bears(
    value: float, unit: str, decimals: int, half_width: float | None, text: str
) -> None:
    assert printed(value, unit, decimals, half_width) == text


@pytest.mark.parametrize("key", ["rake", "grips", "fork.offset", "closure_"])
def test_what_is_no_figure_is_refused(key: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        explain(BIKE, key)
    assert caught.value.field == "key"


def test_figures_of_absent_parts_are_refused() -> None:
    with pytest.raises(InvalidInput):
        explain(Bike(build=trail_build()), "grip_height")


def test_arrays_of_bikes_are_refused() -> None:
    many = dataclasses.replace(trail_build(), slot_position=np.array([0.0, 5.0]))
    with pytest.raises(InvalidInput) as caught:
        explain_all(Bike(build=many))
    assert caught.value.field == "bike"


def test_fewer_figures_and_inputs_are_the_first_of_all() -> None:
    """What a page asks for is what it would have read of everything."""
    stated = {
        "frame.head_angle": Tolerance(half_width=0.3),
        "stem.length": Tolerance(half_width=1.0),
    }
    bike = Bike(build=trail_build(), cockpit=trail_cockpit())
    every = explain_all(bike, stated)
    keys = ["trail", "grip_height", "standover"]
    some = explain_all(bike, stated, keys=keys, values=figures(bike), most=2)
    assert list(some) == keys[:2]  # a bike without a top tube has no standover
    for key, one in some.items():
        assert one == dataclasses.replace(every[key], inputs=every[key].inputs[:2])
        assert len(every[key].inputs) > 2
