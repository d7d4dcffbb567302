"""Ordering is open once the shop has confirmed: what each side sees, does and is told."""

from __future__ import annotations

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlmodel import select

from tests.webapp.counter.conftest import ORDER, Desk, PutQuote, View, all_fields, sentences
from webapp.catalogue.reading.settings import settings_data
from webapp.catalogue.writing.shop import put_settings
from webapp.common.storage.database import reading, writing
from webapp.quote.storage.privacy import erase
from webapp.quote.storage.read import QuoteView, quote_by_number
from webapp.quote.tables import QuoteEvent

SIGNED = ORDER | {"version": "1", "accepted_by": "Ada Marl"}


@pytest.fixture
def asked(quote: PutQuote) -> QuoteView:
    """A quote a rider has asked for on the web, that nobody of the shop has seen."""
    return quote(approved=False)


def test_a_quote_asked_for_says_what_happens_next_and_cannot_be_ordered(
    client: TestClient, asked: QuoteView, view: View
) -> None:
    shown = sentences(client.get(f"/q/{asked.token}").text)
    assert "What happens next" in shown
    assert "We confirm it" in shown
    assert "Accept and order" not in shown
    refused = client.post(f"/q/{asked.token}/accept", data=SIGNED)
    assert refused.status_code == 409
    assert "It can be ordered once the shop has confirmed it" in sentences(refused.text)
    assert view(asked.number).state == "sent"


def test_one_press_at_the_counter_opens_the_order(
    desk: Desk, client: TestClient, asked: QuoteView, app: FastAPI
) -> None:
    page = desk.page(asked.number)
    assert "it can be ordered once you confirm it" in page
    assert "Confirm: it can be ordered" in page
    assert desk.do(asked.number, "approve").status_code == 303
    page = sentences(desk.page(asked.number))
    assert "Edda: confirmed, can be ordered, version 1" in page
    assert "Confirm: it can be ordered" not in page
    assert asked.number not in sentences(desk.get("/counter").text).partition("Quotes")[0]
    assert desk.do(asked.number, "approve").status_code == 409
    shown = client.get(f"/q/{asked.token}").text
    assert "What happens next" not in shown
    form = all_fields(shown)
    order = SIGNED | {"key": form["key"]}
    assert client.post(f"/q/{asked.token}/accept", data=order).status_code == 303
    with reading(app.state.engine) as session:
        done = session.exec(select(QuoteEvent).where(QuoteEvent.what == "accepted")).one()
    assert done.detail["address"] == "Mill Lane 3\n4051 Reedham"
    assert done.detail["agreed"] is True


def test_an_order_needs_an_address_and_agreement_and_loses_nothing_typed(
    client: TestClient, quote: PutQuote
) -> None:
    link = f"/q/{quote().token}"
    refused = client.post(
        f"{link}/accept", data={"version": "1", "accepted_by": "Ada Marl", "address": "Mill Lane"}
    )
    assert refused.status_code == 422
    for field in ("address", "agreed"):
        assert f'href="#f-{field}"' in refused.text
        assert f'id="f-{field}-error"' in refused.text
    assert ">Mill Lane</textarea>" in refused.text
    assert 'value="Ada Marl"' in refused.text
    ticked = client.post(f"{link}/accept", data={"version": "1", "agreed": "yes"}).text
    assert 'value="yes" checked' in ticked


def test_the_customer_is_told_by_mail(
    asked: QuoteView, client: TestClient, app: FastAPI, desk: Desk
) -> None:
    from webapp.counter.messages import approved_message
    from webapp.quote.customer_page.messages import asked_message

    first = asked_message(asked, "https://shop/q/x", confirmed=False).body
    assert "we look at it ourselves and confirm it by mail" in first
    assert "order it here" not in first
    assert "order it here" in asked_message(asked, "https://shop/q/x", confirmed=True).body
    told = approved_message(asked, "https://shop/q/x")
    assert "confirm" in told.subject
    assert "You can order it here until" in told.body
    assert "https://shop/q/x" in told.body


def test_a_sending_confirms_it_too(desk: Desk, client: TestClient, asked: QuoteView) -> None:
    desk.terms(asked.number, delivery="40.00")
    assert desk.do(asked.number, "send").status_code == 303
    order = SIGNED | {"version": "2"}
    assert client.post(f"/q/{asked.token}/accept", data=order).status_code == 303


def test_a_question_waits_on_after_the_confirmation(
    desk: Desk, client: TestClient, asked: QuoteView
) -> None:
    client.post(f"/q/{asked.token}/question", data={"text": "How heavy is it?"})
    assert desk.do(asked.number, "approve").status_code == 303
    assert "asks something" in desk.get("/counter").text


def test_a_shop_may_let_its_riders_order_at_once(
    client: TestClient, app: FastAPI, quote: PutQuote
) -> None:
    with writing(app.state.engine) as session:
        data = settings_data(session).model_copy(update={"confirm_before_order": False})
        put_settings(session, who="Edda", data=data)
    asked = quote(approved=False)
    shown = client.get(f"/q/{asked.token}").text
    assert "What happens next" not in shown
    assert client.post(f"/q/{asked.token}/accept", data=SIGNED).status_code == 303


def test_the_address_goes_with_the_person(
    client: TestClient, app: FastAPI, quote: PutQuote
) -> None:
    asked = quote()
    assert client.post(f"/q/{asked.token}/accept", data=SIGNED).status_code == 303
    with writing(app.state.engine) as session:
        row = quote_by_number(session, asked.number, locked=True)
        erase(session, [row], who="Edda", at=asked.created_at)
    with reading(app.state.engine) as session:
        details = [event.detail for event in session.exec(select(QuoteEvent)).all()]
    assert "Mill Lane" not in str(details)
