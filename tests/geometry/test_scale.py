"""A bike given in metres equals the bike in millimetres: angles stay, lengths are a thousandth.

Geometry has no length of its own, so nothing may depend on the size of a number.
"""

from __future__ import annotations

import dataclasses
from typing import Any, TypeVar

import numpy as np
import pytest

from geometry import Bike, Build, entry
from geometry.bike.saddle import Seat
from geometry.bike.whole_bike import figures
from geometry.examples.trail_bike import trail_cockpit, trail_fork, trail_hardtail

Given = TypeVar("Given")


def in_metres(given: Given) -> Given:
    """The same input with every length [mm] told in metres, made and checked anew."""
    changed: dict[str, Any] = {}
    for field in dataclasses.fields(given):  # type: ignore[arg-type]  # inputs are dataclasses
        value = getattr(given, field.name)
        if dataclasses.is_dataclass(value):
            changed[field.name] = in_metres(value)
        elif field.metadata.get("unit") == "mm":
            changed[field.name] = value / 1000.0
    return dataclasses.replace(given, **changed)  # type: ignore[type-var]


def test_a_bike_in_metres_stands_as_in_millimetres() -> None:
    wheels = {"lower_headset_stack": 12.0, "front_radius": 370.0, "rear_radius": 366.0}
    build = Build(frame=trail_hardtail(), fork=trail_fork(), slot_position=7.0, **wheels)
    seat = Seat(height=735.0, post_offset=12.0, rail_position=-8.0)
    bike = Bike(build=build, cockpit=trail_cockpit(), seat=seat, standover_ahead=50.0)
    small = Bike(
        build=in_metres(build),
        cockpit=in_metres(trail_cockpit()),
        seat=in_metres(seat),
        standover_ahead=0.05,
    )
    found, wanted = figures(small), figures(bike)
    assert len(found) > 25
    assert found.keys() == wanted.keys()
    for key, value in wanted.items():
        scale = 1000.0 if entry(key).unit == "mm" else 1.0
        assert np.asarray(found[key]) * scale == pytest.approx(value, rel=1e-9, abs=1e-9), key
