"""The public table: kept by browsers, read by machines, framed by the builder's own site."""

from __future__ import annotations

import json
import re
from html import unescape

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from webapp.catalogue.reading.settings import settings_data
from webapp.catalogue.reading.views import Catalogue
from webapp.catalogue.tables import ShopSetting
from webapp.catalogue.writing.parts import put_part_price
from webapp.catalogue.writing.shop import put_settings
from webapp.common.errors import Invalid
from webapp.common.storage.database import writing


def test_a_browser_keeps_the_table_until_the_catalogue_changes(
    client: TestClient, app: FastAPI
) -> None:
    first = client.get("/table/knapweed?rev=2")
    etag = first.headers["etag"]
    again = client.get("/table/knapweed?rev=2", headers={"If-None-Match": etag})
    assert (again.status_code, again.content) == (304, b"")
    assert again.headers["etag"] == etag
    other = client.get("/table/knapweed?rev=1", headers={"If-None-Match": etag})
    assert other.status_code == 200
    part = client.get(
        "/table/knapweed?rev=2", headers={"If-None-Match": etag, "HX-Request-Type": "partial"}
    )
    assert part.status_code == 200
    with writing(app.state.engine) as session:
        put_part_price(
            session, who="x", price_list="eur-2026", kind="fork", slug="suspension-130", minor=1
        )
    changed = client.get("/table/knapweed?rev=2", headers={"If-None-Match": etag})
    assert changed.status_code == 200


def test_drawn_numbers_may_be_kept_for_ever(client: TestClient, trail: Catalogue) -> None:
    answer = client.get("/table/knapweed/revision/2/drawn.json")
    assert "immutable" in answer.headers["cache-control"]
    sizes = {size["size"]: size for size in answer.json()["sizes"]}
    assert sizes["m"]["reach"] == trail.size("m").data.reach
    rows = client.get("/table/knapweed/revision/2/drawn.csv").text.splitlines()
    assert len(rows) == 1 + len(trail.sizes)
    assert client.get("/table/knapweed/revision/9/drawn.json").status_code == 404
    assert "immutable" not in client.get("/table/knapweed/revision/9/drawn.json").headers.get(
        "cache-control", ""
    )


def test_machines_read_the_same_figures(client: TestClient) -> None:
    page = client.get("/table/knapweed").text
    block = re.search(r'<script type="application/ld\+json">(.*?)</script>', page, re.DOTALL)
    assert block
    data = json.loads(block[1])
    assert (data["@type"], data["variesBy"]) == ("ProductGroup", "https://schema.org/size")
    medium = next(one for one in data["hasVariant"] if one["size"] == "Medium")
    reach = next(one for one in medium["additionalProperty"] if one["propertyID"] == "reach")
    assert reach["unitCode"] == "MMT"
    api = client.get("/api/v1/models/knapweed/table").json()
    column = next(one for one in api["builds"][0]["sizes"] if one["size"] == "m")
    assert reach["value"] == round(column["unloaded"]["reach"], 1)


def test_the_embedded_table_has_its_own_frame_rules_and_no_cookies(client: TestClient) -> None:
    answer = client.get("/table/knapweed/embed?fork=rigid-long", headers={"Cookie": "session=x"})
    rules = answer.headers["content-security-policy"]
    assert "frame-ancestors 'self' https://cinderholt.example" in rules
    assert "script-src" not in rules
    assert "set-cookie" not in answer.headers
    assert "<script" not in answer.text
    assert "rigid steel fork" in unescape(answer.text)
    usual = client.get("/table/knapweed").headers["content-security-policy"]
    assert "frame-ancestors 'none'" in usual


def test_several_sites_may_show_the_table(client: TestClient, app: FastAPI) -> None:
    """Every origin of the settings is named once (CSP Level 3, frame-ancestors)."""
    further = ["https://club.example", "http://fair.example:8080", "https://club.example"]
    with writing(app.state.engine) as session:
        data = settings_data(session).model_dump(mode="json")
        put_settings(session, who="test", data=data | {"embed_sites": further})
        with pytest.raises(Invalid, match="without a page"):
            put_settings(session, who="test", data=data | {"embed_sites": ["https://a.example/x"]})
    policy = client.get("/table/knapweed/embed").headers["content-security-policy"]
    rules = dict(rule.strip().split(" ", 1) for rule in policy.split(";") if rule.strip())
    assert rules["frame-ancestors"].split() == [
        "'self'", "https://cinderholt.example", "https://club.example", "http://fair.example:8080",
    ]  # fmt: skip
    assert "x-frame-options" not in client.get("/table/knapweed/embed").headers


@pytest.mark.parametrize(
    ("web", "site"),
    [
        ("https://shop.example:8443/bikes?x=1", "https://shop.example:8443"),
        ("https://somebody@shop.example", "https://shop.example"),
        ("http://[::1]:80/x", "http://[::1]:80"),
        ("http://[::1", ""),
        ("https://shop.example;script-src/", ""),
        ("https://shop.example:99999", ""),
        ("https:///x", ""),
    ],
)
def test_a_web_address_that_names_no_site_is_refused_and_breaks_no_table(
    client: TestClient, app: FastAPI, web: str, site: str
) -> None:
    with writing(app.state.engine) as session:
        data = settings_data(session).model_dump(mode="json")
        data["letterhead"]["web"] = web
        if site:
            put_settings(session, who="test", data=data)
        else:
            with pytest.raises(Invalid, match="web address"):
                put_settings(session, who="test", data=data)
            row = session.get(ShopSetting, 1)  # as a folder may hold it from before
            assert row
            row.data = data
    answer = client.get("/table/knapweed/embed")
    assert answer.status_code == 200
    rules = answer.headers["content-security-policy"].split("; ")
    assert f"frame-ancestors 'self' {site}".strip() in [rule.strip() for rule in rules]
    assert not any(rule.startswith("script-src") for rule in rules)


def test_tables_as_data_are_kept_too(client: TestClient) -> None:
    for address in ("/api/v1/models/knapweed/table", "/api/v1/models/knapweed/table.csv"):
        etag = client.get(address).headers["etag"]
        again = client.get(address, headers={"If-None-Match": etag})
        assert (again.status_code, again.content) == (304, b"")
        assert client.get(address).status_code == 200


@pytest.mark.parametrize(
    ("address", "said"),
    [
        ("/table/knapweed?size=zz", "Size “zz” cannot be used: one of these: Extra small; Small"),
        ("/build/knapweed/drive?size=zz", "Size “zz” cannot be used: one of these: Extra small"),
        ("/build/knapweed/drive?gear=99", "Ring teeth to one sprocket tooth “99” cannot be used"),
        ("/table/knapweed?tyre_front=x", "Front tyre “x” cannot be used: one of these: "),
        ("/table/knapweed?scope=x", "What you order “x” cannot be used: one of these: whole bike"),
        ("/build/knapweed?state=x", "How it is drawn “x” cannot be used: one of unloaded"),
        ("/table/knapweed?style=x&stature=1780", "Riding style “x” cannot be used: one of Trail"),
    ],
)
def test_what_an_address_says_wrong_is_told_in_words(
    client: TestClient, address: str, said: str
) -> None:
    answer = client.get(address)
    assert answer.status_code == 422
    assert said in unescape(answer.text)
