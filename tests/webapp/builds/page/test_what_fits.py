"""The build page answers a mechanic's questions: six builds, and where their links lead."""

from __future__ import annotations

import re
from collections.abc import Mapping
from html import unescape
from urllib.parse import urlencode

import pytest
from fastapi.testclient import TestClient

from tests.webapp.builds.fitting.judged_builds import (
    BELT,
    COASTER,
    SMALL_WHEELS,
    Fields,
    closed,
    setup_of,
)
from webapp.builds.fitting.calculations.drive_tables import closings
from webapp.catalogue.reading.views import Catalogue

BIG_TYRE: Fields = {"tyre_rear": "69-622"}


def open_page(client: TestClient, fields: Fields, **more: str) -> str:
    query = urlencode({**fields, **more}, doseq=True)
    answer = client.get(f"/build/knapweed?{query}")
    assert answer.status_code == 200
    return unescape(answer.text)


def outcomes(page: str) -> Mapping[str, str]:
    return {
        key: kind
        for kind, key in re.findall(r'class="check check-(\w+)" id="check-([\w-]+)"', page)
    }


def line_of(page: str, key: str) -> str:
    return page.partition(f'id="check-{key}"')[2].partition("</li>\n")[0]


def links_in(text: str) -> list[str]:
    return re.findall(r'href="(/build/[^"]+)"', text)


def table(page: str, caption: str) -> list[list[str]]:
    """Cells of the table whose caption begins so, without marks."""
    body = page.partition(f">{caption}")[2].partition("<tbody>")[2].partition("</tbody>")[0]
    rows = re.findall(r"<tr.*?</tr>", body, re.DOTALL)
    plain = [re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, re.DOTALL) for row in rows]
    return [[re.sub(r"<[^>]+>", "", cell).strip() for cell in row] for row in plain]


def test_single_speed_32_by_20_with_a_coaster_brake(client: TestClient) -> None:
    page = open_page(client, COASTER)
    found = outcomes(page)
    assert found["drive-axle_position"] == "no"
    assert found["drive-reaction_arm"] == found["drive-slot"] == "clear"
    rows = table(page, "Where this ring and sprocket close")
    assert [row[0] for row in rows] == ["94 links", "96 links"]
    assert [row[1] for row in rows] == ["4.1", "16.9"]
    (first, *_) = links_in(page.partition('id="check-drive-axle_position"')[2])
    there = unescape(client.get(first).text)
    assert outcomes(there)["drive-axle_position"] == "clear"
    assert "Ask for a quote" in there
    assert "closes with 94 links, the axle at 4.1 mm" in there
    assert table(there, "Gears")[0][:2] == ["32 × 20", "1.60"]


def test_hub_gear_with_a_belt(client: TestClient, trail: Catalogue) -> None:
    fields = closed(trail, BELT)
    page = open_page(client, fields)
    found = outcomes(page)
    assert found["drive-axle_position"] == found["drive-hub_ratio"] == "clear"
    count = closings(setup_of(trail, BELT))[0].count
    assert f"closes with a belt of {count} teeth, the axle at {fields['slot']} mm" in page
    assert len(table(page, "Gears")) == 6
    low = open_page(client, closed(trail, BELT, sprocket="belt-27"))
    assert outcomes(low)["drive-hub_ratio"] == "no"
    assert "at least 48 teeth, or a sprocket of at most 25" in low


def test_speeds_are_told_at_the_cadence_chosen(client: TestClient) -> None:
    usual, asked = open_page(client, {}), open_page(client, {}, cadence="60")
    assert "km/h at 80 turns a minute" in usual
    assert "km/h at 60 turns a minute" in asked
    assert "cadence=60" in links_in(asked)[-1]
    for fast, slow in zip(table(usual, "Gears"), table(asked, "Gears"), strict=True):
        assert len(fast) == len(slow) == 4  # gear, ratio, development, speed
        assert float(slow[3]) == pytest.approx(0.75 * float(fast[3]), abs=0.1)
        assert slow[:3] == fast[:3]
    wrong = client.get("/build/knapweed?cadence=999")
    assert wrong.status_code == 422
    said = "“999” cannot be used: a number from 20 to 200 turns a minute"
    field = unescape(wrong.text).partition('name="cadence"')
    assert 'value="999"' in field[2][:200]
    assert said in field[0][-900:] + field[2][:900]
    assert "km/h at 80 turns a minute" in wrong.text


def test_derailleur_slammed_forward(client: TestClient) -> None:
    page = open_page(client, {"tyre_rear": "69-622"}, slot="0")
    assert "The derailleur takes up the chain" in page
    assert "chainstay 427.0 mm" in page
    assert "110 links long here, 114 with the axle right back" in page
    assert outcomes(page)["tyre-rear-stated"] == "tight"
    assert len(table(page, "Gears")) == 12


@pytest.mark.parametrize(
    ("fields", "slot", "stated"),
    [(BIG_TYRE, "0", "tight"), (BIG_TYRE, "24", "clear"), (SMALL_WHEELS, "0", "tight"),
     (SMALL_WHEELS, "24", "clear")],
)  # fmt: skip
def test_big_tyres_at_both_slot_ends(
    client: TestClient, fields: Fields, slot: str, stated: str
) -> None:
    page = open_page(client, fields, slot=slot)
    found = outcomes(page)
    assert found["tyre-rear-stated"] == stated
    assert found["tyre-rear-gap"] == found["tyre-front-gap"] == "clear"
    if stated == "tight":
        assert "Set the axle at" in page.partition('id="check-tyre-rear-stated"')[2]


@pytest.mark.parametrize("height", ["660", "720", "780"])
def test_longest_dropper_for_three_riders_per_size(client: TestClient, height: str) -> None:
    page = open_page(client, {}, saddle_height=height)
    rows = table(page, "Longest dropper post that fits")
    assert [row[0].partition(" (")[0] for row in rows] == [  # in full, and short on a phone
        "Extra smallXS", "Small", "MediumM", "Large", "Extra largeXL", "Extra extra largeXXL",
    ]  # fmt: skip
    here = [row[3] for row in rows]
    assert len(set(here)) > 1 or height == "780"
    assert set(here) <= {"none", "125", "150", "175", "200"}


def test_rider_of_115_kg_with_12_kg_of_luggage(client: TestClient) -> None:
    rider = {"stature": "190 cm", "weight": "115 kg", "size": "l", "post": "dropper-200"}
    page = open_page(client, rider, luggage="12")
    found = outcomes(page)
    assert found["load-rider"] == "tight"
    assert "127 kg; permitted by the builder: 130 kg" in page
    assert found["load-luggage"] == "unknown"
    racks = links_in(page.partition('id="check-load-luggage"')[2])
    there = unescape(client.get(racks[0]).text)
    assert outcomes(there)["load-luggage"] == "clear"
    heavier = open_page(client, rider, luggage="18", extra="rear-rack")
    assert outcomes(heavier)["load-rider"] == outcomes(heavier)["load-luggage"] == "no"
    assert "Ask for a quote" not in heavier


def test_a_failed_safety_check_blocks_the_order(client: TestClient) -> None:
    page = open_page(client, {"saddle_height": "820"})
    assert "This build cannot be ordered as it is" in page
    assert "Ask for a quote" not in page
    assert links_in(page.partition('id="check-post-range"')[2])


def test_pairs_are_ranked_by_a_wish(client: TestClient) -> None:
    query = urlencode(dict(COASTER))
    page = unescape(client.get(f"/build/knapweed/drive?{query}&chainstay=436").text)
    rows = table(page, "Rings and sprockets that close")
    lasting = [abs(float(row[4]) - 436) for row in rows if row[5] == "yes"]
    assert lasting == sorted(lasting)
    assert "a chainstay of 436 mm" in page
    geared = unescape(client.get(f"/build/knapweed/drive?{query}&gear=2").text)
    assert table(geared, "Rings and sprockets that close")[0][1] == "2.00"


def test_wrong_wish_is_said_and_kept(client: TestClient) -> None:
    answer = client.get("/build/knapweed/drive?gear=fast")
    assert answer.status_code == 422
    assert "a number from 0.5 to 6" in answer.text
    assert 'value="fast"' in answer.text
    assert "With a derailleur" in answer.text
