"""The geometry table: the builds' own figures, on the page, as CSV and as JSON."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping
from dataclasses import replace
from html import unescape

import pytest
from fastapi.testclient import TestClient

from webapp.builds.choice.build_choice import read_choice
from webapp.builds.evaluation import compute
from webapp.builds.page.figure_rows import KEYS, printed
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import Invalid
from webapp.geometry_table.geometry_table import (
    as_csv,
    csv_head,
    drawn_numbers,
    every_build,
    table_of,
)

QUERY = {"fork": ["suspension-150"], "tyre_rear": ["59-622"], "slot": ["12.5"]}
FIELDS = "fork=suspension-150&tyre_rear=59-622&slot=12.5"
PARTIAL = {"HX-Request": "true", "HX-Request-Type": "partial"}


@pytest.mark.parametrize("key", [("knapweed", 1), ("knapweed", 2), ("burdock", 1)])
def test_columns_are_the_builds(
    catalogues: Mapping[tuple[str, int], Catalogue], key: tuple[str, int]
) -> None:
    catalogue = catalogues[key]
    columns = table_of(catalogue, read_choice(catalogue, {}).strict())
    assert [column.size for column in columns] == [size.slug for size in catalogue.sizes]
    for column in columns:
        result = compute(catalogue, column.choice)
        assert set(column.states) == set(result.states)
        for state, found in result.states.items():
            assert column.states[state] == found.figures
        assert abs(column.closure) < 0.5


def test_drawn_numbers_do_not_follow_the_build(trail: Catalogue) -> None:
    usual = table_of(trail, read_choice(trail, {}).strict())
    other = table_of(trail, read_choice(trail, QUERY).strict())
    assert [column.drawn for column in usual] == [column.drawn for column in other]
    assert usual[0].states != other[0].states
    assert drawn_numbers(trail.size("m").data)["reach"] == trail.size("m").data.reach


def test_axle_further_back_than_a_shorter_slot_is_refused(trail: Catalogue) -> None:
    choice = replace(read_choice(trail, {}).strict(), slot=25.0)
    with pytest.raises(Invalid, match="slot"):
        table_of(trail, choice)


def test_every_build_is_every_fork_wheel_pair_and_slot_end(
    trail: Catalogue, tourer: Catalogue
) -> None:
    found = list(every_build(trail, read_choice(trail, {}).strict()))
    assert len(found) == 5 * 3 * 2
    assert len(set(map(str, found))) == len(found)
    assert {choice.slot for choice in found} == {0.0, 24.0}
    fixed = list(every_build(tourer, read_choice(tourer, {}).strict()))
    assert {choice.slot for choice in fixed} == {0.0}


def test_csv_service_prints_what_the_page_prints(trail: Catalogue) -> None:
    columns = table_of(trail, read_choice(trail, QUERY).strict())
    rows = list(csv.reader(io.StringIO(as_csv(trail, iter([columns])))))
    assert rows[0] == csv_head()
    assert len(rows) == 1 + len(columns) * 3
    assert all(len(row) == len(rows[0]) for row in rows)
    assert float(rows[1][rows[0].index("reach_mm")]) == pytest.approx(
        columns[0].states["unloaded"]["reach"], abs=0.05
    )


def test_page_csv_and_json_agree_with_the_build(client: TestClient, trail: Catalogue) -> None:
    columns = table_of(trail, read_choice(trail, QUERY).strict())
    page = client.get(f"/table/knapweed?{FIELDS}&state=sagged")
    assert page.status_code == 200
    shown = dict(re.findall(r'data-figure="([^"]+)" data-value="([^"]+)"', page.text))
    sheet = client.get(f"/api/v1/models/knapweed/table.csv?{FIELDS}")
    lines = {(r["size"], r["state"]): r for r in csv.DictReader(io.StringIO(sheet.text))}
    data = client.get(f"/api/v1/models/knapweed/table.json?{FIELDS}").json()
    sizes = {size["size"]: size for size in data["builds"][0]["sizes"]}
    for at, column in enumerate(columns, start=1):
        for name, key in zip(csv_head()[8:], KEYS, strict=True):
            value = column.states["sagged"][key]
            assert unescape(shown[f"{key}-{at}"]) == printed(key, value)
            line = lines[column.size, "sagged"][name]
            assert line == printed(key, value).replace("\N{MINUS SIGN}", "-")
            assert sizes[column.size]["sagged"][key] == pytest.approx(value, abs=1e-9)


@pytest.mark.parametrize(
    ("address", "status"),
    [
        ("/table", 307),
        ("/table/knapweed", 200),
        ("/table/knapweed?rev=1", 200),
        ("/table/burdock?state=sagged", 200),
        ("/table/knapweed?slot=99", 422),
        ("/table/knapweed?fork=wings", 422),
        ("/table/nothing", 404),
        ("/table/knapweed?rev=9", 404),
        ("/table/knapweed?rev=x", 422),
    ],
)
def test_table_answers(client: TestClient, address: str, status: int) -> None:
    assert client.get(address).status_code == status


def test_wrong_field_gets_its_message_and_the_table_stays(client: TestClient) -> None:
    text = unescape(client.get("/table/knapweed?slot=99").text)
    assert '<a href="#f-slot">' in text
    assert "a number from 0 to 24 mm" in text
    assert "As it stands" in text


def test_part_fetched_is_the_part_included_at_its_canonical_address(client: TestClient) -> None:
    part = client.get(f"/table/knapweed?{FIELDS}&state=bottomed", headers=PARTIAL)
    whole = client.get(f"/table/knapweed?{FIELDS}&state=bottomed")
    pieces = re.split(r"<hx-partial[^>]*>|</hx-partial>", part.text)
    assert len(pieces) == 3  # the table, and the navigation, which carries the build
    assert all(" ".join(piece.split()) in " ".join(whole.text.split()) for piece in pieces)
    address = part.headers["HX-Replace-Url"]
    assert "state=bottomed" in address
    assert client.get(address).headers["HX-Replace-Url"] == address


def test_wrong_state_is_said_and_not_repeated_into_the_address(client: TestClient) -> None:
    answer = client.get("/table/knapweed?state=%0d%0aX-Evil:1", headers=PARTIAL)
    assert answer.status_code == 422
    assert '<a href="#f-state">' in answer.text
    assert 'id="f-state"' in answer.text
    assert "Evil" not in answer.headers["HX-Replace-Url"]
