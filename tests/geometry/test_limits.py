"""Limits and defaults of inputs: by rules, for every class of input.

A length or mass is refused from 0 down and at no other number; an angle is bounded alike both
ways; a share lies between nothing and all. What is left out is not there, but for a few numbers
of common practice [CP].
"""

from __future__ import annotations

import dataclasses
import importlib
import pkgutil
from collections.abc import Iterator
from typing import Any

import pytest

import geometry
from geometry.core import Remedy
from geometry.core.inputs import Checked

for module in pkgutil.walk_packages(geometry.__path__, "geometry."):
    importlib.import_module(module.name)

PRACTICE = {
    "Stem.clamp_height": 40.0,
    "Handlebar.sweep_start": 60.0,
    "Handlebar.grip_from_end": 65.0,
    "Seat.saddle_stack": 45.0,
    "Pedal.length": 100.0,
    "Pedal.thickness": 20.0,
}
"""[CP] what a stem, a bar, a saddle and a pedal commonly measure [mm]."""

TUBES = {"head_angle": (30, 100), "seat_tube_angle": (30, 100)}
"""Angles [deg] of tubes that lean back, or hardly forward."""

READ = 5000.0
"""Longest reading of a tape [mm]; longer than any bicycle."""


def _below(kind: type[Any]) -> Iterator[type[Any]]:
    for each in kind.__subclasses__():
        yield each
        yield from _below(each)


def declared() -> dict[str, dataclasses.Field[Any]]:
    """Every number an input declares, as ``Stem.length``."""
    return {
        f"{kind.__name__}.{field.name}": field
        for kind in _below(Checked)
        for field in dataclasses.fields(kind)
        if "unit" in field.metadata
    }


DECLARED = declared()


def test_there_are_inputs_to_look_at() -> None:
    assert len(DECLARED) > 60
    assert DECLARED.keys() > PRACTICE.keys()


@pytest.mark.parametrize("name", DECLARED)
def test_a_range_ends_where_there_is_nothing_or_alike_both_ways(name: str) -> None:
    limits = DECLARED[name].metadata
    above, least, most = limits["above"], limits["least"], limits["most"]
    if name.partition(".")[2] in TUBES:
        assert (least, most) == TUBES[name.partition(".")[2]]
    elif name.startswith("Measured."):
        assert {above, least} <= {-READ, 0.0, None}
        assert most == READ
    elif limits["unit"] == "degrees":
        assert most in {89, 90, 180}
        assert least == -most
    else:
        assert above in {None, 0}
        assert least in {None, 0}
        assert most in {None, 1}, "a share is at most all of it"


def test_a_grip_section_never_points_straight_up_or_back() -> None:
    for name in ("Handlebar.backsweep", "Handlebar.upsweep"):
        assert DECLARED[name].metadata["most"] == 89


def test_what_nobody_tells_is_not_there_but_for_common_practice() -> None:
    told = {
        name: field.default
        for name, field in DECLARED.items()
        if field.default is not dataclasses.MISSING and field.default != 0.0
    }
    assert told == PRACTICE


def test_remedies_that_no_single_number_can_give_say_so() -> None:
    """Parts that do not go together, or a drawing that does not close."""
    assert {kind.__name__ for kind in _below(Remedy) if kind.of_parts} == {
        *("AboveAxle", "AheadOfRearAxle", "BuildThatStands", "ClosesTriangle", "ComparableValues"),
        *("CoversHeights", "DrawingThatCloses", "FrontAxleAhead", "LessThanStraight"),
        *("LongerThanOffset", "SagOnce", "ShorterCranks", "WheelsApart", "WiderBar"),
    }
