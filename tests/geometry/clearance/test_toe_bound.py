"""A toe clearance that is surely there is never more than the clearance that is found."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from geometry.clearance.pedals import Pedal, Wheel
from geometry.clearance.toe import toe_clearance
from geometry.clearance.toe_bound import toe_clearance_least
from geometry.core.errors import InvalidInput

COUNT = 600


def any_shapes(dice: np.random.Generator) -> dict[str, Any]:
    """Wheels, axes and pedals of every kind, most of them of no bicycle."""
    return {
        "wheel": Wheel(
            x=dice.uniform(300, 900, COUNT),
            y=dice.uniform(-100, 200, COUNT),
            radius=dice.uniform(150, 420, COUNT),
            width=dice.uniform(20, 140, COUNT),
        ),
        "head_angle": dice.uniform(30, 100, COUNT),
        "axis_x": dice.uniform(-100, 700, COUNT),
        "axis_y": dice.uniform(-200, 900, COUNT),
        "pedal": Pedal(
            crank_length=dice.uniform(50, 250, COUNT),
            centre=dice.uniform(10, 300, COUNT),
            outer=400.0,
        ),
    }


def bicycles(dice: np.random.Generator) -> dict[str, Any]:
    """The front wheels of bicycles, by their head angles and forks."""
    angle, offset = dice.uniform(62, 76, COUNT), dice.uniform(30, 70, COUNT)
    x, y, up = dice.uniform(560, 800, COUNT), dice.uniform(20, 80, COUNT), 600.0
    sine, cosine = np.sin(np.radians(angle)), np.cos(np.radians(angle))
    return {
        "wheel": Wheel(
            x=x, y=y, radius=dice.uniform(300, 385, COUNT), width=dice.uniform(25, 80, COUNT)
        ),
        "head_angle": angle,
        "axis_x": x - offset * sine - up * cosine,
        "axis_y": y - offset * cosine + up * sine,
        "pedal": Pedal(
            crank_length=dice.uniform(150, 180, COUNT),
            centre=dice.uniform(120, 160, COUNT),
            outer=400.0,
        ),
    }


@pytest.mark.parametrize("seed", range(3))
def test_what_is_sure_is_there(seed: int) -> None:
    dice = np.random.default_rng(seed)
    shapes = any_shapes(dice)
    least = np.asarray(toe_clearance_least(**shapes))
    found = np.asarray(toe_clearance(**shapes).clearance)
    sure = np.isfinite(least)
    assert sure.sum() > COUNT / 5
    assert np.all(least[sure] <= found[sure])
    assert np.all(least[sure] > 0)


def test_of_a_bicycle_little_is_left_open() -> None:
    shapes = bicycles(np.random.default_rng(7))
    found = np.asarray(toe_clearance(**shapes).clearance)
    left = found - np.asarray(toe_clearance_least(**shapes))
    clear = found > 40
    assert clear.sum() > COUNT / 2
    assert np.all(left[clear] > 0)
    assert np.median(left[clear]) < 7 and np.max(left[clear]) < 20  # noqa: PT018  # one spread


def test_a_single_bike_is_told_as_in_an_array() -> None:
    shapes = bicycles(np.random.default_rng(8))
    wheel, pedal = shapes["wheel"], shapes["pedal"]
    alone = toe_clearance_least(
        wheel=Wheel(**{n: float(getattr(wheel, n)[3]) for n in ("x", "y", "radius", "width")}),
        head_angle=float(shapes["head_angle"][3]),
        axis_x=float(shapes["axis_x"][3]),
        axis_y=float(shapes["axis_y"][3]),
        pedal=Pedal(
            crank_length=float(pedal.crank_length[3]), centre=float(pedal.centre[3]), outer=400.0
        ),
    )
    assert isinstance(alone, float)
    together = np.asarray(toe_clearance_least(**shapes))
    assert alone == pytest.approx(float(together[3]), abs=1e-9)


def test_nothing_is_sure_of_a_wheel_behind_the_cranks() -> None:
    wheel = Wheel(x=-300.0, y=50.0, radius=340.0, width=50.0)
    pedal = Pedal(crank_length=170.0, centre=135.0, outer=185.0)
    axis = {"axis_x": -350.0, "axis_y": 100.0}
    assert toe_clearance_least(wheel=wheel, head_angle=70.0, pedal=pedal, **axis) == -np.inf
    with pytest.raises(InvalidInput):
        toe_clearance_least(wheel=wheel, head_angle=20.0, pedal=pedal, **axis)
