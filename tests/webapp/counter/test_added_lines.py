"""Work and parts that are not in the catalogue, from the form to every copy of the quote."""

from __future__ import annotations

import html
import io
import re

import pypdf
import pytest
from fastapi import FastAPI

from tests.webapp.counter.conftest import Desk, PutQuote, SignIn, View, all_fields, change_catalogue

ADDED = {"added_1": "Rack painted to match", "added_1_amount": "45.50", "added_1_count": "2"}


def words(text: str) -> str:
    """A page's text without its markup, spaces folded."""
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", text)).split())


def test_from_the_form_to_sheet_paper_workshop_and_back(
    desk: Desk, quote: PutQuote, view: View
) -> None:
    asked = quote()
    assert desk.terms(asked.number, **ADDED).status_code == 303
    made = view(asked.number)
    assert made.content.price.gross.minor == asked.content.price.gross.minor + 9_100
    address = f"/counter/quotes/{asked.number}"
    assert "Also agreed 2 × Rack painted to match 91.00 EUR" in words(desk.page(asked.number))
    for copy in ("customer", "workshop"):
        paper = desk.get(f"{address}/sheet.pdf?copy={copy}").content
        pages = pypdf.PdfReader(io.BytesIO(paper)).pages
        text = " ".join(" ".join(page.extract_text() for page in pages).split())
        assert "2 × Rack painted to match" in text
        assert ("91.00" in text) == (copy == "customer")
    bench = words(desk.get(f"{address}/workshop").text)
    assert "Also agreed 2 × Rack painted to match" in bench
    desk.terms(asked.number, quantity="3")
    several = words(desk.get(f"{address}/workshop").text)
    assert "Also agreed, in all 2 × Rack painted to match" in several
    form = all_fields(desk.get(f"{address}/terms").text)
    assert {name: form[name] for name in ADDED} == ADDED
    changes = words(desk.get(f"{address}/compare?a=1&b=2").text)
    assert "Also agreed added: 2 × Rack painted to match, 91.00 EUR." in changes


def test_a_customer_sees_and_accepts_it_once_it_is_sent(desk: Desk, quote: PutQuote) -> None:
    asked = quote()
    desk.terms(asked.number, **ADDED)
    assert "Rack painted" not in desk.get(f"/q/{asked.token}").text
    desk.do(asked.number, "send")
    assert "Also agreed 2 × Rack painted to match" in words(desk.get(f"/q/{asked.token}").text)


def test_another_build_keeps_it_and_a_reprint_is_the_same(
    desk: Desk, quote: PutQuote, view: View, app: FastAPI
) -> None:
    asked = quote()
    desk.terms(asked.number, **ADDED)
    paper = f"/counter/quotes/{asked.number}/sheet.pdf?version=2"
    before = desk.get(paper).content
    change_catalogue(app)
    build = f"/counter/quotes/{asked.number}/build"
    larger = all_fields(desk.get(f"{build}?model=knapweed&size=xl").text)
    del larger["prices"]  # a box that is not ticked sends nothing: unchanged lines keep their price
    assert desk.post(build, larger).status_code == 303
    now = view(asked.number)
    assert (now.version, now.content.build.size_slug) == (3, "xl")
    assert now.content.price.lines[-1].item == "2 × Rack painted to match"
    assert desk.get(paper).content == before


def test_it_goes_again_when_its_line_is_emptied(desk: Desk, quote: PutQuote, view: View) -> None:
    asked = quote()
    desk.terms(asked.number, **ADDED)
    desk.terms(asked.number, added_1="", added_1_amount="")
    assert view(asked.number).content.price.gross == asked.content.price.gross
    address = f"/counter/quotes/{asked.number}/compare?a=2&b=3"
    assert "Also agreed left out: 2 × Rack painted to match" in words(desk.get(address).text)


def test_two_people_add_lines_and_both_stand(
    desk: Desk, sign_in: SignIn, quote: PutQuote, view: View
) -> None:
    asked = quote()
    other = sign_in("builder", "Holt")
    address = f"/counter/quotes/{asked.number}/terms"
    mine, theirs = (all_fields(each.get(address).text) for each in (desk, other))
    desk.post(address, mine | {"added_2": "Bell", "added_2_amount": "9"})
    both = other.post(address, theirs | ADDED | {"added_2": "Lamp", "added_2_amount": "30"})
    assert both.status_code == 409
    said = words(both.text)
    assert "Added line 2 : theirs Bell, yours Lamp" in said
    assert "Added line 2, price of one : theirs 9.00, yours 30" in said
    merged = all_fields(both.text) | {"added_3": "Bell", "added_3_amount": "9"}
    assert other.post(address, merged).status_code == 303
    items = [line.item for line in view(asked.number).content.price.lines[-3:]]
    assert items == ["2 × Rack painted to match", "Lamp", "Bell"]


def test_what_is_wrong_is_said_at_its_field_and_kept(
    desk: Desk, quote: PutQuote, view: View
) -> None:
    asked = quote()
    refused = desk.terms(asked.number, added_4="Bell", added_4_amount="dear", added_4_count="0")
    assert refused.status_code == 422
    assert 'href="#f-added_4_amount">Added line 4, price of one: an amount such as' in refused.text
    assert 'href="#f-added_4_count">Added line 4, how many: a whole number' in refused.text
    assert 'id="f-added_4_amount-error"' in refused.text
    form = all_fields(refused.text)
    assert (form["added_4"], form["added_4_amount"]) == ("Bell", "dear")
    assert view(asked.number).version == 1


@pytest.mark.parametrize("hostile", ["<script>alert(1)</script>", '"><img src=x>', "{{ 7 * 7 }}"])
def test_hostile_text_is_shown_as_text(desk: Desk, quote: PutQuote, hostile: str) -> None:
    asked = quote()
    desk.terms(asked.number, added_1=hostile, added_1_amount="1")
    escaped = html.escape(hostile).replace("&quot;", "&#34;")
    for path in ("", "/terms", "/workshop", "/compare?a=1&b=2"):
        text = desk.get(f"/counter/quotes/{asked.number}{path}").text
        assert escaped in text
        assert "<" not in hostile or hostile not in text
