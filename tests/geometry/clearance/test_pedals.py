"""Pedal and ground: 16 CFR 1512.17(c) [R], against a general solver fed with sampled tyres."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.clearance import CranksAtMost, Loaded
from geometry.clearance.pedals import (
    LEAN,
    Pedal,
    Wheel,
    pedal_ground_clearance,
    pedal_lean_check,
)
from geometry.core.errors import ContradictoryInput, InvalidInput

PEDAL = Pedal(crank_length=170.0, centre=125.0, outer=175.0)


def standing(
    rear_radius: float, front_radius: float, rear_width: float, front_width: float, drop: float
) -> tuple[Wheel, Wheel]:
    """Two wheels on one level ground, the BB ``drop`` below the rear axle."""
    rear = Wheel(x=-430.0, y=drop, radius=rear_radius, width=rear_width)
    front_y = drop - rear_radius + front_radius
    return rear, Wheel(x=740.0, y=front_y, radius=front_radius, width=front_width)


def lowest(wheel: Wheel, lean: float, pitch: float) -> float:
    """Lowest point of a turned wheel, of 4000 × 400 points on its tyre, the best refined."""
    from scipy.optimize import minimize

    ring = float(wheel.radius - wheel.width / 2)

    def height(angles: np.ndarray) -> float:
        around, across = angles
        out = ring + float(wheel.width) / 2 * np.cos(across)
        x = float(wheel.x) + out * np.cos(around)
        y = float(wheel.y) + out * np.sin(around)
        z = float(wheel.width) / 2 * np.sin(across)
        return float((x * np.sin(pitch) + y * np.cos(pitch)) * np.cos(lean) - z * np.sin(lean))

    start = np.array([-np.pi / 2, 0.5])
    return float(minimize(height, start, method="BFGS", options={"gtol": 1e-9}).fun)


def by_general_solver(rear: Wheel, front: Wheel, pedal: Pedal, lean_deg: float) -> float:
    """Pitch until both sampled tyres are equally low; then measure the pedal's box."""
    from scipy.optimize import brentq

    lean = np.radians(lean_deg)
    pitch = brentq(lambda p: lowest(rear, lean, p) - lowest(front, lean, p), -0.2, 0.2)
    corners = [
        (x, -float(pedal.crank_length) - float(pedal.thickness) / 2, z)
        for x in (-float(pedal.length) / 2, float(pedal.length) / 2)
        for z in (float(pedal.centre), float(pedal.outer))
    ]
    heights = [
        (x * np.sin(pitch) + y * np.cos(pitch)) * np.cos(lean) - z * np.sin(lean)
        for x, y, z in corners
    ]
    return float(min(heights)) - lowest(rear, lean, pitch)


@pytest.mark.parametrize(
    "shape",
    [
        (350.0, 350.0, 50.0, 50.0, 30.0),
        (349.0, 373.0, 65.0, 60.0, 45.0),
        (371.0, 371.0, 58.0, 76.0, 60.0),
        (340.0, 340.0, 25.0, 25.0, 75.0),
    ],
)
@pytest.mark.parametrize("lean", [0.0, LEAN, 40.0])
def test_clearance_against_a_general_solver(
    shape: tuple[float, float, float, float, float], lean: float
) -> None:
    rear, front = standing(*shape)
    assert pedal_ground_clearance(rear=rear, front=front, pedal=PEDAL, lean=lean) == pytest.approx(
        by_general_solver(rear, front, PEDAL, lean), abs=1e-4
    )


def test_upright_it_is_bb_height_less_crank_and_half_a_pedal() -> None:
    rear, front = standing(349.0, 373.0, 65.0, 60.0, 45.0)
    upright = pedal_ground_clearance(rear=rear, front=front, pedal=PEDAL, lean=0.0)
    assert upright == pytest.approx(349.0 - 45.0 - 170.0 - 10.0)


def test_thin_tyres_lean_about_the_line_of_contact() -> None:
    """Plane geometry: with no tyre width the whole bike turns about the ground line."""
    rear, front = standing(350.0, 350.0, 1e-9, 1e-9, 60.0)
    lean = np.radians(LEAN)
    expected = (290.0 - 180.0) * np.cos(lean) - 175.0 * np.sin(lean)
    assert pedal_ground_clearance(rear=rear, front=front, pedal=PEDAL) == pytest.approx(expected)


@settings(max_examples=50)
@given(crank=st.floats(150.0, 180.0), outer=st.floats(130.0, 220.0), lean=st.floats(1.0, 45.0))
def test_longer_cranks_wider_pedals_and_more_lean_come_lower(
    crank: float, outer: float, lean: float
) -> None:
    rear, front = standing(350.0, 360.0, 60.0, 65.0, 50.0)

    def clearance(c: float, o: float, a: float) -> float:
        pedal = Pedal(crank_length=c, centre=125.0, outer=o)
        return float(pedal_ground_clearance(rear=rear, front=front, pedal=pedal, lean=a))

    here = clearance(crank, outer, lean)
    assert clearance(crank + 1, outer, lean) < here
    assert clearance(crank, outer + 1, lean) < here
    assert clearance(crank, outer, lean + 1) < here


def test_arrays_of_cranks_and_leans() -> None:
    rear, front = standing(350.0, 360.0, 60.0, 65.0, 50.0)
    pedals = Pedal(crank_length=np.array([[165.0], [170.0]]), centre=125.0, outer=175.0)
    table = pedal_ground_clearance(
        rear=rear, front=front, pedal=pedals, lean=np.array([0.0, LEAN, 30.0])
    )
    assert np.shape(table) == (2, 3)
    assert np.asarray(table)[1, 1] == pedal_ground_clearance(rear=rear, front=front, pedal=PEDAL)


def test_the_remedy_s_crank_is_clear_and_five_more_are_not() -> None:
    rear, front = standing(350.0, 350.0, 50.0, 50.0, 75.0)
    long = Pedal(crank_length=190.0, centre=125.0, outer=175.0)
    check = pedal_lean_check(rear=rear, front=front, pedal=long, state=Loaded.SAGGED)
    assert check.code == "feet.pedal.sagged"
    assert check.outcome != "clear"
    assert isinstance(check.remedy, CranksAtMost)
    most = check.remedy.length
    outcomes = [
        pedal_lean_check(
            rear=rear, front=front, pedal=Pedal(crank_length=c, centre=125.0, outer=175.0)
        ).outcome
        for c in (most, most + 1.1)
    ]
    assert outcomes == ["clear", "tight"]


def test_a_pedal_within_5_mm_of_the_ground_is_tight() -> None:
    """[CP] Its crank set out so that it comes just below and just above that, at 25°."""
    rear, front = standing(350.0, 350.0, 50.0, 50.0, 75.0)

    def height(crank: float) -> float:
        pedal = Pedal(crank_length=crank, centre=125.0, outer=175.0)
        return float(pedal_ground_clearance(rear=rear, front=front, pedal=pedal))

    slope = (height(181.0) - height(180.0)) / 1.0
    for wanted, outcome in ((5.02, "clear"), (4.98, "tight"), (0.01, "tight"), (-0.01, "no")):
        crank = 180.0 + (wanted - height(180.0)) / slope
        pedal = Pedal(crank_length=crank, centre=125.0, outer=175.0)
        check = pedal_lean_check(rear=rear, front=front, pedal=pedal)
        assert check.figure == pytest.approx(wanted, abs=1e-6)
        assert (check.outcome, check.safety, check.limit) == (outcome, True, 0.0)


@pytest.mark.parametrize(
    ("field", "make"),
    [
        ("radius", lambda: Wheel(x=0.0, y=0.0, radius=-350.0, width=50.0)),
        ("x", lambda: Wheel(x=float("nan"), y=0.0, radius=350.0, width=50.0)),
        ("crank_length", lambda: Pedal(crank_length=0.0, centre=120.0, outer=170.0)),
        (
            "lean",
            lambda: pedal_ground_clearance(
                rear=Wheel(x=-430.0, y=0.0, radius=350.0, width=50.0),
                front=Wheel(x=700.0, y=0.0, radius=350.0, width=50.0),
                pedal=PEDAL,
                lean=90.0,
            ),
        ),
        (
            "front.x",
            lambda: pedal_ground_clearance(
                rear=Wheel(x=-430.0, y=0.0, radius=350.0, width=50.0),
                front=Wheel(x=-500.0, y=0.0, radius=350.0, width=50.0),
                pedal=PEDAL,
            ),
        ),
    ],
)
def test_bad_input_is_named(field: str, make: object) -> None:
    with pytest.raises(InvalidInput) as caught:
        make()  # type: ignore[operator]
    assert caught.value.field == field


def test_contradictions_are_named() -> None:
    with pytest.raises(ContradictoryInput, match="width"):
        Wheel(x=0.0, y=0.0, radius=50.0, width=60.0)
    with pytest.raises(ContradictoryInput, match="outer"):
        Pedal(crank_length=170.0, centre=120.0, outer=100.0)
