"""The build page: whole and in part, messages at the fields, one canonical address."""

from __future__ import annotations

import gc
import re
from html import unescape
from urllib.parse import parse_qs, urlsplit

import pytest
from fastapi.testclient import TestClient
from httpx import Response

from webapp.builds.choice.build_choice import address_of, read_choice
from webapp.builds.evaluation import compute
from webapp.builds.fitting.calculations.remembered import Watched
from webapp.builds.page.context import BuildPage
from webapp.builds.page.figure_rows import KEYS, printed
from webapp.catalogue.reading.views import Catalogue
from webapp.rider.rider_input import Rider

PARTIAL = {"HX-Request": "true", "HX-Request-Type": "partial"}


def figures_on(page: Response) -> dict[str, str]:
    pairs = re.findall(r'data-figure="([^"]+)" data-value="([^"]+)"', page.text)
    return {name: unescape(value) for name, value in pairs}


def without_spaces(text: str) -> str:
    return " ".join(text.split())


def test_first_model_opens(client: TestClient) -> None:
    answer = client.get("/build")
    assert answer.status_code == 307
    assert client.get(answer.headers["location"]).status_code == 200


def test_page_shows_the_figures_of_the_solver(client: TestClient, trail: Catalogue) -> None:
    query = {"size": ["l"], "fork": ["suspension-150"], "slot": ["7.5"]}
    result = compute(trail, read_choice(trail, query).strict())
    found = figures_on(client.get("/build/knapweed?size=l&fork=suspension-150&slot=7.5"))
    for at, state in enumerate(result.states, start=1):
        for key in KEYS:
            shown = printed(key, result.states[state].figures[key])
            assert found[f"{key}-{at}"] == shown


@pytest.mark.parametrize(
    ("query", "field", "message"),
    [
        ("slot=99", "slot", "a number from 0 to 24 mm"),
        ("slot=1&slot=2", "slot", "give it once"),
        ("fork=wings", "fork", "one of these: suspension fork 29, 130 mm; "),
        ("size=q", "size", "one of these: Extra small; Small; Medium; "),
        ("sag=NaN", "sag", "a number from 0 to 50 %"),
    ],
)
def test_wrong_field_gets_a_message_and_keeps_what_was_typed(
    client: TestClient, query: str, field: str, message: str
) -> None:
    answer = client.get(f"/build/knapweed?{query}")
    assert answer.status_code == 422
    text = unescape(answer.text)
    assert f'<a href="#f-{field}">' in text
    at_field = re.search(rf'id="f-{field}-error">(.*?)</p>', text, re.DOTALL)
    assert at_field is not None
    assert message in at_field[1]
    assert query.partition("=")[2].partition("&")[0] in at_field[1]
    assert "How it stands" in text


def test_unknown_field_is_said(client: TestClient) -> None:
    answer = client.get("/build/knapweed?wings=2")
    assert answer.status_code == 422
    assert "no part of a build" in answer.text


@pytest.mark.parametrize(
    ("address", "status"),
    [
        ("/build/nothing", 404),
        ("/build/knapweed?rev=99", 404),
        ("/build/knapweed?rev=-1", 422),
        ("/build/knapweed?rev=x", 422),
        ("/build/knapweed?rev=1&rev=2", 422),
        ("/build/knapweed?rev=%D9%A1", 422),
        ("/build/" + "k" * 3000, 404),
        ("/build/knapweed?" + "&".join(f"a{n}=1" for n in range(300)), 422),
        ("/build/knapweed?fork=%00%ff", 422),
    ],
)
def test_tampered_address_is_answered_not_broken(
    client: TestClient, address: str, status: int
) -> None:
    assert client.get(address).status_code == status


def test_part_fetched_is_the_part_included(client: TestClient) -> None:
    address = "/build/knapweed?size=s&tyre_rear=64-584"
    whole = without_spaces(client.get(address).text)
    part = client.get(address, headers=PARTIAL)
    assert "<html" not in part.text
    pieces = re.split(r"<hx-partial[^>]*>|</hx-partial>", part.text)
    assert len(pieces) == 9  # and the navigation, which carries the build
    for piece in filter(None, map(without_spaces, pieces)):
        assert piece in whole
    assert part.headers["Vary"].split(", ").count("HX-Request-Type") == 1


def test_address_sent_back_is_canonical(client: TestClient, trail: Catalogue) -> None:
    sent = client.get("/build/knapweed?slot=3,50&size=l&extra=cage", headers=PARTIAL)
    address = sent.headers["HX-Replace-Url"]
    query = parse_qs(urlsplit(address).query)
    assert address == address_of(read_choice(trail, query).strict())
    assert query["slot"] == ["3.5"]
    assert client.get(address).headers["HX-Replace-Url"] == address


def test_mismatch_shows_its_reason_and_ways_out_that_lead_out(client: TestClient) -> None:
    answer = client.get("/build/knapweed?tyre_rear=64-584")
    assert answer.status_code == 200
    assert "This build cannot be ordered as it is" in answer.text
    assert "Ask for a quote" not in answer.text
    ways = answer.text.partition("What makes it fit")[2].partition("</section>")[0]
    addresses = [unescape(found) for found in re.findall(r'href="([^"]+)"', ways)]
    assert addresses
    for address in addresses:
        assert "Ask for a quote" in client.get(address).text


def test_older_revision_opens_by_its_number(client: TestClient) -> None:
    answer = client.get("/build/knapweed?rev=1")
    assert answer.status_code == 200
    assert "revision 1" in answer.text


@pytest.mark.parametrize("header", [{}, PARTIAL])
def test_nothing_of_a_page_waits_for_the_garbage_to_be_looked_for(
    client: TestClient, header: dict[str, str]
) -> None:
    """No cycle holds it: it goes when it has been sent, and with it what a rider told."""
    gc.collect()
    gc.disable()
    try:
        answer = client.get("/build/knapweed?stature=1713+mm&sag=31", headers=header)
        left = [each for each in gc.get_objects() if type(each) in (BuildPage, Rider, Watched)]
    finally:
        gc.enable()
    assert answer.status_code == 200
    assert left == []
