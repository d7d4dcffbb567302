"""A link opened later says whether prices or the revision have moved on."""

from __future__ import annotations

import re
from html import unescape

from fastapi import FastAPI
from fastapi.testclient import TestClient

from webapp.catalogue.writing.parts import put_part_price
from webapp.common.storage.database import writing

SINCE = "Since this link was made"


def link_of(client: TestClient, address: str) -> str:
    text = unescape(client.get(address).text)
    found = re.search(r'data-build-shared="([^"]+)"', text)
    assert found
    return found[1]


def test_a_link_says_when_its_price_has_changed(client: TestClient, app: FastAPI) -> None:
    link = link_of(client, "/build/knapweed?size=m&fork=suspension-130")
    assert SINCE not in client.get(link).text
    with writing(app.state.engine) as session:
        put_part_price(
            session, who="b", price_list="eur-2026", kind="fork", slug="suspension-130",
            minor=99_900,
        )  # fmt: skip
    shown = unescape(client.get(link).text)
    assert SINCE in shown
    assert "Prices have changed since this link was made: it comes to" in shown
    assert SINCE not in client.get(link_of(client, link)).text


def test_a_link_says_when_its_revision_is_not_the_newest(client: TestClient) -> None:
    shown = unescape(client.get("/build/knapweed?rev=1&size=m").text)
    assert "This is revision 1; revision 2 has been published since." in shown
    newest = re.search(r'href="(/build/knapweed\?rev=2[^"]+)">Open this build in it', shown)
    assert newest
    assert "size=m" in newest[1]
    assert SINCE not in client.get("/build/knapweed?rev=2&size=m").text


def test_what_the_link_carries_tells_nobody_anything(client: TestClient) -> None:
    link = link_of(client, "/build/knapweed?size=m&stature=1830&inseam=870")
    assert re.search(r"&seen=[0-9a-f]{8}$", link)
    assert "stature" not in link
    for odd in ("x", "%00", "a" * 5000):
        assert client.get(f"/build/knapweed?size=m&seen={odd}").status_code == 200
