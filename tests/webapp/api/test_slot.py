"""Where the axle lands, by JSON: against the slot's own plane geometry, and bad input."""

from __future__ import annotations

import math
from typing import Any

import pytest
from fastapi.testclient import TestClient

ADDRESS = "/api/v1/slot"
FRAME = {"chainstay_length": 427, "bb_drop": 68, "slot_length": 24, "slot_angle": 2}
PITCH = 12.7  # half an inch: ISO 606 08B


def loop_by_arcs(centre: float, ring: int, sprocket: int) -> float:
    """Links round two pitch circles, from runs and arcs [R: plane geometry]."""
    big, small = (PITCH / (2 * math.sin(math.pi / teeth)) for teeth in (ring, sprocket))
    slope = math.asin((big - small) / centre)
    run = centre * math.cos(slope)
    # a chain lies on a polygon: each tooth held counts one link
    held = ring * (math.pi + 2 * slope) / (2 * math.pi)
    held += sprocket * (math.pi - 2 * slope) / (2 * math.pi)
    return 2 * run / PITCH + held


def test_axle_closes_the_chain(client: TestClient) -> None:
    answer = client.post(ADDRESS, json={"ring": 32, "sprocket": 20, "slot": FRAME}).json()
    assert [row["count"] for row in answer["closes"]] == [94, 96]
    for row in answer["closes"]:
        level = math.sqrt(427**2 - 68**2) + row["new"] * math.cos(math.radians(2))
        centre = math.hypot(level, 68 + row["new"] * math.sin(math.radians(2)))
        assert row["chainstay_length"] == pytest.approx(centre, abs=1e-6)
        # free play of 10 mm takes up a hair of the loop
        assert loop_by_arcs(centre, 32, 20) == pytest.approx(row["count"], abs=0.02)
    assert answer["check"]["outcome"] == "clear"


def test_model_and_size_are_the_same_slot(client: TestClient) -> None:
    own = client.post(ADDRESS, json={"ring": 32, "sprocket": 20, "slot": FRAME}).json()
    named = {"ring": 32, "sprocket": 20, "model": "knapweed", "size": "m"}
    assert client.post(ADDRESS, json=named).json() == own


def test_half_link_closes_between(client: TestClient) -> None:
    body = {"ring": 32, "sprocket": 20, "slot": FRAME, "half_link": True}
    rows = client.post(ADDRESS, json=body).json()["closes"]
    assert [(row["count"], row["half_link"]) for row in rows] == [
        (94, False), (95, True), (96, False), (97, True),
    ]  # fmt: skip


def test_belt_closes_only_in_counts_sold(client: TestClient) -> None:
    body = {"ring": 44, "sprocket": 24, "drive": "belt", "pitch": 9, "sold": [130, 132, 145],
            "slot": FRAME}  # fmt: skip
    rows = client.post(ADDRESS, json=body).json()["closes"]
    assert [row["count"] for row in rows] == [130, 132]
    assert rows[0]["worn"] == pytest.approx(rows[0]["new"])


def test_position_is_held_against_what_closes(client: TestClient) -> None:
    body = {"ring": 32, "sprocket": 20, "slot": FRAME, "slot_position": 8}
    found = client.post(ADDRESS, json=body).json()["agreement"]
    assert found["outcome"] == "no"
    assert "4.1 mm" in found["remedy"]


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"ring": 3}, "ring"),
        ({"ring": 32.5}, "ring"),
        ({"slot": None}, "slot"),
        ({"model": "knapweed", "size": "m"}, "slot"),
        ({"slot": None, "model": "knapweed", "size": "z"}, "size"),
        ({"slot": {"chainstay_length": 50, "bb_drop": 68}}, "slot.bb_drop"),
        ({"slot": {"chainstay_length": 80, "bb_drop": 0}}, "slot.chainstay_length"),
        ({"slot": {"chainstay_length": "long", "bb_drop": 0}}, "slot.chainstay_length"),
        ({"drive": "belt", "sold": [129]}, "pitch"),
        ({"drive": "belt", "pitch": 9}, "sold"),
        ({"wings": 2}, "wings"),
    ],
)
def test_bad_input_names_field_value_and_remedy(
    client: TestClient, change: dict[str, Any], field: str
) -> None:
    answer = client.post(ADDRESS, json={"ring": 32, "sprocket": 20, "slot": FRAME} | change)
    assert answer.status_code == 422, answer.text
    problem = answer.json()["errors"][0]
    assert problem["field"] == field
    assert problem["remedy"]


def test_unknown_model_is_not_found(client: TestClient) -> None:
    body = {"ring": 32, "sprocket": 20, "model": "nothing", "size": "m"}
    assert client.post(ADDRESS, json=body).status_code == 404


def test_checks_of_a_build_with_the_builds_that_clear_them(client: TestClient) -> None:
    answer = client.get("/api/v1/models/knapweed/checks?tyre_rear=74-622").json()
    gap = next(line for line in answer["checks"] if line["key"] == "tyre-rear-gap")
    assert (gap["outcome"], answer["can_be_ordered"]) == ("no", False)
    assert gap["ways"]
    for way in gap["ways"]:
        there = way["address"].replace("/build/knapweed", "/api/v1/models/knapweed/checks")
        other = client.get(there)
        cleared = {line["key"]: line["outcome"] for line in other.json()["checks"]}
        assert cleared["tyre-rear-gap"] == "clear", way["words"]
    assert {"Rear axle", "Post insertion", "Torques"} <= {
        note["label"] for note in answer["assembly_notes"]
    }
