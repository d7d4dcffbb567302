"""The first screen: every frame, the question, and whole builds in words that can be ordered."""

from __future__ import annotations

import re
from html import unescape
from urllib.parse import urlencode

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from webapp.builds.choice.build_choice import read_choice
from webapp.builds.evaluation import compute
from webapp.catalogue.reading.load import list_models, load_catalogue
from webapp.catalogue.reading.settings import settings_data
from webapp.catalogue.writing.shop import put_settings
from webapp.common.storage.database import reading, writing
from webapp.start_page.frames import fields_of, frame_of


def test_every_starting_point_of_the_demo_opens_an_orderable_build(
    client: TestClient, app: FastAPI
) -> None:
    with reading(app.state.engine) as session:
        catalogues = {m.slug: load_catalogue(session, m.slug) for m in list_models(session)}
    points = next(iter(catalogues.values())).settings.starting_points
    assert len(points) > len(catalogues)
    refused = []
    for point in points:
        catalogue = catalogues[point.model]
        for size in catalogue.sizes:
            fields = fields_of(point) | {"size": [size.slug]}
            result = compute(catalogue, read_choice(catalogue, fields).strict())
            if not result.can_be_ordered:
                refused.append((point.name, size.slug, [check.code for check in result.failed]))
    assert refused == []


def test_the_first_screen_shows_what_this_is(client: TestClient, app: FastAPI) -> None:
    text = unescape(client.get("/").text)
    with reading(app.state.engine) as session:
        frames = [frame_of(load_catalogue(session, m.slug)) for m in list_models(session)]
    assert 'name="stature"' in text
    for frame in frames:
        assert frame.summary in text
        assert f"from {frame.price_from}"[:12] in text
        assert ", ".join(frame.sizes) in text
        assert f'formaction="/fit/{frame.slug}"' in text
        assert frame.starts
        for start in frame.starts:
            assert start.name in text
            assert f'href="/build/{frame.slug}?{start.query}"' in text
    assert text.count("<svg") >= len(frames)


@pytest.mark.parametrize("asked", ["/fit/knapweed?stature=172", "/fit?stature=172"])
def test_the_question_leads_to_an_answer(client: TestClient, asked: str) -> None:
    assert "fit-summary" in client.get(asked, follow_redirects=True).text


def test_build_and_rider_go_along_through_the_first_screen(client: TestClient) -> None:
    build = "knapweed?size=l&fork=suspension-150&stature=1830"
    text = unescape(client.get(f"/?{urlencode({'build': build})}").text)
    assert f'href="/build/{build}"' in text
    points = re.findall(r'<li><a href="(/build/[^"]+)"', text)
    started = [address for address in points if address != f"/build/{build}"]
    assert started
    assert all("stature=1830" in address for address in started)


def test_a_starting_point_that_cannot_be_ordered_is_not_offered(
    client: TestClient, app: FastAPI
) -> None:
    with writing(app.state.engine) as session:
        data = settings_data(session).model_dump(mode="json")
        data["starting_points"][0]["slot"] = 0
        put_settings(session, who="b", data=data)
    text = client.get("/").text
    assert data["starting_points"][0]["name"] not in text
    assert data["starting_points"][1]["name"] in text


@pytest.mark.parametrize("address", ["/", "/quote/knapweed"])
def test_the_bike_ridden_now_goes_along(client: TestClient, address: str) -> None:
    bike = "way=tape&wheelbase=1180"
    shown = client.get(address, params={"build": "knapweed?size=m"} if address == "/" else {})
    told = client.get(address, params={**shown.request.url.params, "present": bike})
    assert (shown.status_code, told.status_code) == (200, 200)
    assert "not part of" not in told.text
    places = ("/fit", "/build", "/side-by-side", "/table")
    for place in places:
        links = [unescape(found) for found in re.findall(rf'href="({place}[/?][^"]*)"', told.text)]
        assert links, place
        assert any(urlencode({"present": bike}) in link for link in links), (place, links)
    assert "present" not in shown.text.replace("/present-bike", "").partition("</nav>")[0]
