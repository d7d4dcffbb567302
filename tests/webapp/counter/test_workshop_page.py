"""The workshop copy as a page: the same as on paper, for staff, without prices, frozen."""

from __future__ import annotations

import html
import io
import re

import pypdf
import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from httpx import Response

from tests.webapp.counter.conftest import Desk, PutQuote, View, change_catalogue
from webapp.quote.customer import Customer


def copy_of(desk: Desk, number: str, query: str = "") -> Response:
    return desk.get(f"/counter/quotes/{number}/workshop{query}")


def words(answer: Response) -> str:
    """What stands in the page's main part, spaces folded."""
    main = answer.text.partition("<main")[2].partition("</main>")[0]
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", main)).split())


def test_it_tells_what_the_paper_tells(desk: Desk, quote: PutQuote, view: View) -> None:
    number = quote(slot="7.5").number
    desk.terms(number, quantity="2", workshop_note="Grease the post.\nThen call.")
    page, content = words(copy_of(desk, number)), view(number).content
    paper = desk.get(f"/counter/quotes/{number}/sheet.pdf?copy=workshop").content
    pages = pypdf.PdfReader(io.BytesIO(paper)).pages
    printed = " ".join(" ".join(each.extract_text() for each in pages).split())
    assert content.basis
    shared = [line.item for line in content.basis.lines]
    shared += [entry.value for entry in content.assembly]
    shared += [check.name for check in view(number).outcomes("no", "tight", "unknown")]
    shared += ["2 of them, alike.", "Grease the post.", "Ada Marl", "Post insertion"]
    for each in shared:
        assert " ".join(each.split()) in page, each
        assert " ".join(each.split()) in printed, each
    for figure in content.figures:
        assert f"{figure.name} " in page
    for setting in content.settings:
        assert f"{setting.label} {setting.value}" in page
    assert content.cautions[0] in html.unescape(copy_of(desk, number).text)


def test_it_holds_no_price_no_address_and_no_link_of_the_customer(
    desk: Desk, quote: PutQuote
) -> None:
    asked = quote()
    desk.terms(asked.number, discount="5 %", discount_reason="Festival", delivery="40.00")
    page = copy_of(desk, asked.number).text
    for secret in ("EUR", "Festival", asked.customer.mail, asked.token):
        assert secret not in page
    assert not re.search(r"\b[0-9]{1,3}(,[0-9]{3})+\.[0-9]{2}\b", page)


def test_it_stays_as_it_was_and_says_when_there_is_a_newer_version(
    desk: Desk, quote: PutQuote, app: FastAPI
) -> None:
    number = quote().number
    before = words(copy_of(desk, number))
    change_catalogue(app)
    assert words(copy_of(desk, number)) == before
    desk.terms(number, quantity="2")
    old = words(copy_of(desk, number, "?version=1"))
    assert "the quote is now at version 2" in old
    assert "of them, alike" not in old
    assert copy_of(desk, number, "?version=3").status_code == 404


def test_the_quote_leads_to_the_version_shown(desk: Desk, quote: PutQuote) -> None:
    number = quote().number
    desk.terms(number, quantity="2")
    for version in (1, 2):
        shown = desk.get(f"/counter/quotes/{number}?version={version}").text
        assert f'href="/counter/quotes/{number}/workshop?version={version}"' in shown


def test_a_failed_check_heads_it(desk: Desk) -> None:
    # A tyre of 76 mm where the builder states at most 72.
    made = desk.post("/counter/new/knapweed?size=m&tyre_rear=74-622", {"name": "Ada"})
    page = words(copy_of(desk, made.headers["location"].rpartition("/")[2]))
    assert "Draft, not to be ordered. Failed:" in page


@pytest.mark.parametrize("hostile", ["<script>alert(1)</script>", '"><img src=x>', "{{ 7 * 7 }}"])
def test_hostile_text_is_shown_as_text(desk: Desk, quote: PutQuote, hostile: str) -> None:
    number = quote(customer=Customer(name=hostile, mail="a@b.example")).number
    desk.terms(number, workshop_note=hostile)
    text = copy_of(desk, number).text
    assert text.count(html.escape(hostile).replace("&quot;", "&#34;")) == 2  # name and note
    assert "<" not in hostile or hostile not in text


def test_it_is_kept_by_no_cache_and_for_nobody_else(
    desk: Desk, quote: PutQuote, client: TestClient
) -> None:
    number = quote().number
    assert "no-store" in copy_of(desk, number).headers["cache-control"]
    stranger = client.get(f"/counter/quotes/{number}/workshop", follow_redirects=False)
    assert stranger.status_code == 303
    assert stranger.headers["location"].startswith("/sign-in")
