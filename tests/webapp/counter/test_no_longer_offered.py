"""What is no longer offered after a quote was frozen: seen, asked about, waited for."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from urllib.parse import parse_qs

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from tests.webapp.counter.conftest import (
    ORDER,
    Desk,
    PutQuote,
    View,
    all_fields,
    make,
    sentences,
)
from webapp.catalogue.writing.models import withdraw
from webapp.catalogue.writing.parts import restore_part, retire_part
from webapp.common.storage.database import writing
from webapp.quote.storage.read import QuoteView

Going = Callable[[FastAPI, QuoteView], str]


def a_part(app: FastAPI, asked: QuoteView) -> str:
    slug = parse_qs(asked.content.build.query)["fork"][0]
    with writing(app.state.engine) as session:
        retire_part(session, who="t", kind="fork", slug=slug)
    return "is no longer made."


def the_revision(app: FastAPI, asked: QuoteView) -> str:
    build = asked.content.build
    with writing(app.state.engine) as session:
        withdraw(
            session, who="t", model=build.model_slug, revision=build.revision,
            reason="The dropouts bend", on=date(2026, 3, 1),
        )  # fmt: skip
    return f"Revision {build.revision} of {build.model} is withdrawn: The dropouts bend."


GONE = [a_part, the_revision]


def confirmed(desk: Desk, number: str, what: str) -> int:
    """The one form of the page that carries keys to be confirmed, with its box ticked."""
    form = all_fields(desk.page(number))
    return desk.post(f"/counter/quotes/{number}/{what}", form).status_code


@pytest.mark.parametrize("going", GONE)
def test_sending_asks_and_the_answer_is_in_the_history(
    desk: Desk, view: View, app: FastAPI, going: Going
) -> None:
    number = make(desk, query="size=m")
    words = going(app, view(number))
    page = desk.page(number)
    assert words in sentences(page)
    assert "We deliver it anyway" in page
    answer = desk.do(number, "send")
    assert answer.status_code == 409
    assert "confirm that it is delivered anyway" in answer.text
    assert view(number).state == "draft"
    assert confirmed(desk, number, "send") == 303
    assert view(number).state == "sent"
    told = sentences(desk.page(number))
    assert "Edda: still offered, version 1" in told
    assert words in told


@pytest.mark.parametrize("going", GONE)
def test_the_customer_is_told_and_waits_for_the_shop(
    desk: Desk, quote: PutQuote, view: View, client: TestClient, app: FastAPI, going: Going
) -> None:
    asked = quote(size="m")
    link = f"/q/{asked.token}"
    assert "Order this" in client.get(link).text
    words = going(app, asked)
    page = client.get(link).text
    assert words in sentences(page)
    assert "The shop first has to confirm" in page
    assert "Order this" not in page
    form = ORDER | {"version": "1", "accepted_by": "Ada Marl"}
    answer = client.post(f"{link}/accept", data=form)
    assert answer.status_code == 409
    assert "the shop has to confirm first" in answer.text
    assert desk.do(asked.number, "accept", accepted_by="Ada Marl").status_code == 409
    assert view(asked.number).state == "sent"

    assert "The customer cannot accept it yet" in desk.page(asked.number)
    assert confirmed(desk, asked.number, "confirm") == 303
    page = client.get(link).text
    assert "Order this" in page
    assert client.post(f"{link}/accept", data=form, follow_redirects=False).status_code == 303
    assert view(asked.number).state == "accepted"


def test_what_goes_after_the_confirmation_is_asked_anew(
    desk: Desk, quote: PutQuote, client: TestClient, app: FastAPI
) -> None:
    asked = quote(size="m")
    a_part(app, asked)
    seen = all_fields(desk.page(asked.number))
    the_revision(app, asked)
    # A page from before the second thing went confirms neither.
    answer = desk.post(f"/counter/quotes/{asked.number}/confirm", seen)
    assert answer.status_code == 409
    assert confirmed(desk, asked.number, "confirm") == 303
    assert "Order this" in client.get(f"/q/{asked.token}").text


def test_a_part_offered_again_needs_no_word(
    desk: Desk, quote: PutQuote, client: TestClient, app: FastAPI
) -> None:
    asked = quote(size="m")
    a_part(app, asked)
    slug = parse_qs(asked.content.build.query)["fork"][0]
    with writing(app.state.engine) as session:
        restore_part(session, who="t", kind="fork", slug=slug)
    assert "Order this" in client.get(f"/q/{asked.token}").text
    assert "no longer" not in sentences(desk.page(asked.number))
    assert desk.do(asked.number, "confirm", confirmed=f"fork-{slug}").status_code == 409


def test_a_part_that_is_not_sold_with_a_frame_is_no_matter(
    quote: PutQuote, client: TestClient, app: FastAPI
) -> None:
    asked = quote(size="m", scope="frame")
    a_part(app, asked)
    assert "Order this" in client.get(f"/q/{asked.token}").text


def test_a_later_version_is_confirmed_for_itself(
    desk: Desk, quote: PutQuote, view: View, app: FastAPI
) -> None:
    asked = quote(size="m")
    a_part(app, asked)
    assert confirmed(desk, asked.number, "confirm") == 303
    assert desk.terms(asked.number, delivery="40.00").status_code == 303
    assert desk.do(asked.number, "send").status_code == 409
    assert view(asked.number).sent_version == 1
    assert confirmed(desk, asked.number, "send") == 303
    assert view(asked.number).sent_version == 2


def test_an_order_says_what_has_gone_and_asks_nothing(
    desk: Desk, quote: PutQuote, client: TestClient, app: FastAPI
) -> None:
    asked = quote(size="m")
    client.post(f"/q/{asked.token}/accept", data=ORDER | {"version": "1", "accepted_by": "Ada"})
    words = a_part(app, asked)
    page = desk.page(asked.number)
    assert words in sentences(page)
    assert "We deliver it anyway" not in page


@pytest.mark.parametrize("going", GONE)
def test_the_desk_marks_the_quotes_that_hold_it(
    desk: Desk, view: View, app: FastAPI, going: Going
) -> None:
    number = make(desk, query="size=m")
    words = "something in it is no longer offered"
    assert words not in desk.get("/counter").text
    going(app, view(number))
    assert words in desk.get("/counter").text
    desk.do(number, "withdraw")
    assert words not in desk.get("/counter").text, "nobody builds it any more"


def test_the_desk_marks_no_part_that_is_not_sold(desk: Desk, view: View, app: FastAPI) -> None:
    """A frame alone names the fork its figures assume, and sells none."""
    number = make(desk, query="size=m&scope=frame")
    a_part(app, view(number))
    assert "no longer offered" not in desk.get("/counter").text
