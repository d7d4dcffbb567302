"""Slopes of a bike's figures: against central differences, whatever the size of the groups."""

from __future__ import annotations

import numpy as np
import pytest

from geometry.bike import State, stand
from geometry.bike.slopes import jacobian
from geometry.bike.whole_bike import Bike, figures, moved, numbers
from geometry.examples.trail_bike import trail_build, trail_cockpit

BIKE = Bike(build=trail_build(), cockpit=trail_cockpit())
STEP = 1e-4


def test_slopes_are_those_of_central_differences() -> None:
    keys = list(numbers(BIKE))
    slopes = jacobian(figures, BIKE, keys)
    for i, key in enumerate(keys):
        after, before = (figures(moved(BIKE, {key: way * STEP})) for way in (1.0, -1.0))
        for name, slope in slopes.items():
            measured = (np.asarray(after[name]) - np.asarray(before[name])) / (2.0 * STEP)
            assert slope[i] == pytest.approx(measured, rel=1e-5, abs=1e-6), (name, key)


def test_groups_of_inputs_do_not_show(monkeypatch: pytest.MonkeyPatch) -> None:
    keys = list(numbers(BIKE))[:5]
    whole = jacobian(figures, BIKE, keys)
    monkeypatch.setattr("geometry.bike.slopes._AT_ONCE", 2)
    for name, slopes in jacobian(figures, BIKE, keys).items():
        assert slopes == pytest.approx(whole[name], abs=1e-15)
        assert slopes.shape == (5,)


def test_no_inputs_have_no_slopes() -> None:
    slopes = jacobian(figures, BIKE, [])
    assert slopes.keys() == figures(BIKE).keys()
    assert slopes["wheelbase"].shape == (0,)


def test_a_bike_pressed_in_has_the_figures_of_its_stand() -> None:
    """Fork and both tyres pressed in; the solver stands it with its checks."""
    pressed = State(fork_compression=30.0, front_deflection=6.0, rear_deflection=9.0)
    found = figures(Bike(build=trail_build(), state=pressed))
    standing = stand(trail_build(), pressed)
    for name in ("front_radius", "rear_radius", "bb_height", "head_angle", "trail", "wheelbase"):
        assert found[name] == pytest.approx(getattr(standing, name), abs=1e-9), name
    upright = figures(Bike(build=trail_build()))
    assert upright["front_radius"] == pytest.approx(float(found["front_radius"]) + 6.0)
