"""Body measures in an address: no cache keeps the answer, and a build is shared without them."""

from __future__ import annotations

import html
import re

import pytest
from fastapi import FastAPI
from fastapi.routing import APIRoute, iter_route_contexts
from fastapi.testclient import TestClient

from webapp.common.web.uncached import Naming
from webapp.rider.rider_input import BODY_KEYS, MEASURES, RIDER_KEYS

RIDER = "stature=1780&inseam=830&weight=82+kg&sex=woman&style=trail"
FILLED = {"model": "knapweed", "revision": "2", "number": "2026-0001", "token": "x", "row": "1"}


def addresses(app: FastAPI) -> list[str]:
    """Every address that is read, with something in each of its places."""
    found = set()
    for context in iter_route_contexts(app.routes):
        if isinstance(context.original_route, APIRoute) and "GET" in (context.methods or ()):
            path = re.sub(r"{(\w+)(:\w+)?}", lambda m: FILLED.get(m[1], "1"), context.path or "")
            found.add(path)
    return sorted(found)


def test_no_answer_to_an_address_with_measures_may_be_kept(
    client: TestClient, app: FastAPI
) -> None:
    asked = [*addresses(app), "/nowhere"]
    assert {"/build/knapweed", "/fit/knapweed", "/quote/knapweed", "/side-by-side"} <= set(asked)
    for path in asked:
        headers = client.get(f"{path}?stature=1780", follow_redirects=False).headers
        assert "no-store" in headers.get("cache-control", ""), path
        assert "etag" not in headers, path


@pytest.mark.parametrize("key", BODY_KEYS)
@pytest.mark.parametrize(
    "address",
    ["/table/knapweed?rev=2&{}", "/side-by-side?build=knapweed%3Fsize%3Dm%26{}&build=burdock"],
)
def test_each_measure_counts_wherever_it_stands(client: TestClient, address: str, key: str) -> None:
    value = "woman" if key == "sex" else "80"
    joined = f"{key}%3D{value}" if "%3F" in address else f"{key}={value}"
    assert "no-store" in client.get(address.format(joined)).headers["cache-control"]


def test_what_tells_of_no_body_is_kept_as_before(client: TestClient) -> None:
    etag = client.get("/table/knapweed?rev=2&style=trail").headers["etag"]
    asked = {"If-None-Match": etag}
    again = client.get("/table/knapweed?rev=2&style=trail", headers=asked)
    assert (again.status_code, again.headers["cache-control"]) == (304, "no-cache")


def test_nothing_kept_is_asked_about(client: TestClient) -> None:
    answer = client.get(f"/table/knapweed?rev=2&{RIDER}", headers={"If-None-Match": "*"})
    assert answer.status_code == 200


def test_fields_are_found_in_an_address_within_an_address() -> None:
    naming = Naming(("weight",))
    told = ("weight=80", "a=1&weight=", "b=k%3Fweight%3D8", "b=k%253Fa%253D1%2526weight%253D8")
    assert [naming(query) for query in told] == [True] * len(told)
    assert not any(naming(query) for query in ("", "bodyweight=8", "a=weight", "x=%2526"))


def test_every_measure_is_a_body_key() -> None:
    assert {measure.name for measure in MEASURES} < set(BODY_KEYS) < set(RIDER_KEYS)


@pytest.mark.parametrize(
    ("address", "words"),
    [
        (f"/build/knapweed?size=m&{RIDER}", "Share without your measurements"),
        (f"/quote/knapweed?size=m&{RIDER}", "share the build without them"),
        (f"/fit/knapweed?{RIDER}", "Share it without your measurements"),
    ],
)
def test_a_build_is_shared_without_its_rider_and_stands_the_same(
    client: TestClient, address: str, words: str
) -> None:
    page = client.get(address).text
    links = re.findall(rf'href="([^"]+)">{words}', page)
    assert links
    shared = html.unescape(links[0])
    assert not any(f"{key}=" in shared for key in RIDER_KEYS)
    answer = client.get(shared)
    assert answer.status_code == 200
    assert "no-store" not in answer.headers.get("cache-control", "")
    if address.startswith("/build"):
        assert figures(answer.text) == figures(page)
        drawn, drawn_with_rider = drawn_figures(answer.text), drawn_figures(page)
        assert drawn_with_rider <= drawn
        assert {name for name, _ in drawn} == {name for name, _ in drawn_with_rider}
        assert {name for name, _ in drawn - drawn_with_rider} <= NOT_ON_A_PHONE


# A phone's drawing, which rounds them, has no room for these beside a rider; the full one has.
NOT_ON_A_PHONE = {"drawing-stack", "drawing-bb_height"}


def figures(page: str) -> list[tuple[str, str]]:
    """Every figure told in words and tables, but those of the rider alone."""
    return [
        pair for pair in _figures(page) if not pair[0].startswith(("posture-", "check-", DRAWN))
    ]


def drawn_figures(page: str) -> set[tuple[str, str]]:
    """The dimensions of the drawing, which leaves out those that the rider covers."""
    return {pair for pair in _figures(page) if pair[0].startswith(DRAWN)}


DRAWN = "drawing-"


def _figures(page: str) -> list[tuple[str, str]]:
    return re.findall(r'data-figure="([\w-]+)" data-value="([^"]+)"', page)


def test_a_build_of_nobody_has_nothing_to_leave_out(client: TestClient) -> None:
    assert "Share without your measurements" not in client.get("/build/knapweed?size=m").text
