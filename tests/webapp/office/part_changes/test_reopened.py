"""A draft of a part is gone on with in its form; costs are the builder's; dealers' prices too."""

from __future__ import annotations

import re
from html import unescape

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlmodel import select

from tests.webapp.office.part_changes.test_part_changes import AT, part_form
from webapp.builds.choice.build_choice import read_choice
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.schema.part_kinds import HeadsetData
from webapp.catalogue.tables import CatalogueChange, Cost, Offer, Part
from webapp.catalogue.writing.parts import put_part_price, put_price_list, remove_offer
from webapp.catalogue.writing.price_scopes import put_scope
from webapp.common.storage.database import reading, writing
from webapp.common.text.money import Money
from webapp.common.timestamps import day_of
from webapp.customers.tables import CustomerRow
from webapp.office.part_changes.drafts import propose
from webapp.office.part_changes.effect import effects_of
from webapp.office.part_changes.shown_changes import shown_changes
from webapp.pricing.totals import signed_money
from webapp.quote.customer import Customer
from webapp.quote.lifecycle.request import ask_for_quote
from webapp.quote.tables import Quote

PLACE = "/office/parts/headset"


@pytest.fixture
def headset(app: FastAPI) -> Part:
    with reading(app.state.engine) as session:
        usual = load_catalogue(session, "knapweed").standard("headset")
        assert usual is not None
        query = select(Part).where(Part.kind == "headset", Part.slug == usual.slug)
        return session.exec(query).one()


def stored(app: FastAPI, slug: str) -> HeadsetData:
    with reading(app.state.engine) as session:
        query = select(Part).where(Part.kind == "headset", Part.slug == slug)
        return HeadsetData.model_validate(session.exec(query).one().data)


def test_a_draft_is_gone_on_with_in_the_form_and_stays_one_draft(
    builder: TestClient, app: FastAPI, headset: Part
) -> None:
    builder.follow_redirects = True
    at = f"{PLACE}/{headset.slug}"
    was = stored(app, headset.slug)
    form = part_form(app, builder, "headset", headset.slug)
    typed = {"lower_stack": f"{was.lower_stack + 2}", "part_price": "77.00", "part_cost": "31"}
    first = builder.post(at, data=form | typed)
    address = re.search(rf'href="({at}\?draft=(\d+))"', first.text)
    assert address
    again = builder.get(address[1]).text
    assert f'value="{was.lower_stack + 2:g}"' in again
    assert 'value="77.00"' in again
    assert 'value="31.00"' in again
    number = address[2]
    held = {
        name: unescape(re.findall(rf'name="{name}" value="([^"]*)"', again)[0])
        for name in ("stamp", "base", "instead_of")
    }
    assert held["instead_of"] == number
    typed |= {"upper_stack": f"{was.upper_stack + 1}"}
    second = builder.post(at, data=form | typed | held)
    assert second.url.path.startswith("/office/part-changes/")
    with reading(app.state.engine) as session:
        (only,) = session.exec(select(CatalogueChange)).all()
    assert stored(app, headset.slug) == was
    builder.post(f"/office/part-changes/{only.id}/put-in-force")
    now = stored(app, headset.slug)
    assert (now.lower_stack, now.upper_stack) == (was.lower_stack + 2, was.upper_stack + 1)
    assert builder.get(f"{at}?draft={only.id}").status_code == 409  # in force: no draft any more
    assert builder.get(f"{at}?draft=99").status_code == 404


def test_the_draft_of_a_new_part_is_gone_on_with_too(builder: TestClient, app: FastAPI) -> None:
    builder.follow_redirects = True
    new = {"part_name": "broad saddle", "stack": "45", "rail_forward": "20", "rail_back": "20",
           "offer:knapweed": "yes", "usual:knapweed": "yes", "place:knapweed": "5",
           "place:burdock": "100"}  # fmt: skip
    made = builder.post("/office/parts/saddle", data=new)
    address = re.search(r'href="(/office/parts/saddle/broad-saddle\?draft=\d+)"', made.text)
    assert address
    page = builder.get(address[1]).text
    assert 'action="/office/parts/saddle"' in page
    assert 'value="broad saddle"' in page
    instead = {"instead_of": address[1].rpartition("=")[2]}
    refused = builder.post("/office/parts/saddle", data=new | instead | {"stack": "high"})
    assert refused.status_code == 422
    again = builder.post("/office/parts/saddle", data=new | instead | {"stack": "47"})
    assert again.status_code == 200
    with reading(app.state.engine) as session:
        (only,) = session.exec(select(CatalogueChange)).all()
    builder.post(f"/office/part-changes/{only.id}/put-in-force")
    with reading(app.state.engine) as session:
        part = session.exec(select(Part).where(Part.slug == "broad-saddle")).one()
        assert part.data["stack"] == 47


def test_costs_are_in_the_form_and_the_file_of_the_builder_and_nowhere_else(
    builder: TestClient, app: FastAPI, headset: Part
) -> None:
    """By hand: a price of 119 with 19 % of tax is 100 net; a cost of 41.37 leaves 58.6 %."""
    builder.follow_redirects = True
    at, cost = f"{PLACE}/{headset.slug}", "41.37"
    form = part_form(app, builder, "headset", headset.slug)
    assert builder.post(at, data=form | {"part_cost": "a lot"}).status_code == 422
    price = {"part_price": "119.00", "part_cost": "41,37"}
    made = builder.post(at, data=form | price)
    builder.post(f"{made.url.path}/put-in-force")
    page = builder.get(at).text
    assert f'name="part_cost" type="text" value="{cost}"' in page
    assert "margin 58.6" in page
    out = builder.get("/office/import/parts.csv?kind=headset").text
    assert f",119.00,{cost}," in out
    changed = out.replace(f",{cost},", ",9.50 USD,")
    tried = builder.post("/office/import/try", data={"content": changed}).text
    assert "1 to keep" in tried
    kept = re.search(r"/office/part-changes/\d+",
                     builder.post("/office/import", data={"content": changed}).text)  # fmt: skip
    assert kept
    builder.post(f"{kept[0]}/put-in-force")
    with reading(app.state.engine) as session:
        row = session.exec(select(Cost).where(Cost.part_id == headset.id)).one()
        assert (row.minor, row.currency) == (950, "USD")
    builder.post(at, data=part_form(app, builder, "headset", headset.slug) | {"part_cost": cost})
    for address in ("/api/v1/models/knapweed", "/build/knapweed", "/api/v1/openapi.json",
                    "/counter/new/knapweed"):  # fmt: skip
        answer = builder.get(address).text
        assert cost not in answer
        assert "4137" not in answer
    builder.cookies.clear()
    assert cost not in builder.get(at).text  # nobody signed in


def test_the_last_of_a_kind_says_what_stops_and_offers_others(
    builder: TestClient, app: FastAPI, headset: Part
) -> None:
    builder.follow_redirects = True
    with writing(app.state.engine) as session:
        query = select(Part).join(Offer).where(Part.kind == "headset", Part.id != headset.id)
        for other in session.exec(query).all():
            remove_offer(session, who="t", model="knapweed", kind="headset", slug=other.slug)
    page = unescape(builder.post(f"{PLACE}/{headset.slug}/retire", data={}).text)
    said = "It is the last headset of the Knapweed: no bike of it can be sold with one then."
    assert said in page
    assert "Another takes its place" in page
    options = set(re.findall(r'<option value="([a-z0-9-]+)"', page))
    with reading(app.state.engine) as session:
        rows = session.exec(select(Part).where(Part.kind == "headset", Part.state == "active"))
        assert options == {row.slug for row in rows.all()} - {headset.slug}


def test_a_dealers_draft_shows_whose_prices_move_and_the_dealers_open_quotes(
    builder: TestClient, app: FastAPI, headset: Part
) -> None:
    """By hand: the default build has one headset; the dealers' price of it falls from 50 to 42."""
    engine, today = app.state.engine, day_of(AT)
    with reading(engine) as session:
        catalogue = load_catalogue(session, "knapweed", on=today)
    choice = read_choice(catalogue, {}).strict()
    with writing(engine) as session:
        asked = [
            ask_for_quote(
                session, catalogue, choice, Customer(name=name, mail=f"{name}@shop.example"),
                form_key="", at=AT,
            )
            for name in ("ada", "bo")
        ]  # fmt: skip
    with writing(engine) as session:
        put_scope(session, who="t", kind="group", slug="dealers", name="Dealers")
        put_price_list(
            session, who="t", slug="trade", name="Trade", currency="EUR",
            valid_from=today.replace(year=2020), valid_to=None, tax_included=True,
            customer_group="dealers", region="",
        )  # fmt: skip
        put_part_price(
            session, who="t", price_list="trade", kind="headset", slug=headset.slug, minor=5000
        )
        quote = session.exec(select(Quote).where(Quote.number == asked[0].number)).one()
        dealer = session.get(CustomerRow, quote.customer_id)
        assert dealer is not None
        dealer.price_group = "dealers"
        session.add(dealer)
    with writing(engine) as session:
        made = propose(
            session,
            lambda: put_part_price(
                session, who="t", price_list="trade", kind="headset", slug=headset.slug, minor=4200
            ),
            who="t", at=AT, title="Trade", address="/",
        )  # fmt: skip
    assert made is not None
    assert made.is_draft
    with reading(engine) as session:
        effects = {each.name: each for each in effects_of(session, made.changes, today=today)}
        (shown,) = shown_changes(session, made.changes)
    assert shown.field == "price in Trade, for Dealers"
    less = signed_money(Money(-800, "EUR"))
    rows = {row.name: row for row in effects["Knapweed"].rows}
    assert list(rows) == ["Price of the default build for Dealers"]
    assert {change for _, _, change in rows.popitem()[1].cells} == {less}
    touched = effects["Knapweed"].quotes
    assert [(each.number, each.price) for each in touched] == [(asked[0].number, less)]
