"""The page *Match a position*, as its users read it: without any script."""

from __future__ import annotations

import re
from html import unescape
from urllib.parse import urlencode

import pytest
from fastapi.testclient import TestClient

TAPE = {
    "bb_above_floor": "310",
    "saddle_above_floor": "100.2 cm",
    "bb_to_saddle": "715",
    "grip_above_floor": "1015",
    "bb_to_grip": "839",
}


def present(**more: str) -> dict[str, str]:
    """A bike by tape, as other pages' addresses carry it."""
    return {"present": urlencode({"way": "tape", **TAPE, **more})}


def read(client: TestClient, query: dict[str, str], status: int = 200) -> str:
    response = client.get("/match/knapweed", params=query)
    assert response.status_code == status, response.text
    return unescape(response.text)


def builds(text: str) -> list[str]:
    return re.findall(r'href="(/build/knapweed\?[^"]+)">(?:Open|Size)', text)


def test_the_bare_address_leads_to_a_model(client: TestClient) -> None:
    answer = client.get("/match?closer=5", follow_redirects=False)
    assert answer.headers["location"].endswith("?closer=5")
    assert answer.headers["location"].startswith("/match/")


def test_a_bike_by_tape_finds_builds_that_open_and_are_quoted(client: TestClient) -> None:
    text = read(client, present())
    assert "Wanted: grips 455 mm ahead of the crank axle and 705 mm above it" in text
    found = builds(text)
    assert len(found) >= 4
    assert "present=" in found[0]
    assert client.get(found[0]).status_code == 200
    query = found[0].partition("?")[2].partition("&present=")[0]
    checks = client.get(f"/api/v1/models/knapweed/checks?{query}").json()
    assert checks["can_be_ordered"]
    (quote, *_) = re.findall(r'href="(/quote/knapweed\?[^"]+)"', text)
    assert client.get(quote).status_code == 200
    assert not re.search(r"\b0 mm (?:higher|lower|closer|further)", text)
    assert "<svg" in text.partition("Nearness against price")[2]


def test_wishes_of_the_present_bike_move_the_target(client: TestClient) -> None:
    text = read(client, present(closer="15", saddle_up="-5"))
    assert "Wanted: grips 440 mm ahead" in text
    assert "saddle 185 mm behind and 685 mm above" not in text


def test_hands_closer_with_wheels_that_stay(client: TestClient) -> None:
    query = builds(read(client, present()))[0].partition("?")[2]
    own = dict(pair.split("=") for pair in query.split("&"))
    wheels = {place: own[place] for place in ("rim_front", "tyre_front", "rim_rear", "tyre_rear")}
    text = read(client, {**present(), "closer": "15", **wheels})
    assert builds(text)
    for address in builds(text):
        assert all(f"{place}={slug}" in address for place, slug in wheels.items())
    assert 'value="15"' in text


def test_a_position_is_typed_or_taken_from_fit(client: TestClient) -> None:
    typed = {"grips_ahead": "455", "grips_up": "705", "saddle_behind": "190", "saddle_above": "690"}
    assert builds(read(client, {"from": "typed", **typed}))
    text = read(client, {"from": "typed", "grips_ahead": "455"})
    assert "All four numbers of the position are needed" in text
    fitted = read(client, {"from": "fit", "build": "knapweed?stature=1800&inseam=860"})
    assert builds(fitted)
    assert "The page Fit does not know your measurements yet" in read(client, {"from": "fit"})


def test_bounds_and_kinds_of_parts_are_kept(client: TestClient) -> None:
    text = read(client, {**present(), "fork": "any-rigid", "most_mass": "14", "least_trail": "60"})
    assert builds(text)
    assert all("rigid" in address for address in builds(text))
    assert "whose mass" not in text or "a part whose mass is not known" in text


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ({"closer": "near"}, "closer"),
        ({"most_price": "-1"}, "most_price"),
        ({"fork": "none-such"}, "fork"),
        ({"size": "giant"}, "size"),
        ({"least_trail": "110", "most_trail": "90"}, "least_trail"),
        ({"most_mass": "light"}, "most_mass"),
        ({"from": "typed", "grips_ahead": "9000"}, "grips_ahead"),
    ],
)
def test_what_cannot_be_used_is_said_at_its_field_and_kept(
    client: TestClient, query: dict[str, str], field: str
) -> None:
    text = read(client, {**present(), "higher": "7", **query}, 422)
    assert f'href="#f-{field}"' in text
    assert f'id="f-{field}"' in text
    assert 'value="7"' in text
    assert not builds(text)


def test_everything_fixed_leaves_one_bike_or_says_why_not(client: TestClient) -> None:
    query = builds(read(client, present()))[0].partition("?")[2]
    own = dict(pair.split("=") for pair in query.split("&"))
    places = ("size", "fork", "rim_front", "tyre_front", "rim_rear", "tyre_rear", "stem",
              "handlebar", "post", "saddle", "hub", "crank")  # fmt: skip
    text = read(client, {**present(), **{place: own[place] for place in places}})
    assert {re.search(r"stem=([^&]+)", each)[1] for each in builds(text)} == {own["stem"]}  # type: ignore[index]
    none = read(client, {**present(), "rim_front": own["rim_front"], "tyre_front": "none"}, 422)
    assert 'href="#f-tyre_front"' in none


def test_a_bound_too_tight_is_told_with_the_one_that_would_do(client: TestClient) -> None:
    text = read(client, {**present(), "most_price": "1000"})
    assert not builds(text)
    assert re.search(r"With a price up to \d+ EUR the nearest build is \d+ mm away", text)
    text = read(client, {**present(), "most_trail": "20", "most_lead_time": "90"})
    assert re.search(r"With Trail of \d+\.?\d* mm the nearest build is \d+ mm away", text)


@pytest.mark.parametrize(
    "path", ["/table/knapweed", "/build/knapweed/drive", "/build/knapweed/range"]
)
def test_pages_of_a_build_take_the_present_bike_along(client: TestClient, path: str) -> None:
    response = client.get(path, params={"size": "l", "slot": "4.1", **present(closer="15")})
    assert response.status_code == 200
    masthead, _, page = unescape(response.text).partition("</header>")
    told = urlencode(present(closer="15"))
    for place in ("/fit/", "/match/", "/build/", "/side-by-side", "/table/"):
        (address,) = re.findall(rf'href="({place}[^"]*)"', masthead)
        assert "present=" in address
    back = [each for each in re.findall(r'href="(/build/knapweed\?[^"]+)"', page) if told in each]
    assert back
    if "<form" in page and path != "/build/knapweed/range":
        assert 'name="present"' in page
    assert "present=" not in client.get(path, params={"size": "l"}).text
