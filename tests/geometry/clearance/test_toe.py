"""Toe clearance: against sampling of the steered torus, and a general-purpose minimiser.

The limits are those of 16 CFR 1512.17(d) [R] and, for 100 mm, [E/M].
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.clearance.pedals import Pedal, Wheel
from geometry.clearance.toe import TOE_ISO, TOE_US, Toe, toe_check, toe_clearance
from geometry.core.errors import InvalidInput

BUILDS = {
    "trail": (
        Wheel(x=760.0, y=35.0, radius=371.0, width=58.0),
        65.0,
        (620.0, 240.0),
        Pedal(crank_length=170.0, centre=140.0, outer=190.0),
    ),
    "tourer": (
        Wheel(x=600.0, y=70.0, radius=349.0, width=40.0),
        71.0,
        (480.0, 290.0),
        Pedal(crank_length=175.0, centre=130.0, outer=175.0),
    ),
    "small road": (
        Wheel(x=572.0, y=75.0, radius=336.0, width=25.0),
        70.5,
        (470.0, 250.0),
        Pedal(crank_length=170.0, centre=122.0, outer=165.0),
    ),
}


def turned(points: np.ndarray, head_angle: float, axis: tuple[float, float], angle: Any) -> Any:
    """Points (…, 3) turned about the steering axis by Rodrigues' formula."""
    direction = np.array([-np.cos(np.radians(head_angle)), np.sin(np.radians(head_angle)), 0.0])
    foot = np.array([*axis, 0.0])
    rel = points - foot
    turn = np.asarray(angle)[..., None]
    along = direction * (rel @ direction)[..., None]
    return (
        foot
        + along
        + np.cos(turn) * (rel - along)
        + np.sin(turn) * np.cross(np.broadcast_to(direction, rel.shape), rel)
    )


def tyre_points(wheel: Wheel, around: Any, across: Any) -> np.ndarray:
    ring, tyre = float(wheel.radius - wheel.width / 2), float(wheel.width) / 2
    out = ring + tyre * np.cos(across)
    return np.stack(
        np.broadcast_arrays(
            float(wheel.x) - out * np.cos(around),
            float(wheel.y) + out * np.sin(around),
            tyre * np.sin(across),
        ),
        axis=-1,
    )


def by_sampling(
    wheel: Wheel, head_angle: float, axis: tuple[float, float], pedal: Pedal, *, above: bool
) -> float:
    """Least way over a cloud of points of the steered tyre that lie in the pedal's plane.

    Knows nothing of balls or slices: it turns surface points by Rodrigues'
    formula and, for those within 0.2 mm of the pedal's plane, moves the pedal's
    circle up to the very point.
    """
    steering = np.radians(np.linspace(5.0, 50.0, 450))
    around = np.linspace(-0.7, 0.7, 141)[:, None]
    across = np.linspace(-1.6, 1.6, 161)[None, :]
    cloud = tyre_points(wheel, around, across).reshape(-1, 3)
    crank, least = float(pedal.crank_length), np.inf
    for angle in steering:
        points = turned(cloud, head_angle, axis, np.full(len(cloud), angle))
        x, y, _ = points[np.abs(points[:, 2] - float(pedal.centre)) < 0.2].T
        height = np.zeros_like(y) if above else np.clip(y, -crank, crank)
        ways = x - np.sqrt(crank**2 - height**2)
        least = min(least, float(np.min(ways, initial=np.inf)))
    return least


@pytest.mark.parametrize("name", BUILDS)
@pytest.mark.parametrize("view", ["pedal path", "from above"])
def test_against_sampling_of_the_steered_torus(name: str, view: Any) -> None:
    wheel, head_angle, axis, pedal = BUILDS[name]
    toe = toe_clearance(
        wheel=wheel,
        head_angle=head_angle,
        axis_x=axis[0],
        axis_y=axis[1],
        pedal=pedal,
        view=view,
    )
    sampled = by_sampling(wheel, head_angle, axis, pedal, above=view == "from above")
    assert toe.clearance == pytest.approx(sampled, abs=0.3)


def by_minimiser(
    wheel: Wheel, head_angle: float, axis: tuple[float, float], pedal: Pedal, start: list[float]
) -> tuple[float, float]:
    """Way and steering angle: a pedal at any crank angle moved onto any point of the tyre.

    Unknowns: steering, two angles of the tyre's surface, the crank; told only
    that the pedal's centre, moved forward, is that point of the surface.
    """
    from scipy.optimize import NonlinearConstraint, minimize

    def gap(v: np.ndarray) -> np.ndarray:
        steering, around, across, crank = v
        point = turned(tyre_points(wheel, around, across), head_angle, axis, steering)
        at = float(pedal.crank_length) * np.array([np.cos(crank), np.sin(crank)])
        return np.array([point[0] - at[0], point[1] - at[1], point[2] - float(pedal.centre)])

    def way(v: np.ndarray) -> float:
        return float(gap(v)[0])

    found = minimize(
        way,
        np.array(start),
        constraints=NonlinearConstraint(lambda v: gap(v)[1:], 0.0, 0.0),
        method="SLSQP",
        tol=1e-12,
    )
    assert found.success
    return float(found.fun), float(np.degrees(found.x[0]))


@pytest.mark.parametrize("name", BUILDS)
def test_against_a_general_purpose_minimiser(name: str) -> None:
    wheel, head_angle, axis, pedal = BUILDS[name]
    toe = toe_clearance(
        wheel=wheel, head_angle=head_angle, axis_x=axis[0], axis_y=axis[1], pedal=pedal
    )
    way, steering = by_minimiser(wheel, head_angle, axis, pedal, [0.3, 0.0, 0.3, 0.2])
    assert toe.clearance == pytest.approx(way, abs=1e-6)
    assert toe.steering_angle == pytest.approx(steering, abs=0.001)


@pytest.mark.parametrize("name", BUILDS)
def test_from_above_against_a_general_purpose_minimiser(name: str) -> None:
    """The hindmost point of the steered surface in the pedal's plane, at any height."""
    from scipy.optimize import NonlinearConstraint, minimize

    wheel, head_angle, axis, pedal = BUILDS[name]

    def point(v: np.ndarray) -> np.ndarray:
        steering, around, across = v
        return np.asarray(turned(tyre_points(wheel, around, across), head_angle, axis, steering))

    def way(v: np.ndarray) -> float:
        return float(point(v)[0] - float(pedal.crank_length))

    found = minimize(
        way,
        np.array([0.3, 0.0, 0.3]),
        constraints=NonlinearConstraint(lambda v: point(v)[2] - float(pedal.centre), 0.0, 0.0),
        method="SLSQP",
        tol=1e-12,
    )
    assert found.success
    toe = toe_clearance(
        wheel=wheel,
        head_angle=head_angle,
        axis_x=axis[0],
        axis_y=axis[1],
        pedal=pedal,
        view="from above",
    )
    assert toe.clearance == pytest.approx(found.fun, abs=1e-6)
    assert toe.steering_angle == pytest.approx(np.degrees(found.x[0]), abs=0.001)


def test_an_upright_axis_through_the_axle_has_a_closed_form() -> None:
    """Then the swept tyre is part of a sphere's neighbour: a disc of radius R seen from above."""
    wheel = Wheel(x=600.0, y=0.0, radius=350.0, width=50.0)
    pedal = Pedal(crank_length=170.0, centre=130.0, outer=180.0)
    toe = toe_clearance(wheel=wheel, head_angle=90.0, axis_x=600.0, axis_y=0.0, pedal=pedal)
    assert toe.clearance == pytest.approx(600.0 - np.sqrt(350.0**2 - 130.0**2) - 170.0)
    assert toe.steering_angle == pytest.approx(np.degrees(np.arcsin(130.0 / 350.0)))


@settings(max_examples=60, deadline=None)
@given(
    x=st.floats(550.0, 850.0),
    y=st.floats(-30.0, 90.0),
    radius=st.floats(280.0, 390.0),
    width=st.floats(20.0, 110.0),
    head_angle=st.floats(60.0, 78.0),
    offset=st.floats(-60.0, 80.0),
    crank=st.floats(150.0, 185.0),
    centre=st.floats(90.0, 180.0),
)
def test_no_sampled_point_comes_closer(
    *,
    x: float,
    y: float,
    radius: float,
    width: float,
    head_angle: float,
    offset: float,
    crank: float,
    centre: float,
) -> None:
    """Random points of the steered tyre, each sliced in its own pedal plane, never beat it."""
    wheel = Wheel(x=x, y=y, radius=radius, width=width)
    pedal = Pedal(crank_length=crank, centre=centre, outer=centre + 50)
    ha = np.radians(head_angle)
    axis = (x - offset * float(np.sin(ha)), y - offset * float(np.cos(ha)))
    toe = toe_clearance(
        wheel=wheel, head_angle=head_angle, axis_x=axis[0], axis_y=axis[1], pedal=pedal
    )
    around = np.linspace(-1.2, 1.2, 241)[:, None]
    side = np.linspace(-0.999, 0.999, 81)[None, :]
    spine = Wheel(x=x, y=y, radius=radius - width / 2 + 1e-9, width=2e-9)
    centres = np.broadcast_to(tyre_points(spine, around, 0.0 * side), (241, 81, 3))
    normal = np.array([np.sin(ha), np.cos(ha), 0.0])
    behind = -((centres - np.array([*axis, 0.0])) @ normal)
    sine = (centre + width / 2 * side) / np.where(behind > 0, behind, np.nan)
    steering = np.arcsin(np.where(np.abs(sine) < 1, sine, np.nan))
    placed = turned(centres, head_angle, axis, steering)
    disc = np.sqrt((width / 2) ** 2 - (placed[..., 2] - centre) ** 2)
    run = (crank + disc) ** 2 - placed[..., 1] ** 2
    ways = placed[..., 0] - np.sqrt(np.where(run > 0, run, np.nan))
    least = float(np.nanmin(ways))
    assert toe.clearance <= least + 1e-9
    assert toe.clearance == pytest.approx(least, abs=0.5)
    smallest_change = toe_clearance(
        wheel=Wheel(x=x + 1.0, y=y, radius=radius, width=width),
        head_angle=head_angle,
        axis_x=axis[0] + 1.0,
        axis_y=axis[1],
        pedal=pedal,
    )
    assert smallest_change.clearance - toe.clearance == pytest.approx(1.0, abs=1e-7)


@settings(max_examples=40, deadline=None)
@given(crank=st.floats(150.0, 185.0), radius=st.floats(300.0, 380.0))
def test_what_brings_the_tyre_closer(crank: float, radius: float) -> None:
    def clearance(**change: float) -> float:
        v = {"crank": crank, "radius": radius, "x": 640.0} | change
        return float(
            toe_clearance(
                wheel=Wheel(x=v["x"], y=60.0, radius=v["radius"], width=55.0),
                head_angle=70.0,
                axis_x=v["x"] - 50.0,
                axis_y=60.0,
                pedal=Pedal(crank_length=v["crank"], centre=135.0, outer=185.0),
            ).clearance
        )

    here = clearance()
    assert clearance(crank=crank + 1) < here
    assert clearance(radius=radius + 1) < here
    assert clearance(x=641.0) > here


@pytest.mark.parametrize("name", BUILDS)
def test_from_above_is_the_stricter_reading(name: str) -> None:
    wheel, head_angle, axis, pedal = BUILDS[name]
    place: dict[str, Any] = {
        "wheel": wheel,
        "head_angle": head_angle,
        "axis_x": axis[0],
        "axis_y": axis[1],
        "pedal": pedal,
    }
    path, above = toe_clearance(**place), toe_clearance(**place, view="from above")
    assert above.clearance <= path.clearance


def test_any_point_of_the_axis_will_do() -> None:
    wheel, head_angle, (x, y), pedal = BUILDS["trail"]
    away = -200.0
    along = np.array([-np.cos(np.radians(head_angle)), np.sin(np.radians(head_angle))]) * away
    one = toe_clearance(wheel=wheel, head_angle=head_angle, axis_x=x, axis_y=y, pedal=pedal)
    other = toe_clearance(
        wheel=wheel,
        head_angle=head_angle,
        axis_x=x + float(along[0]),
        axis_y=y + float(along[1]),
        pedal=pedal,
    )
    assert other.clearance == pytest.approx(one.clearance, abs=1e-9)


def test_a_wheel_that_never_comes_abreast_is_infinitely_far() -> None:
    wheel = Wheel(x=500.0, y=0.0, radius=150.0, width=40.0)
    pedal = Pedal(crank_length=170.0, centre=200.0, outer=240.0)
    toe = toe_clearance(wheel=wheel, head_angle=72.0, axis_x=500.0, axis_y=0.0, pedal=pedal)
    assert np.isinf(toe.clearance)
    assert np.isnan(toe.steering_angle)
    assert toe_check(toe).outcome == "clear"


def test_arrays_mix_builds_that_reach_and_do_not() -> None:
    wheel = Wheel(x=600.0, y=0.0, radius=np.array([[150.0], [350.0]]), width=50.0)
    pedal = Pedal(crank_length=np.array([165.0, 170.0, 175.0]), centre=190.0, outer=230.0)
    toe = toe_clearance(wheel=wheel, head_angle=70.0, axis_x=560.0, axis_y=0.0, pedal=pedal)
    clearance = np.asarray(toe.clearance)
    assert clearance.shape == (2, 3)
    assert np.all(np.isinf(clearance[0]))
    single = toe_clearance(
        wheel=Wheel(x=600.0, y=0.0, radius=350.0, width=50.0),
        head_angle=70.0,
        axis_x=560.0,
        axis_y=0.0,
        pedal=Pedal(crank_length=175.0, centre=190.0, outer=230.0),
    )
    assert clearance[1, 2] == pytest.approx(single.clearance, abs=1e-9)


def test_many_builds_are_each_looked_at() -> None:
    """More than are looked at together, each as if it were alone."""
    wheel, head_angle, axis, _ = BUILDS["trail"]
    cranks = np.linspace(150.0, 185.0, 1003)
    place: dict[str, Any] = {
        "wheel": wheel,
        "head_angle": head_angle,
        "axis_x": axis[0],
        "axis_y": axis[1],
    }
    pedals = Pedal(crank_length=cranks, centre=140.0, outer=190.0)
    found = np.asarray(toe_clearance(**place, pedal=pedals).clearance)
    for index in (0, 499, 500, 999, 1000, 1002):
        pedal = Pedal(crank_length=float(cranks[index]), centre=140.0, outer=190.0)
        alone = toe_clearance(**place, pedal=pedal).clearance
        assert found[index] == pytest.approx(alone, abs=1e-9)
    # A longer crank comes nearer, and since the pedal is level or nearly so by almost as much.
    assert np.all(np.diff(found) < 0)


@pytest.mark.parametrize(
    ("clearance", "outcome"), [(88.9, "no"), (89.0, "tight"), (99.9, "tight"), (100.0, "clear")]
)
def test_limits(clearance: float, outcome: str) -> None:
    assert (TOE_US, TOE_ISO) == (89.0, 100.0)
    check = toe_check(Toe(clearance=clearance, steering_angle=20.0))
    assert check.outcome == outcome
    assert check.safety


def test_held_feet_have_no_limit_but_may_not_meet_the_wheel() -> None:
    near, behind = (Toe(clearance=c, steering_angle=20.0) for c in (40.0, -5.0))
    assert toe_check(near, feet_held=True).outcome == "clear"
    assert toe_check(behind, feet_held=True).outcome == "no"
    assert not toe_check(behind, feet_held=True).safety


def test_bad_input_is_named() -> None:
    wheel, _, (x, y), pedal = BUILDS["trail"]
    with pytest.raises(InvalidInput, match="head_angle"):
        toe_clearance(wheel=wheel, head_angle=float("nan"), axis_x=x, axis_y=y, pedal=pedal)
    with pytest.raises(InvalidInput, match="axis_x"):
        toe_clearance(wheel=wheel, head_angle=65.0, axis_x=np.inf, axis_y=y, pedal=pedal)
    with pytest.raises(InvalidInput, match="view"):
        toe_clearance(
            wheel=wheel,
            head_angle=65.0,
            axis_x=x,
            axis_y=y,
            pedal=pedal,
            view="below",  # type: ignore[arg-type]
        )


def test_what_is_surely_far_enough_may_be_told_roughly() -> None:
    """By the same search without that leave: never told as failing, nor a failure as passing."""
    dice = np.random.default_rng(20)
    radius, width = dice.uniform(280.0, 385.0, 600), dice.uniform(28.0, 80.0, 600)
    builds: dict[str, Any] = {
        "wheel": Wheel(x=dice.uniform(430.0, 800.0, 600), y=60.0, radius=radius, width=width),
        "head_angle": dice.uniform(62.0, 74.0, 600),
        "axis_x": dice.uniform(430.0, 560.0, 600),
        "axis_y": 560.0,
        "pedal": Pedal(
            crank_length=dice.uniform(150.0, 180.0, 600), centre=140.0, outer=dice.uniform(170, 200)
        ),
    }
    exact = np.asarray(toe_clearance(**builds).clearance)
    rough = np.asarray(toe_clearance(**builds, enough=TOE_US).clearance)
    assert 0.1 < np.mean(exact < TOE_US) < 0.9
    near = rough <= TOE_US + 15.0
    assert near.sum() > 100
    assert rough[near] == pytest.approx(exact[near], abs=1e-9)
    assert np.all(rough[~near] >= exact[~near])
    assert np.all(exact[~near] > TOE_US)
    assert np.max((rough - exact)[np.isfinite(exact)]) < 15.0
