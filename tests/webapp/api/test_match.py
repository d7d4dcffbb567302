"""Matching a position, by JSON."""

from __future__ import annotations

from typing import Any

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


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"target": {"grip": [455], "saddle": [-190, 690]}}, "target.grip"),
        ({"target": {"grip": [455, "high"], "saddle": [-190, 690]}}, "target.grip.1"),
        ({"bounds": {"trail": [90, 80]}}, "bounds.trail"),
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
