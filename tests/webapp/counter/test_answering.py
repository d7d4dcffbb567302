"""What customers do under their link: accept, ask, and what nobody can do there."""

from __future__ import annotations

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlmodel import select

from tests.webapp.counter.conftest import (
    ORDER,
    Clock,
    Desk,
    PutQuote,
    View,
    all_fields,
)
from webapp.common.storage.database import reading
from webapp.quote.tables import QuoteEvent


def test_acceptance_under_the_link_with_name_and_time(
    desk: Desk, quote: PutQuote, client: TestClient, view: View
) -> None:
    asked = quote()
    form = all_fields(client.get(f"/q/{asked.token}").text)
    accepted = client.post(
        f"/q/{asked.token}/accept",
        data=ORDER | {"version": "1", "key": form["key"], "accepted_by": " Ada  Marl "},
    )
    assert accepted.status_code == 303
    shown = client.get(f"/q/{asked.token}").text
    assert "Version 1 was accepted by Ada Marl on 2 March 2026, 09:00 UTC." in shown
    assert "Accept and order" not in shown
    assert view(asked.number).state == "accepted"
    page = desk.page(asked.number)
    assert "signed “Ada Marl”" in page
    assert "has accepted" in desk.get("/counter").text
    again = client.post(
        f"/q/{asked.token}/accept", data=ORDER | {"version": "1", "accepted_by": "Somebody Else"}
    )
    assert again.status_code == 409
    assert "Ada Marl" in client.get(f"/q/{asked.token}").text


def test_the_same_acceptance_sent_twice_is_one(
    quote: PutQuote, client: TestClient, app: FastAPI
) -> None:
    asked = quote()
    form = ORDER | {"version": "1", "key": "k" * 24, "accepted_by": "Ada"}
    statuses = [client.post(f"/q/{asked.token}/accept", data=form).status_code for _ in range(2)]
    assert statuses == [303, 303]
    with reading(app.state.engine) as session:
        said = [e.what for e in session.exec(select(QuoteEvent)).all()]
    assert said.count("accepted") == 1


def test_an_expired_quote_cannot_be_accepted_until_a_newer_version_is_sent(
    desk: Desk, quote: PutQuote, client: TestClient, at: Clock, view: View
) -> None:
    asked = quote()
    at.turn(days=31)
    assert "Accept and order" not in client.get(f"/q/{asked.token}").text
    form = ORDER | {"version": "1", "accepted_by": "Ada"}
    assert client.post(f"/q/{asked.token}/accept", data=form).status_code == 409
    desk.client.cookies.clear()


def test_a_clock_put_right_puts_the_quote_right(
    quote: PutQuote, client: TestClient, at: Clock
) -> None:
    asked = quote()
    at.turn(days=400)
    form = ORDER | {"version": "1", "accepted_by": "Ada"}
    assert client.post(f"/q/{asked.token}/accept", data=form).status_code == 409
    at.turn(days=-400)
    assert client.post(f"/q/{asked.token}/accept", data=form).status_code == 303


def test_a_version_sent_meanwhile_is_read_before_it_is_accepted(
    desk: Desk, quote: PutQuote, client: TestClient, view: View
) -> None:
    asked = quote()
    desk.terms(asked.number, delivery="40.00")
    desk.do(asked.number, "send")
    refused = client.post(
        f"/q/{asked.token}/accept", data=ORDER | {"version": "1", "accepted_by": "Ada"}
    )
    assert refused.status_code == 409
    assert "The shop has sent a newer version" in refused.text
    accepted = client.post(
        f"/q/{asked.token}/accept", data=ORDER | {"version": "2", "accepted_by": "Ada"}
    )
    assert accepted.status_code == 303
    assert view(asked.number).state == "accepted"


@pytest.mark.parametrize("name", ["", "   ", "x" * 121, "\x00\u202e"])
def test_an_acceptance_needs_a_name(quote: PutQuote, client: TestClient, name: str) -> None:
    asked = quote()
    form = ORDER | {"version": "1", "accepted_by": name}
    refused = client.post(f"/q/{asked.token}/accept", data=form)
    assert refused.status_code == 422
    assert 'id="f-accepted_by-error"' in refused.text


def test_questions_are_kept_shown_and_harmless(
    desk: Desk, quote: PutQuote, client: TestClient
) -> None:
    asked = quote()
    hostile = '<script>alert(1)</script> #link("x") {{ 7*7 }} \u202e$= 1'
    client.post(f"/q/{asked.token}/question", data={"text": hostile, "key": "k" * 24})
    client.post(f"/q/{asked.token}/question", data={"text": hostile, "key": "k" * 24})
    for page in (client.get(f"/q/{asked.token}").text, desk.page(asked.number)):
        assert "<script>alert" not in page
        assert page.count("&lt;script&gt;alert(1)&lt;/script&gt;") == 1
        assert "\u202e" not in page
    for bad in ("", "x" * 2001):
        refused = client.post(f"/q/{asked.token}/question", data={"text": bad})
        assert refused.status_code == 422


def test_a_typed_question_survives_its_refusal(quote: PutQuote, client: TestClient) -> None:
    asked = quote()
    text = "long " * 500
    refused = client.post(f"/q/{asked.token}/question", data={"text": text})
    assert text.strip() in refused.text


def test_customers_under_a_link_are_slowed(quote: PutQuote, client: TestClient) -> None:
    asked = quote()
    answers = [
        client.post(f"/q/{asked.token}/question", data={"text": f"{n}?"}).status_code
        for n in range(31)
    ]
    assert answers == [303] * 30 + [429]


@pytest.mark.parametrize("token", ["x", "é", "../counter", "a" * 3000])
def test_tampered_links_do_nothing(client: TestClient, token: str) -> None:
    for what, form in (
        ("accept", ORDER | {"version": "1", "accepted_by": "A"}),
        ("question", {"text": "?"}),
    ):
        assert client.post(f"/q/{token}/{what}", data=form).status_code in {404, 414}
