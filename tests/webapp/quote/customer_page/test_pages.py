"""The rider's way to a quote, as a browser walks it."""

from __future__ import annotations

import html
import io
import re
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from typing import Any

import pypdf
import pytest
from fastapi.testclient import TestClient
from httpx import Response
from sqlalchemy import Engine, event

from webapp.builds.page.figure_rows import KEYS
from webapp.catalogue.writing.models import withdraw
from webapp.common.storage.database import writing

BUILD = "/quote/knapweed?slot=7.5&spacers=15"
TYPED = {"name": "Ada Marl", "mail": "ada@marl.example", "note": "Two\nlines", "key": "k" * 24}


SAME_SITE = {"Sec-Fetch-Site": "same-origin"}


def post(client: TestClient, address: str = BUILD, **typed: str) -> Response:
    answer: Response = client.post(address, data=TYPED | typed, headers=SAME_SITE)
    return answer


def made(client: TestClient, **typed: str) -> str:
    """Address of a new quote."""
    answer = post(client, **typed)
    assert answer.status_code == 303, answer.text
    return str(answer.headers["location"])


def words(answer: Response) -> str:
    """A page's text without its markup, spaces folded."""
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", answer.text)).split())


def pdf_text(answer: Response) -> str:
    pages = pypdf.PdfReader(io.BytesIO(answer.content)).pages
    text = " ".join(page.extract_text() for page in pages).replace("\u200b", "")
    return " ".join(text.replace("\u202f", " ").split())


# --- the whole way -------------------------------------------------------------------


def test_from_the_form_to_sheet_and_paper(client: TestClient) -> None:
    form = client.get(BUILD)
    assert form.status_code == 200
    assert "4,584.00 EUR" in words(form)
    action = html.unescape(re.findall(r'<form[^>]* action="([^"]+)"', form.text)[0])
    key = re.findall(r'name="key" value="([^"]+)"', form.text)[0]
    address = str(post(client, action, key=key).headers["location"])
    assert re.fullmatch(r"/q/[A-Za-z0-9_-]{43}", address)
    sheet = client.get(address)
    assert sheet.status_code == 200
    for shown in ("2026-0001"[4:], "Ada Marl", "ada@marl.example", "Two", "4,584.00 EUR", "7.5 mm"):
        assert shown in words(sheet)
    paper = client.get(address + "/sheet.pdf")
    assert paper.headers["content-type"] == "application/pdf"
    assert "Ada Marl" in pdf_text(paper)


def off(page: Response, key: str) -> str:
    """A figure of the unloaded bike with its ±, as printed."""
    cell = page.text.partition(f'data-figure="{key}-1"')[2].partition("</td>")[0]
    value = re.findall(r'class="figure-value">([^<]+)<', cell)[0]
    width = re.findall(r'class="figure-tolerance"> ± ([^<]+)<', cell)[0]
    return f"{value} ± {width}"


def test_page_and_paper_show_the_same_figures(client: TestClient) -> None:
    address = made(client)
    sheet, paper = client.get(address), pdf_text(client.get(address + "/sheet.pdf"))
    build = client.get("/build/knapweed?slot=7.5&spacers=15")
    for key in KEYS:
        pattern = rf'data-figure="{key}-\d" data-value="([^"]+)"'
        quoted = re.findall(pattern, sheet.text)
        assert len(quoted) == 3
        assert quoted == re.findall(pattern, build.text)
        assert f"{off(sheet, key)} {' '.join(quoted[1:])}" in paper
        assert off(sheet, key) == off(build, key)


def test_prices_on_page_and_paper_are_the_same(client: TestClient) -> None:
    address = made(client)
    paper = pdf_text(client.get(address + "/sheet.pdf"))
    amounts = re.findall(r'id="price-[^"]+">([^<]+)<', client.get(address).text)
    assert len(amounts) > 20
    assert all(amount.removesuffix(" EUR") in paper for amount in amounts)


def test_sending_twice_leads_to_the_same_quote(client: TestClient) -> None:
    assert made(client) == made(client)
    assert made(client) != made(client, note="Another")


def test_each_browser_has_a_key_of_its_own(client: TestClient, app: Any) -> None:
    pages = [browser.get(BUILD) for browser in (client, TestClient(app))]
    keys = {re.findall(r'name="key" value="([^"]+)"', page.text)[0] for page in pages}
    assert len(keys) == 2
    assert all(page.headers["cache-control"] == "private, no-store" for page in pages)


def test_the_link_on_the_sheet_is_the_public_one(client: TestClient) -> None:
    address = made(client)
    shown = client.get(address).text
    assert f'href="http://testserver{address}"' in shown
    assert 'class="qr"' in shown


def test_measures_go_along_or_are_left_out(client: TestClient) -> None:
    with_rider = client.get(BUILD + "&stature=170&inseam=78")
    assert "height 170 cm, crotch height 78 cm" in words(with_rider)
    without = html.unescape(re.findall(r'href="([^"]+)">Leave them out', with_rider.text)[0])
    assert "stature" not in without
    assert "measures" not in words(client.get(without))
    address = str(post(client, BUILD + "&stature=170&inseam=78").headers["location"])
    assert "Reckoned from height 170 cm" in words(client.get(address))


# --- bad input --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ({"name": ""}, "write your name"),
        ({"name": "n" * 121}, "at most 120 characters"),
        ({"mail": "nobody"}, "write a mail address"),
        ({"note": "n" * 2001}, "at most 2000 characters"),
    ],
)
def test_a_wrong_field_is_told_and_nothing_typed_is_lost(
    client: TestClient, typed: dict[str, str], message: str
) -> None:
    answer = post(client, **typed)
    assert answer.status_code == 422
    assert message in words(answer)
    field = next(iter(typed))
    assert f'href="#f-{field}"' in answer.text
    assert 'aria-invalid="true"' in answer.text
    for name, value in (TYPED | typed).items():
        assert html.escape(value) in answer.text, name


@pytest.mark.parametrize(
    ("query", "message"),
    [
        ("fork=none-such", "Fork: none-such"),
        ("slot=99", "Axle position: 99"),
        ("slot=25", "Axle position: 25"),
        ("size=giant", "one of these: Extra small; Small"),
        ("surprise=1", "no part of a build"),
    ],
)
def test_a_build_that_cannot_be_quoted_says_why(
    client: TestClient, query: str, message: str
) -> None:
    asked = client.get(f"/quote/knapweed?{query}")
    assert asked.status_code == 422
    assert message in words(asked)
    assert 'name="mail"' not in asked.text
    assert 'action="/quote' not in asked.text
    answer = post(client, f"/quote/knapweed?{query}")
    assert answer.status_code == 422
    assert message in words(answer)
    assert "Ada Marl" in answer.text


def test_a_withdrawn_revision_says_so(client: TestClient, app: Any) -> None:
    with writing(app.state.engine) as session:
        on, why = date(2026, 2, 28), "Stays too near."
        withdraw(session, who="b", model="knapweed", revision=2, reason=why, on=on)
    answer = post(client, "/quote/knapweed?rev=2")
    assert answer.status_code == 422
    assert "this revision is withdrawn (Stays too near)" in words(answer)


@pytest.mark.parametrize("address", ["/quote/nettle", "/quote/knapweed?rev=99"])
def test_an_unknown_model_or_revision_is_not_found(client: TestClient, address: str) -> None:
    assert client.get(address).status_code == 404
    assert post(client, address).status_code == 404


def test_one_mail_address_is_not_filled_with_quotes(client: TestClient) -> None:
    for at in range(10):
        made(client, note=f"note {at}", mail="Ada@Marl.example" if at % 2 else TYPED["mail"])
    answer = post(client, note="the one too many")
    assert answer.status_code == 429
    assert "quote for this mail address can be asked for 10 times" in words(answer)
    made(client, mail="other@marl.example")


def test_asking_too_often_waits_and_keeps_what_was_typed(client: TestClient) -> None:
    for at in range(20):
        made(client, note=f"note {at}", mail=f"rider{at}@marl.example")
    answer = post(client, note="the one too many")
    assert answer.status_code == 429
    assert int(answer.headers["retry-after"]) > 0
    assert "try again in" in words(answer)
    assert "the one too many" in answer.text


def test_another_site_cannot_ask(client: TestClient) -> None:
    answer = client.post(BUILD, data=TYPED, headers={"Sec-Fetch-Site": "cross-site"})
    assert answer.status_code == 403


HOSTILE = '<script>alert(1)</script>"\'> {{ 7*7 }} #eval("1") \\ $x$ <svg onload=x>'


def test_hostile_text_is_shown_as_text(client: TestClient) -> None:
    address = made(client, name=HOSTILE, note=HOSTILE)
    sheet = client.get(address)
    assert "<script>alert" not in sheet.text
    assert "onload=x>" not in sheet.text
    assert HOSTILE in words(sheet) or html.escape(HOSTILE) in sheet.text.replace("&#34;", "&quot;")
    paper = pdf_text(client.get(address + "/sheet.pdf"))
    assert re.sub(r"\s", "", HOSTILE) in re.sub(r"\s", "", paper)


# --- links --------------------------------------------------------------------------------


@pytest.mark.parametrize("ending", ["", "/sheet.pdf"])
def test_an_unknown_link_reveals_nothing(client: TestClient, ending: str) -> None:
    address = made(client)
    known = address.removeprefix("/q/")
    tampered = [known[:-1], known + "A", known.swapcase(), "x", "%00", "a" * 5000, "../quote"]
    answers = [client.get(f"/q/{token}{ending}") for token in tampered]
    assert {answer.status_code for answer in answers} == {404}
    telling = [answer for answer in answers if known[:20] in answer.text]
    assert telling == []
    private = [a for a in answers[:4] if a.headers["cache-control"] != "private, no-store"]
    assert private == []
    assert "Ada" not in "".join(answer.text for answer in answers)


@pytest.mark.parametrize("ending", ["", "/sheet.pdf"])
def test_a_quote_is_private(client: TestClient, ending: str) -> None:
    headers = client.get(made(client) + ending).headers
    assert headers["cache-control"] == "private, no-store"
    assert headers["x-robots-tag"] == "noindex, nofollow"
    assert headers["referrer-policy"] == "same-origin"


@pytest.mark.parametrize(("paper", "height"), [("a4", 841.9), ("letter", 792.0)])
def test_paper_as_asked_for(client: TestClient, paper: str, height: float) -> None:
    answer = client.get(f"{made(client)}/sheet.pdf?paper={paper}")
    page = pypdf.PdfReader(io.BytesIO(answer.content)).pages[0]
    assert float(page.mediabox.height) == pytest.approx(height, abs=0.1)
    assert "inline" in answer.headers["content-disposition"]


def test_no_other_paper_is_known(client: TestClient) -> None:
    assert client.get(f"{made(client)}/sheet.pdf?paper=napkin").status_code == 422


# --- work done ------------------------------------------------------------------------------


@contextmanager
def counted(engine: Engine) -> Iterator[list[str]]:
    """Queries sent to the database."""
    seen: list[str] = []

    def note(_connection: Any, _cursor: Any, statement: str, *_: Any) -> None:
        if statement.startswith("SELECT"):
            seen.append(statement)

    event.listen(engine, "before_cursor_execute", note)
    yield seen
    event.remove(engine, "before_cursor_execute", note)


@pytest.mark.parametrize(("ending", "queries"), [("", 5), ("/sheet.pdf", 3)])
def test_a_sheet_takes_few_queries(client: TestClient, app: Any, ending: str, queries: int) -> None:
    """What the shop is called, the quote, the version sent last, on the page what was asked.

    The page asks too whether the catalogue is still the one it remembers, since it
    says what is no longer offered.
    """
    address = made(client)
    client.get(address)
    with counted(app.state.engine) as seen:
        assert client.get(address + ending).status_code == 200
    assert len(seen) == queries, seen


def test_a_question_however_long_is_shown_again(client: TestClient) -> None:
    address, text = made(client), "why " * 10_000
    refused = client.post(f"{address}/question", data={"text": text, "key": "k" * 24})
    assert refused.status_code == 422
    assert text.strip() in refused.text


def key_of(client: TestClient) -> str:
    return str(re.findall(r'name="key" value="([^"]+)"', client.get(BUILD).text)[0])


def test_a_form_sent_again_from_the_back_button_is_one_quote(client: TestClient, app: Any) -> None:
    """A page that is kept nowhere is fetched again on the way back, with the key it had."""
    first = made(client, key=key_of(client))
    assert made(client, key=key_of(client)) == first
    assert made(client, key=key_of(client), note="Something else") != first
    other = TestClient(app, follow_redirects=False)
    assert key_of(other) != key_of(client)
    assert made(other, key=key_of(other)) != first
