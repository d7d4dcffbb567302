"""A quote for somebody of the list of customers: their prices hold, and the page says so."""

from __future__ import annotations

from datetime import date

import pytest
from fastapi import FastAPI

from tests.webapp.counter.conftest import Desk, View, all_fields, make, sentences
from webapp.catalogue.lookup import row_id
from webapp.catalogue.writing.parts import put_frame_price, put_price_list
from webapp.catalogue.writing.price_scopes import put_scope
from webapp.common.storage.database import writing
from webapp.customers import store
from webapp.quote.storage.people import quotes_of_customer

NEW = "/counter/new/knapweed"
WHO = "t"
DEALERS = "1,069.00 EUR"  # the frame at 1,000.00, and at the usual 69.00 what comes with it


@pytest.fixture
def dealer(app: FastAPI, desk: Desk) -> int:
    """A customer of the dealers, for whom the frame is 1,000.00 EUR."""
    with writing(app.state.engine) as session:
        put_scope(session, who=WHO, kind="group", slug="dealers", name="Dealers")
        put_price_list(session, who=WHO, slug="dealers", name="For dealers", currency="EUR",
                       valid_from=date(2026, 1, 1), tax_included=True,
                       customer_group="dealers")  # fmt: skip
        put_frame_price(session, who=WHO, price_list="dealers", model="knapweed", minor=100_000)
    said = {"name": "Ada Marl", "mail": "ada@marl.example", "price_group": "dealers"}
    made = desk.post("/counter/customers/new", said)
    return int(made.headers["location"].rpartition("/")[2])


def test_from_the_customers_page_to_a_quote_at_their_prices(
    app: FastAPI, desk: Desk, dealer: int, view: View
) -> None:
    assert f'href="/counter/new?customer={dealer}"' in desk.get(f"/counter/customers/{dealer}").text
    measured = desk.get(f"/counter/new?customer={dealer}&model=knapweed&stature=1750").text
    assert "New quote for Ada Marl" in measured
    assert f'href="{NEW}?customer={dealer}"' in measured  # without measuring
    assert f'href="{NEW}?customer={dealer}&amp;' in measured  # in the size that fits
    assert f'name="customer" value="{dealer}"' in measured
    page = desk.get(f"{NEW}?customer={dealer}&size=m&scope=frame").text
    assert "priced by the list “For dealers”, which applies to this customer." in sentences(page)
    form = all_fields(page)
    assert form["total"] == DEALERS
    made = desk.post(f"{NEW}?customer={dealer}&size=m&scope=frame", form)
    quote = view(made.headers["location"].rpartition("/")[2])
    assert (quote.customer.name, quote.customer.mail) == ("Ada Marl", "ada@marl.example")
    assert quote.content.price.gross.printed == DEALERS
    with writing(app.state.engine) as session:
        entry = store.customer_row(session, dealer)
        assert len(quotes_of_customer(session, entry)) == 1
        assert row_id(entry) == dealer
    assert desk.get(f"/counter/new?customer={dealer + 9}").status_code == 404
    assert desk.get(f"{NEW}?customer=ada").status_code == 422


def test_who_is_known_by_name_and_mail_gets_their_own_prices(
    desk: Desk, dealer: int, view: View
) -> None:
    build = "size=m&scope=frame"
    usual = all_fields(desk.get(f"{NEW}?{build}").text)
    typed = usual | {"name": " ada  marl", "mail": "Ada@Marl.example", "note": "By hand."}
    asked = desk.post(f"{NEW}?{build}", typed)
    assert asked.status_code == 422
    said = sentences(asked.text)
    assert f"the total is {DEALERS}, not {usual['total']}; check it and decide again" in said
    assert "The price list For dealers applies to Ada Marl" in said
    assert f'formaction="{NEW}?customer={dealer}&amp;' in asked.text
    again = all_fields(asked.text)
    assert (again["note"], again["total"]) == ("By hand.", DEALERS)
    made = desk.post(f"{NEW}?customer={dealer}&{build}", again)
    quote = view(made.headers["location"].rpartition("/")[2])
    assert quote.content.price.gross.printed == DEALERS
    # The same name without the address may be anybody's.
    stranger = view(make(desk, "Ada Marl", build))
    assert stranger.content.price.gross.printed == usual["total"]
