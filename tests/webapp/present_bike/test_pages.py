"""The page of the bike ridden now, as its users read it: without any script."""

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
NUMBERS = {
    "way": "numbers", "reach": "450", "stack": "640", "head_angle": "66", "stem_length": "45",
    "saddle_height": "715", "saddle_setback": "190", "chainstay_length": "435", "bb_drop": "60",
    "rear_tyre": "60-622", "fork_offset": "44",
}  # fmt: skip


def read(client: TestClient, query: dict[str, str], status: int = 200) -> str:
    response = client.get("/present-bike", params=query)
    assert response.status_code == status, response.text
    assert response.headers["cache-control"] == "no-store"
    return unescape(response.text)


def shown(text: str) -> dict[str, str]:
    pairs = re.findall(r'data-figure="([^"]+)"><dt>[^<]*</dt><dd>([^<]*)</dd>', text)
    return dict(pairs)


def test_a_tape_says_where_grips_and_saddle_are(client: TestClient) -> None:
    found = shown(read(client, TAPE))
    assert found["grips"].startswith("455 mm ahead, 705 mm above, ±")
    assert found["saddle"].startswith("180 mm behind, 692 mm above, ±")
    assert found["bb_height"] == "310 ± 4 mm"
    assert found["trail"] == found["wheelbase"] == "unknown"


def test_wheels_and_axles_say_how_it_stands(client: TestClient) -> None:
    more = {"rear_wheel_round": "2330", "front_wheel_round": "2330", "bb_to_rear_axle": "435",
            "wheelbase": "1190"}  # fmt: skip
    found = shown(read(client, {**TAPE, **more}))
    assert found["wheelbase"].startswith("1190 ±")
    assert found["rear_centre"].startswith("431 ±")
    assert found["trail"] == "unknown"


def test_published_numbers_say_how_it_stands(client: TestClient) -> None:
    found = shown(read(client, NUMBERS))
    assert found["saddle"].startswith("190 mm behind, 689 mm above, ±")
    # By hand: radius 371, (371 cos 66 - 44)/sin 66, and the drop's triangle.
    assert found["trail"].startswith("117 ±")
    assert found["bb_height"].startswith("311 ±")
    assert found["rear_centre"].startswith("431 ±")
    without = {name: value for name, value in NUMBERS.items() if name != "fork_offset"}
    found = shown(read(client, without))
    assert found["trail"] == found["front_centre"] == "unknown"
    assert found["bb_height"].startswith("311 ±")


def test_a_build_of_ours_is_known_by_its_link(client: TestClient) -> None:
    figures = client.get("/api/v1/models/knapweed/build?size=m").json()
    text = read(client, {"way": "build", "ours": "https://bikes.example/build/knapweed?size=m"})
    found = shown(text)
    assert found["grips"] != "unknown"
    assert "±" in found["trail"]
    assert figures


def test_other_pages_are_one_press_away_and_keep_the_bike(client: TestClient) -> None:
    text = read(client, {**TAPE, "closer": "15", "build": "knapweed?size=m"})
    (match,) = re.findall(r'href="(/match/knapweed\?[^"]+)">Find', text)
    assert "build=knapweed" in match
    assert "closer%3D15" in match
    assert client.get(match).status_code == 200
    for words in ("Put it side by side", "Draw it behind a build", "Use it for my size"):
        (address,) = re.findall(rf'href="([^"]+)">{words}', text)
        assert "present=" in address
        answer = client.get(address, follow_redirects=True)
        assert answer.status_code == 200, address


def test_too_little_is_said_with_what_would_help(client: TestClient) -> None:
    assert "What would help most now" in read(client, {"bb_above_floor": "310"})
    numbers = read(client, {"way": "numbers", "reach": "450"})
    assert re.search(r"What would help most now: <a href=\"#f-stack\">", numbers)


def test_contradictions_are_told(client: TestClient) -> None:
    text = read(client, {**TAPE, "saddle_behind_bb": "120"})
    assert "does not agree with the others" in text


def test_what_was_typed_the_other_ways_is_kept(client: TestClient) -> None:
    text = read(client, {**TAPE, "way": "numbers"})
    assert '<input type="hidden" name="bb_to_grip" value="839">' in text
    assert re.search(r'href="/present-bike\?way=tape[^"]*bb_to_grip=839', text)


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ({**TAPE, "bb_to_saddle": "600"}, "bb_to_saddle"),
        ({**TAPE, "bb_to_saddle": "long"}, "bb_to_saddle"),
        ({**TAPE, "saddle_to_grip": "9 m"}, "saddle_to_grip"),
        ({**TAPE, "bb_to_grip": "1290", "saddle_to_grip": "280"}, "bb_to_grip"),
        ({"saddle_above_floor": "320", "rear_wheel_round": "2330"}, "saddle_above_floor"),
        ({**TAPE, "closer": "near"}, "closer"),
        ({"way": "numbers", "head_angle": "steep"}, "head_angle"),
        ({"way": "numbers", "rear_tyre": "2.4 in"}, "rear_tyre"),
        ({"way": "numbers", "saddle_height": "400", "saddle_setback": "450"}, "saddle_setback"),
        ({"way": "build", "ours": "/build/none-such?size=m"}, "ours"),
        ({"way": "build", "ours": "my old bike"}, "ours"),
        ({"way": "build", "ours": "/build/knapweed?size=giant"}, "ours"),
    ],
)
def test_what_cannot_be_used_is_said_at_its_field_and_kept(
    client: TestClient, query: dict[str, str], field: str
) -> None:
    text = read(client, query, 422)
    assert f'href="#f-{field}"' in text
    assert f'id="f-{field}"' in text
    for value in query.values():
        assert value in text
