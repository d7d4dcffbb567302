"""Models and tables as data: the same figures as on the pages, and what is refused."""

from __future__ import annotations

import csv
import io

import pytest
from fastapi.testclient import TestClient

from webapp.builds.page.figure_rows import KEYS, printed


def test_models_lead_to_themselves(client: TestClient) -> None:
    models = client.get("/api/v1/models").json()["models"]
    assert [model["model"] for model in models] == ["knapweed", "burdock"]
    for model in models:
        found = client.get(model["href"]).json()
        assert found["name"] == model["name"]
        assert found["sizes"]
        assert found["options"]["fork"]


def test_older_revision_by_number(client: TestClient) -> None:
    first = client.get("/api/v1/models/knapweed?rev=1").json()
    assert first["revision"]["number"] == 1
    assert first["sizes"] != client.get("/api/v1/models/knapweed").json()["sizes"]


def test_table_equals_the_build_of_its_address(client: TestClient) -> None:
    """One build, asked for in three ways: table, its CSV, and the build page itself."""
    query = "fork=suspension-150&slot=9"
    table = client.get(f"/api/v1/models/knapweed/table?{query}").json()
    size = table["builds"][0]["sizes"][2]
    page = client.get(size["address"]).text
    for key in KEYS:
        assert f'data-value="{printed(key, size["unloaded"][key])}"' in page
    text = client.get(f"/api/v1/models/knapweed/table.csv?{query}").text
    rows = list(csv.DictReader(io.StringIO(text)))
    row = next(r for r in rows if r["size"] == size["size"] and r["state"] == "sagged")
    assert row["head_angle_deg"] == printed("head_angle", size["sagged"]["head_angle"])


def test_every_build_covers_forks_wheels_and_slot_ends(client: TestClient) -> None:
    table = client.get("/api/v1/models/knapweed/table.json?all=1").json()
    builds = [build["build"] for build in table["builds"]]
    forks = {build["fork"] for build in builds}
    wheels = {(build["rim_front"], build["rim_rear"]) for build in builds}
    slots = {build["slot"] for build in builds}
    assert len(forks) >= 4
    assert len(wheels) >= 2
    assert len(slots) == 2
    assert len(builds) == len(forks) * len(wheels) * len(slots)


def test_fixed_axle_has_one_slot_end(client: TestClient) -> None:
    table = client.get("/api/v1/models/burdock/table?all=1").json()
    assert {build["build"]["slot"] for build in table["builds"]} == {"0"}


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ("fork=none-such", "fork"),
        ("slot=400", "slot"),
        ("slot=nan", "slot"),
        ("all=2", "all"),
        ("rev=0", "rev"),
        ("rev=x", "rev"),
        ("size=3xl", "size"),
        ("colour=red", "colour"),
        ("fork=suspension-150&fork=suspension-110", "fork"),
    ],
)
def test_bad_queries_say_which_field(client: TestClient, query: str, field: str) -> None:
    response = client.get(f"/api/v1/models/knapweed/table?{query}")
    assert response.status_code == 422
    assert response.json()["errors"][0]["field"] == field


@pytest.mark.parametrize("path", ["nowhere", "nowhere/table", "knapweed?rev=77"])
def test_unknown_model_or_revision(client: TestClient, path: str) -> None:
    response = client.get(f"/api/v1/models/{path}")
    assert response.status_code == 404
    assert response.json()["errors"]


def test_table_tells_its_intervals_and_its_check(client: TestClient) -> None:
    table = client.get("/api/v1/models/knapweed/table").json()
    assert table["table_check"]["outcome"] in ("clear", "tight")
    size = table["builds"][0]["sizes"][0]
    assert set(size["intervals"]) == {"unloaded", "sagged", "bottomed"}
    assert 0 < size["intervals"]["unloaded"]["head_angle"] < 1
    page = client.get("/table/knapweed").text
    assert "Table check" in page


def test_build_page_shows_the_same_interval(client: TestClient) -> None:
    table = client.get("/api/v1/models/knapweed/table").json()
    size = table["builds"][0]["sizes"][2]
    page = client.get(size["address"]).text
    width = printed("head_angle", size["intervals"]["unloaded"]["head_angle"])
    assert f"± {width}" in page
