"""The ad-hoc geometry address: figures, conventions, and what it says of bad input."""

from __future__ import annotations

import copy
import json
import math
from typing import Any

import pytest
from fastapi.testclient import TestClient

ADDRESS = "/api/v1/geometry"


@pytest.fixture
def frame() -> dict[str, Any]:
    """An invented trail hardtail whose drawing closes."""
    return {
        "reach": 470,
        "stack": 643.271,
        "head_angle": 68.0,
        "head_tube_length": 110,
        "seat_tube_angle": 75,
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
    }


def test_frame_alone_stands_as_it_is_drawn(client: TestClient, frame: dict[str, Any]) -> None:
    answer = client.post(ADDRESS, json=frame).json()
    assert answer["closure"]["axle"] == pytest.approx(0, abs=0.01)
    assert answer["unloaded"]["head_angle"] == pytest.approx(68.0, abs=0.001)
    assert answer["unloaded"]["bb_height"] == pytest.approx(370 - 66, abs=0.01)
    assert answer["sagged"] is None
    assert answer["bottomed"] is None


def test_three_states_of_a_suspension_fork(client: TestClient, frame: dict[str, Any]) -> None:
    frame["fork"] = {"axle_to_crown": 520, "offset": 48, "travel": 125, "sag_fraction": 0.25}
    answer = client.post(ADDRESS, json=frame).json()
    angles = [answer[state]["head_angle"] for state in ("unloaded", "sagged", "bottomed")]
    assert angles == sorted(angles)
    # The same figures as a rigid fork shorter by the travel used.
    frame["fork"] = {"axle_to_crown": 520 - 31.25, "offset": 48}
    shorter = client.post(ADDRESS, json=frame).json()["unloaded"]
    assert answer["sagged"]["wheelbase"] == pytest.approx(shorter["wheelbase"], abs=1e-9)


def test_a_rigid_fork_stands_lower_on_tyres_pressed_in(
    client: TestClient, frame: dict[str, Any]
) -> None:
    """Both tyres pressed in by the same length lower the bike by it, and turn nothing."""
    pressed = frame | {"front_deflection": 7.0, "rear_deflection": 7.0}
    answer = client.post(ADDRESS, json=pressed).json()
    free, loaded = answer["unloaded"], answer["sagged"]
    assert loaded["bb_height"] == pytest.approx(free["bb_height"] - 7.0, abs=1e-9)
    assert loaded["head_angle"] == pytest.approx(free["head_angle"], abs=1e-9)
    assert answer["bottomed"] is None
    # The front tyre alone: the bike tips forward, and the head angle is steeper.
    tipped = client.post(ADDRESS, json=frame | {"front_deflection": 7.0}).json()
    assert tipped["sagged"]["head_angle"] > tipped["unloaded"]["head_angle"]


def test_no_sag_given_no_sagged_state(client: TestClient, frame: dict[str, Any]) -> None:
    frame["fork"] = {"axle_to_crown": 520, "offset": 48, "travel": 125}
    answer = client.post(ADDRESS, json=frame).json()
    assert answer["sagged"] is None
    assert answer["bottomed"] is not None


def test_definitions_hold_in_the_answer(client: TestClient, frame: dict[str, Any]) -> None:
    """The triangles and the trail by their definitions, worked with the standard library."""
    frame |= {"front_tyre": "64-622", "rear_tyre": "69-584", "slot_position": 9}
    found = client.post(ADDRESS, json=frame).json()["unloaded"]
    assert found["front_radius"] == 622 / 2 + 64  # ISO 5775 [E]: 64-622 is 750 over the tyre
    assert found["wheelbase"] == pytest.approx(found["rear_centre"] + found["front_centre"])
    assert found["chainstay_length"] == pytest.approx(
        math.hypot(found["rear_centre"], found["bb_drop"])
    )
    assert found["front_centre_straight"] == pytest.approx(
        math.hypot(found["front_centre"], found["bb_drop_front"])
    )
    angle = math.radians(found["head_angle"])
    trail = (375 * math.cos(angle) - 48) / math.sin(angle)
    assert found["trail"] == pytest.approx(trail)
    assert found["mechanical_trail"] == pytest.approx(trail * math.sin(angle))
    assert found["wheel_flop"] == pytest.approx(trail * math.sin(angle) * math.cos(angle))


def test_measured_fork_conversions(client: TestClient, frame: dict[str, Any]) -> None:
    """Square root of straight² − offset²: a right triangle."""
    frame["fork"] = {"axle_to_crown": 530, "offset": 48, "axle_to_crown_measured": "straight"}
    straight = client.post(ADDRESS, json=frame).json()["unloaded"]
    frame["fork"] = {"axle_to_crown": math.sqrt(530**2 - 48**2), "offset": 48}
    along = client.post(ADDRESS, json=frame).json()["unloaded"]
    assert straight == pytest.approx(along)


def test_cockpit_saddle_and_standover(client: TestClient, frame: dict[str, Any]) -> None:
    frame |= {
        "cockpit": {"stem": {"length": 50}, "handlebar": {"width": 780}, "spacers": 10},
        "saddle": {"height": 720},
        "top_tube": {"below_head_tube_top": 40, "along_seat_tube": 381, "diameter": 35},
        "standover_at": 50,
    }
    found = client.post(ADDRESS, json=frame).json()["unloaded"]
    # With the seat tube's axis through the BB the effective angle is the tube's own.
    assert found["effective_seat_angle"] == pytest.approx(found["seat_tube_angle"])
    level, straight = found["grips_to_rear_axle"], found["grips_to_rear_axle_straight"]
    rise = found["grip_height"] - found["rear_radius"]
    assert straight == pytest.approx(math.hypot(level, rise))
    assert found["standover"] > found["bb_height"]


def test_intervals_from_tolerances(client: TestClient, frame: dict[str, Any]) -> None:
    frame["tolerances"] = {"frame.chainstay_length": 2.0}
    answer = client.post(ADDRESS, json=frame).json()
    width = answer["intervals"]["unloaded"]["chainstay_length"]
    assert width == pytest.approx(2.0, rel=1e-6)


@pytest.mark.parametrize(
    ("path", "value", "field", "word"),
    [
        (("head_angle",), 0, "head_angle", "at least"),
        (("chainstay_length",), -420, "chainstay_length", "more than 0"),
        (("bb_drop",), 500, "bb_drop", "chainstay"),
        (("slot_position",), 19, "slot_position", "between 0 and"),
        (("slot_position",), -1, "slot_position", "between 0 and"),
        (("front_tyre",), "wide", "front_tyre.marking", "64-622"),
        (("drawn_with", "offset"), "x", "drawn_with.offset", "number"),
        (("drawn_with", "front_radius"), 0, "drawn_with.front_radius", "more than 0"),
        (("reach",), None, "reach", "number"),
        (("surprise",), 1, "surprise", ""),
        (("front_radius",), 1000, "front_radius", "overlap"),
        (("stack",), 5000, "stack", "head angle"),
    ],
)
def test_bad_input_names_field_value_and_remedy(
    client: TestClient,
    frame: dict[str, Any],
    path: tuple[str, ...],
    value: object,
    field: str,
    word: str,
) -> None:
    body = copy.deepcopy(frame)
    inner = body
    for step in path[:-1]:
        inner = inner[step]
    inner[path[-1]] = value
    response = client.post(ADDRESS, json=body)
    assert response.status_code == 422
    (error,) = response.json()["errors"]
    assert error["field"] == field
    assert word in error["remedy"]
    assert set(error) == {"field", "value", "remedy"}


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity", "1e999"])
def test_numbers_that_are_none(client: TestClient, frame: dict[str, Any], number: str) -> None:
    text = json.dumps(frame).replace("643.271", number)
    headers = {"content-type": "application/json"}
    response = client.post(ADDRESS, content=text, headers=headers)
    assert response.status_code == 422
    assert response.json()["errors"][0]["field"] == "stack"


def test_fork_shorter_than_its_offset(client: TestClient, frame: dict[str, Any]) -> None:
    frame["fork"] = {"axle_to_crown": 40, "offset": 48, "axle_to_crown_measured": "straight"}
    (error,) = client.post(ADDRESS, json=frame).json()["errors"]
    assert error["field"] == "fork.axle_to_crown"


def test_radius_and_tyre_together(client: TestClient, frame: dict[str, Any]) -> None:
    frame |= {"front_radius": 370, "front_tyre": "64-622"}
    (error,) = client.post(ADDRESS, json=frame).json()["errors"]
    assert error["field"] == "front_tyre"
    assert "not both" in error["remedy"]


def test_no_json_at_all(client: TestClient) -> None:
    headers = {"content-type": "application/json"}
    response = client.post(ADDRESS, content="{", headers=headers)
    assert response.status_code == 422
    assert response.json()["errors"]


def test_explanations_and_table_check(client: TestClient, frame: dict[str, Any]) -> None:
    frame |= {"explain": True, "tolerances": {"frame.head_angle": 0.3}}
    answer = client.post(ADDRESS, json=frame).json()
    told = answer["explanations"]["head_angle"]
    assert told["value"] == answer["unloaded"]["head_angle"]
    assert told["formula"]
    assert told["half_width"] == pytest.approx(answer["intervals"]["unloaded"]["head_angle"])
    assert {one["term"]["key"] for one in told["inputs"]} >= {"frame.head_angle"}
    assert answer["table_check"]["outcome"] == "clear"
    frame["stack"] = 653.271
    answer = client.post(ADDRESS, json=frame).json()
    assert answer["table_check"]["outcome"] == "no"
    assert answer["table_check"]["findings"][0]["remedy"]
