"""What other programs read of an explanation: its keys and their types, written out by hand.

A key of an input is the name under which a program gives that input a tolerance. Renaming one,
or answering a list where there was an object, breaks those programs; so it fails here first.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest
from fastapi.testclient import TestClient

from geometry.glossary import inputs

ADDRESS = "/api/v1/geometry"
NOTHING = type(None)

TERM = {"key": str, "name": str, "symbol": str, "unit": str, "decimals": int, "value": float}
INPUT = {
    "term": dict,
    "source": str,
    "slope": float,
    "tolerance": (float, NOTHING),
    "part": (float, NOTHING),
}
EXPLANATION = TERM | {
    "definition": str,
    "formula": str,
    "source": str,
    "half_width": (float, NOTHING),
    "terms": list,
    "inputs": list,
}

HEAD_TUBE = {"frame.reach", "frame.stack", "frame.head_angle", "frame.head_tube_length"}
REAR = {
    "frame.chainstay_length",
    "frame.bb_drop",
    "frame.slot_angle",
    "build.slot_position",
    "build.rear_radius",
    "state.rear_deflection",
}
FRONT = {
    "fork.axle_to_crown",
    "fork.offset",
    "build.lower_headset_stack",
    "build.front_radius",
    "state.fork_compression",
    "state.front_deflection",
}
HANDS = {
    "stem.length",
    "stem.angle",
    "stem.clamp_height",
    "handlebar.width",
    "handlebar.rise",
    "handlebar.backsweep",
    "handlebar.upsweep",
    "handlebar.sweep_start",
    "handlebar.grip_from_end",
    "handlebar.forward",
    "handlebar.roll",
    "cockpit.upper_headset_stack",
    "cockpit.spacers",
}
STANDING = HEAD_TUBE | REAR | FRONT
RESTS_ON = {
    "head_angle": STANDING,
    "trail": STANDING,
    "bb_height": STANDING,
    "grip_height": STANDING | HANDS,
    "chainstay_length": {
        "frame.chainstay_length",
        "frame.bb_drop",
        "frame.slot_angle",
        "build.slot_position",
    },
    "effective_seat_angle": STANDING
    | {"frame.seat_tube_angle", "frame.seat_tube_offset", "seat.height"},
    "standover": STANDING
    | {
        "frame.seat_tube_angle",
        "frame.seat_tube_offset",
        "top_tube.below_head_tube_top",
        "top_tube.along_seat_tube",
        "top_tube.diameter",
    },
    "saddle_height": {"seat.height"},
}
UNUSED = {
    "frame.seat_tube_length",
    "frame.slot_length",
    "fork.travel",
    "drawn_with.fork.axle_to_crown",
    "drawn_with.fork.offset",
    "drawn_with.fork.travel",
    "drawn_with.lower_headset_stack",
    "drawn_with.front_radius",
    "drawn_with.rear_radius",
    "drawn_with.slot_position",
    "seat.post_offset",
    "seat.rail_position",
    "seat.saddle_stack",
}
"""Inputs that no figure of an unloaded bike follows."""

# Every number is other than 0, so that no input drops out of a figure by chance.
BIKE: dict[str, Any] = {
    "reach": 470,
    "stack": 643.271,
    "head_angle": 68.0,
    "head_tube_length": 110,
    "seat_tube_angle": 75,
    "seat_tube_offset": 12,
    "seat_tube_length": 430,
    "chainstay_length": 430,
    "bb_drop": 66,
    "slot_length": 16,
    "slot_angle": 2,
    "drawn_with": {
        "axle_to_crown": 520,
        "offset": 48,
        "lower_headset_stack": 12,
        "front_radius": 370,
        "rear_radius": 370,
    },
    "fork": {"axle_to_crown": 510, "offset": 44, "travel": 120},
    "slot_position": 6,
    "front_radius": 372,
    "rear_radius": 368,
    "top_tube": {"below_head_tube_top": 45, "along_seat_tube": 400, "diameter": 35},
    "cockpit": {
        "stem": {"length": 50, "angle": 6},
        "handlebar": {
            "width": 780,
            "rise": 20,
            "backsweep": 9,
            "upsweep": 5,
            "forward": 3,
            "roll": 4,
        },
        "upper_headset_stack": 8,
        "spacers": 10,
    },
    "saddle": {"height": 740, "post_offset": 10, "rail_position": 5},
    "standover_at": 30,
    "explain": True,
}


@pytest.fixture(params=[None, {"frame.head_angle": 0.2, "stem.length": 1.0}], ids=["bare", "±"])
def answer(client: TestClient, request: pytest.FixtureRequest) -> Mapping[str, Any]:
    body = BIKE | ({"tolerances": request.param} if request.param else {})
    found: Mapping[str, Any] = client.post(ADDRESS, json=body).json()["explanations"]
    return found


def _is(found: object, shape: Mapping[str, Any]) -> None:
    assert isinstance(found, dict), f"an object, not {found!r}"
    assert found.keys() == shape.keys()
    for key, kind in shape.items():
        assert isinstance(found[key], kind), f"{key} is {found[key]!r}"


def test_explanations_are_objects_of_named_values(answer: Mapping[str, Any]) -> None:
    for figure, told in answer.items():
        _is(told, EXPLANATION)
        assert told["key"] == figure
        for term in told["terms"]:
            _is(term, TERM)
        for each in told["inputs"]:
            _is(each, INPUT)
            _is(each["term"], TERM)


def test_inputs_of_a_figure_have_these_keys(answer: Mapping[str, Any]) -> None:
    for figure, keys in RESTS_ON.items():
        assert {each["term"]["key"] for each in answer[figure]["inputs"]} == keys, figure


def test_every_input_has_one_of_these_keys() -> None:
    assert {entry.key for entry in inputs()} == set.union(*RESTS_ON.values()) | UNUSED


def test_the_key_of_an_input_gives_it_a_tolerance(client: TestClient) -> None:
    keys = sorted(set.union(*RESTS_ON.values()))
    body = BIKE | {"tolerances": dict.fromkeys(keys, 0.5)}
    told = client.post(ADDRESS, json=body).json()["explanations"]
    for figure in RESTS_ON:
        for each in told[figure]["inputs"]:
            assert each["tolerance"] == pytest.approx(0.5)
            assert each["part"] == pytest.approx(0.5 * abs(each["slope"]))
