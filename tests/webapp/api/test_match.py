"""Matching a position, by JSON."""

from __future__ import annotations

from typing import Any
from urllib.parse import parse_qs

import pytest
from fastapi.testclient import TestClient

ADDRESS = "/api/v1/match"
BODY: dict[str, Any] = {
    "model": "knapweed",
    "target": {"grip": [455, 705], "saddle": [-190, 690]},
}


def test_answers_open_as_builds_that_can_be_ordered(client: TestClient) -> None:
    answer = client.post(ADDRESS, json={**BODY, "handling": {"trail": 110}}).json()
    assert answer["combinations"] > 100_000
    kinds = [found["kind"] for found in answer["answers"]]
    assert kinds == ["closest", "closest_as_sold", "cheapest", "nearest_handling"]
    for found in answer["answers"]:
        path, _, query = found["address"].partition("?")
        model = path.rpartition("/")[2]
        checks = client.get(f"/api/v1/models/{model}/checks?{query}").json()
        assert checks["can_be_ordered"]
        assert found["figures"]["trail"] > 0
        assert len(found["difference"]) == 2
    assert answer["trades"]
    assert answer["loosen"] == []


def part(address: str, place: str) -> str:
    return parse_qs(address.partition("?")[2])[place][0]


def test_mass_lead_time_and_travel_keep_their_bounds(client: TestClient) -> None:
    free = client.post(ADDRESS, json=BODY).json()
    bounds = {"mass": [0, 12.5], "lead_time": [0, 9], "fork_travel": [0, 0]}
    found = client.post(ADDRESS, json={**BODY, "bounds": bounds}).json()
    assert 0 < found["combinations"] < free["combinations"]
    assert found["answers"]
    for answer in found["answers"]:
        assert part(answer["address"], "fork").startswith("rigid")
        query = answer["address"].partition("?")[2]
        quoted = client.get(f"/quote/knapweed?{query}").text
        assert "Lead time 9 weeks" in quoted
    none = client.post(ADDRESS, json={**BODY, "bounds": {"mass": [0, 2]}}).json()
    assert none["answers"] == []
    assert [each["bound"] for each in none["loosen"]] == ["mass"]
    again = {**BODY, "bounds": {"mass": [0, none["loosen"][0]["to"]]}}
    assert client.post(ADDRESS, json=again).json()["answers"]


def test_a_finish_that_takes_longer_counts(client: TestClient) -> None:
    """The demo's shop delivers in 9 weeks; its finish "own" takes 2 more."""
    late = {**BODY, "fixed": {"finish": "own"}, "bounds": {"lead_time": [0, 10]}}
    found = client.post(ADDRESS, json=late).json()
    assert found["answers"] == []
    assert (found["loosen"][0]["bound"], found["loosen"][0]["to"]) == ("lead_time", 11)


def test_what_is_fixed_stays(client: TestClient) -> None:
    fixed = {"size": "l", "tyre_front": "59-622", "rim_front": "622-30", "stem": "50-0"}
    found = client.post(ADDRESS, json={**BODY, "fixed": fixed}).json()
    assert found["answers"]
    for answer in (*found["answers"], *found["trades"]):
        assert {place: part(answer["address"], place) for place in fixed} == fixed


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"target": {"grip": [455], "saddle": [-190, 690]}}, "target.grip"),
        ({"target": {"grip": [455, "high"], "saddle": [-190, 690]}}, "target.grip.1"),
        ({"bounds": {"trail": [90, 80]}}, "bounds.trail"),
        ({"bounds": {"mass": [14, 12]}}, "bounds.mass"),
        ({"bounds": {"lead_time": [9]}}, "bounds.lead_time"),
        ({"bounds": {"fork_travel": [0, "long"]}}, "bounds.fork_travel"),
        ({"fixed": {"wing": "left"}}, "fixed.wing"),
        ({"fixed": {"size": "giant"}}, "fixed.size"),
        ({"bounds": {"colour": [0, 1]}}, "bounds.colour"),
        ({"fixed": {"fork": "none-such"}}, "fixed.fork"),
        ({"tolerance": -1}, "tolerance"),
        ({"wing": 1}, "wing"),
    ],
)
def test_what_cannot_be_wished_is_said_at_its_field(
    client: TestClient, change: dict[str, Any], field: str
) -> None:
    response = client.post(ADDRESS, json={**BODY, **change})
    assert response.status_code == 422
    assert response.json()["errors"][0]["field"].startswith(field)


def test_a_model_that_is_not_there_is_not_found(client: TestClient) -> None:
    assert client.post(ADDRESS, json={**BODY, "model": "none"}).status_code == 404
