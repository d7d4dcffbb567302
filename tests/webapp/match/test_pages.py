"""The page *Match a position*, as its users read it: by tape, without any script."""

from __future__ import annotations

import re
from html import unescape

import pytest
from fastapi.testclient import TestClient

TAPE = {
    "bb_above_floor": "310",
    "saddle_above_floor": "100.2 cm",
    "bb_to_saddle": "715",
    "grip_above_floor": "1015",
    "bb_to_grip": "839",
}


def read(client: TestClient, query: dict[str, str], status: int = 200) -> str:
    response = client.get("/match/knapweed", params=query)
    assert response.status_code == status, response.text
    return unescape(response.text)


def builds(text: str) -> list[str]:
    return re.findall(r'href="(/build/[^"]+)"', text)


def test_the_bare_address_leads_to_a_model(client: TestClient) -> None:
    answer = client.get("/match?closer=5", follow_redirects=False)
    assert answer.headers["location"].endswith("?closer=5")
    assert answer.headers["location"].startswith("/match/")


def test_a_bike_by_tape_finds_builds_that_open(client: TestClient) -> None:
    text = read(client, TAPE)
    assert "Your grips are 455 mm ahead of the crank axle and 705 mm above it" in text
    found = builds(text)
    assert len(found) >= 4
    assert client.get(found[0]).status_code == 200
    query = found[0].partition("?")[2]
    checks = client.get(f"/api/v1/models/knapweed/checks?{query}").json()
    assert checks["can_be_ordered"]


def test_hands_closer_with_wheels_that_stay(client: TestClient) -> None:
    query = builds(read(client, TAPE))[0].partition("?")[2]
    own = dict(pair.split("=") for pair in query.split("&"))
    wheels = {place: own[place] for place in ("rim_front", "tyre_front", "rim_rear", "tyre_rear")}
    text = read(client, {**TAPE, "closer": "15", **wheels})
    for address in builds(text):
        assert all(f"{place}={slug}" in address for place, slug in wheels.items())
    assert 'value="15"' in text


def test_too_little_is_said_with_what_would_help(client: TestClient) -> None:
    text = read(client, {"bb_above_floor": "310"})
    assert "What would help most now: “" in text
    assert not builds(text)


def test_contradictions_are_told_and_nothing_is_answered(client: TestClient) -> None:
    text = read(client, {**TAPE, "saddle_behind_bb": "120"})
    assert "does not agree with the others" in text
    assert not builds(text)


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ({**TAPE, "bb_to_saddle": "600"}, "bb_to_saddle"),
        ({**TAPE, "bb_to_saddle": "long"}, "bb_to_saddle"),
        ({**TAPE, "saddle_to_grip": "9 m"}, "saddle_to_grip"),
        ({**TAPE, "closer": "near"}, "closer"),
        ({**TAPE, "most_price": "-1"}, "most_price"),
        ({**TAPE, "fork": "none-such"}, "fork"),
        ({**TAPE, "size": "giant"}, "size"),
    ],
)
def test_what_cannot_be_used_is_said_at_its_field_and_kept(
    client: TestClient, query: dict[str, str], field: str
) -> None:
    text = read(client, query, 422)
    assert f'href="#f-{field}"' in text
    assert f'id="f-{field}"' in text
    assert 'value="839"' in text
    assert not builds(text)


def test_a_price_too_low_is_told_with_the_one_that_would_do(client: TestClient) -> None:
    text = read(client, {**TAPE, "most_price": "1000"})
    assert not builds(text)
    assert re.search(r"With a price up to \d+ EUR the nearest is \d+ mm away", text)
