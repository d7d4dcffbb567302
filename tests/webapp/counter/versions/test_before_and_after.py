"""Versions before they are made, after their last day, and thrown away."""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from fastapi import FastAPI
from sqlmodel import select

from tests.webapp.counter.conftest import (
    Clock,
    Desk,
    PutQuote,
    SignIn,
    View,
    all_fields,
    make,
    sentences,
)
from webapp.common.storage.database import reading
from webapp.quote.tables import QuoteEvent, QuoteVersion


def preview(
    desk: Desk, number: str, fields: Mapping[str, str], *, whole: bool = False
) -> tuple[int, str]:
    """What terms would come to: the answer's status and its words."""
    form = all_fields(desk.get(f"/counter/quotes/{number}/terms").text) | dict(fields)
    desk.client.headers["HX-Request-Type"] = "full" if whole else "partial"
    answer = desk.post(f"/counter/quotes/{number}/terms/preview", form)
    del desk.client.headers["HX-Request-Type"]
    return answer.status_code, sentences(answer.text)


def test_terms_are_seen_before_they_make_a_version(desk: Desk, view: View) -> None:
    number = make(desk, "Ada Marl")
    before = view(number)
    terms = {"discount": "5 %", "discount_reason": "second bike", "deposit": "500 EUR"}
    status, said = preview(desk, number, terms)
    assert status == 200
    assert view(number) == before
    assert desk.terms(number, **terms).status_code == 303
    made = view(number).content.price
    assert made.gross.minor != before.content.price.gross.minor
    for amount in (made.gross.printed, made.tax.printed, made.deposit.printed):
        assert amount in said
    assert f"Total {made.gross.printed}, was {before.content.price.gross.printed}" in said
    assert "Nothing differs" in preview(desk, number, {})[1]


def test_a_preview_without_scripts_keeps_the_form_and_says_what_cannot_be(desk: Desk) -> None:
    number = make(desk, "Ada Marl")
    status, said = preview(
        desk, number, {"delivery": "40", "message": "Typed with care"}, whole=True
    )
    assert (status, "Typed with care" in said, "Delivery, 40" in said) == (200, True, True)
    for whole in (True, False):
        status, said = preview(desk, number, {"deposit": "130 %"}, whole=whole)
        assert status == 422
        assert "Deposit:" in said
    assert desk.get(f"/counter/quotes/{number}/terms").text.count("130 %") == 0


@pytest.mark.parametrize("agreed", ["", "2026-03-20"])
def test_an_expired_quote_is_offered_again_with_its_terms_unchanged(
    desk: Desk, sign_in: SignIn, quote: PutQuote, at: Clock, view: View, agreed: str
) -> None:
    number = quote().number
    if agreed:
        desk.terms(number, valid_until=agreed)
        desk.do(number, "send")
    before = view(number)
    assert desk.terms(number).status_code == 303
    assert view(number).version == before.version  # still valid: nothing to be made anew
    at.turn(days=40)
    desk = sign_in(name="Jory")
    assert desk.terms(number).status_code == 303
    again = view(number)
    assert again.version == before.version + 1
    assert again.content.valid_until > at().date()
    assert again.content.price.gross == before.content.price.gross
    assert desk.do(number, "send").status_code == 303
    assert "Open: waiting" in desk.page(number)


def test_another_build_of_an_expired_quote_needs_no_other_day_first(
    desk: Desk, sign_in: SignIn, at: Clock, view: View
) -> None:
    number = make(desk, "Ada Marl")
    desk.terms(number, valid_until="2026-03-20")
    at.turn(days=40)
    desk = sign_in(name="Jory")
    page = desk.get(f"/counter/quotes/{number}/build?size=l")
    assert "Make version 3" in page.text
    assert desk.post(f"/counter/quotes/{number}/build", all_fields(page.text)).status_code == 303
    assert view(number).content.build.size_slug == "l"


def test_a_version_the_customer_never_had_is_thrown_away_and_its_number_with_it(
    desk: Desk, quote: PutQuote, view: View, app: FastAPI
) -> None:
    number = quote().number
    first = view(number)
    assert "Throw version" not in desk.page(number)
    assert desk.do(number, "throw-away").status_code == 409  # the customer has it
    desk.terms(number, name="Somebody Else", delivery="40")
    assert "Throw version 2 away" in desk.page(number)
    form = desk.hidden(desk.page(number))
    for _ in range(2):  # the form twice: once thrown away
        assert desk.post(f"/counter/quotes/{number}/throw-away", form).status_code == 303
    assert view(number) == first
    page = sentences(desk.page(number))
    assert "Edda: thrown away, version 2" in page
    assert "4,624.00 EUR" in page  # what it came to, with the delivery
    assert "Ada Marl" in page
    desk.terms(number, delivery="50")
    assert view(number).version == 3
    assert "Make version 4" in desk.get(f"/counter/quotes/{number}/build").text
    assert f"/counter/quotes/{number}/compare?a=1&amp;b=3" in desk.page(number)
    assert desk.get(f"/counter/quotes/{number}/compare?a=1&b=3").status_code == 200
    assert desk.get(f"/counter/quotes/{number}?version=2").status_code == 404
    assert desk.do(number, "send").status_code == 303
    with reading(app.state.engine) as session:
        kept = session.exec(select(QuoteVersion.number)).all()
        noted = session.exec(select(QuoteEvent.what)).all()
    assert sorted(kept) == [1, 3]
    assert noted.count("thrown away") == 1


def test_the_only_draft_is_withdrawn_and_not_thrown_away(desk: Desk) -> None:
    number = make(desk, "Ada Marl")
    assert desk.do(number, "throw-away").status_code == 409
    assert desk.do(number, "withdraw").status_code == 303
