"""Units pressed or typed are those of the whole site; times are by the shop's clock."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import unescape

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from webapp.catalogue.reading.settings import settings_data
from webapp.catalogue.writing.shop import put_settings
from webapp.common.storage.database import writing
from webapp.common.text.reader import chosen, use_units
from webapp.common.timestamps import use_zone
from webapp.match.difference_words import difference_words

SAME_SITE = {"Sec-Fetch-Site": "same-origin"}
RIDER = "stature=1727.2&inseam=812.8"


@pytest.fixture(autouse=True)
def as_before() -> Iterator[None]:
    """What a process learns of its shop is forgotten."""
    yield
    use_units("metric")
    use_zone("UTC")


def words(client: TestClient, address: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", client.get(address).text)).split())


def press(client: TestClient, units: str, came_from: str = "") -> str:
    headers = SAME_SITE | ({"Referer": f"http://testserver{came_from}"} if came_from else {})
    answer = client.post("/units", data={"units": units}, headers=headers)
    assert answer.status_code == 303
    return str(answer.headers["location"])


def test_one_press_changes_the_units_of_the_whole_site(client: TestClient) -> None:
    build, fit = f"/build/knapweed?size=m&{RIDER}", f"/fit/knapweed?{RIDER}"
    assert "height 172.7 cm, crotch height 81.3 cm" in words(client, build)
    assert press(client, "imperial", build) == build
    assert "height 5 ft 8 in, crotch height 32 in" in words(client, build)
    said = words(client, fit)
    assert re.search(r"size chart says \w+ at 5 ft \d", said)
    assert re.search(r"Saddle height on \w+: \d\d\.\d in from the BB centre", said)
    assert " mm" in words(client, build)  # the figures of the frame, as the trade writes them
    press(client, "metric", fit)
    assert re.search(r"size chart says \w+ at 17\d cm", words(client, fit))


def test_what_a_bike_weighs_and_where_its_posts_end_follow_the_press(client: TestClient) -> None:
    build = f"/build/knapweed?size=m&{RIDER}"
    metric = words(client, build)
    press(client, "imperial", build)
    imperial = words(client, build)
    kg, lb = (
        [float(found) for found in re.findall(rf"(?<![−+] )\b(\d\d\.\d) {unit}\b", text)]
        for unit, text in (("kg", metric), ("lb", imperial))
    )
    assert kg
    assert lb
    assert lb[-1] == pytest.approx(kg[-1] / 0.45359237, abs=0.12)  # the pound of 1959, exact
    assert re.search(r"EUR, [−+] \d+\.\d+ lb", imperial)
    assert not re.search(r"EUR, [−+] \d+\.\d+ kg", imperial)
    assert re.search(r"this build's is \d\d\.\d in\.", imperial)
    assert re.search(r"this build's is \d{3} mm\.", metric)


def test_how_far_an_answer_is_away_follows_too() -> None:
    token = chosen.set("imperial")
    try:
        assert difference_words((25.4, -12.7), (0.5, 0.0)) == (
            "Grips 1.0 in further, 0.5 in lower.",
            "Saddle where you want it.",
        )
    finally:
        chosen.reset(token)


def test_what_is_typed_in_a_unit_is_echoed_in_it_on_every_page(client: TestClient) -> None:
    client.get("/fit/knapweed?stature=5+ft+8&inseam=32+in")
    assert "height 5 ft 8 in" in words(client, f"/build/knapweed?{RIDER}")
    client.get("/fit/knapweed?stature=172+cm")
    assert "height 172.7 cm" in words(client, f"/build/knapweed?{RIDER}")


@pytest.mark.parametrize("back", ["", "//elsewhere.example/x"])
def test_nobody_is_led_to_another_site(client: TestClient, back: str) -> None:
    assert press(client, "imperial", back) == "/"
    headers = SAME_SITE | {"Referer": "https://elsewhere.example/build"}
    answer = client.post("/units", data={"units": "metric"}, headers=headers)
    assert answer.headers["location"] == "/"
    assert client.post("/units", data={"units": "cubits"}, headers=SAME_SITE).status_code == 422


def test_public_pages_stay_free_of_cookies(client: TestClient) -> None:
    for address in ("/", "/build/knapweed", f"/fit/knapweed?{RIDER}", "/table/knapweed"):
        assert "set-cookie" not in client.get(address).headers


def test_a_shop_may_be_imperial_until_the_reader_says_otherwise(
    client: TestClient, app: FastAPI
) -> None:
    with writing(app.state.engine) as session:
        data = settings_data(session).model_copy(update={"units": "imperial"})
        put_settings(session, who="b", data=data)
    assert "height 5 ft 8 in" in words(client, f"/build/knapweed?{RIDER}")
    press(client, "metric")
    assert "height 172.7 cm" in words(client, f"/build/knapweed?{RIDER}")


def test_times_are_told_by_the_shops_clock(client: TestClient, app: FastAPI) -> None:
    with writing(app.state.engine) as session:
        data = settings_data(session).model_copy(update={"time_zone": "Asia/Kolkata"})
        put_settings(session, who="b", data=data)
    asked = client.post(
        "/quote/knapweed",
        data={"name": "Ada", "mail": "ada@marl.example", "key": "k" * 24},
        follow_redirects=False,
    )
    link = asked.headers["location"]
    client.post(f"{link}/question", data={"text": "When?", "key": "q" * 24})
    assert re.search(r"You, \d+ \w+ \d{4}, \d\d:\d\d IST", words(client, link))
