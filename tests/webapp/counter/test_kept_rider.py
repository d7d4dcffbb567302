"""The rider stays with a quote through every change of its build, and is judged there."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from urllib.parse import quote as quoted

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlmodel import col, select

from tests.webapp.counter.conftest import (
    ORDER,
    SAME_SITE,
    Desk,
    PutQuote,
    View,
    all_fields,
    make,
    pdf_text,
    sentences,
)
from webapp.catalogue.reading.load import load_catalogue
from webapp.common.storage.database import reading, writing
from webapp.quote.customer import CUSTOMER_DATA, Customer
from webapp.quote.quoted_rider import build_with_kept_rider
from webapp.quote.storage.privacy import erase
from webapp.quote.tables import Quote, QuoteVersion

BODY = {"stature": "1780", "inseam": "830", "weight": "82 kg"}
TOLD = {"stature": "1780", "inseam": "830", "weight": "82 kg"}
Road = Callable[[Desk, str, View], str]


def by_the_form(desk: Desk, number: str, _view: View) -> str:
    """The build page opened at an address that says nothing of the rider, and its button."""
    address = f"/counter/quotes/{number}/build"
    page = desk.get(f"{address}?model=knapweed&size=l").text
    assert desk.post(address, all_fields(page)).status_code == 303
    return number


def by_hand(desk: Desk, number: str, view: View) -> str:
    """A build written by hand into the form, without its rider."""
    form = all_fields(desk.get(f"/counter/quotes/{number}/build?model=knapweed").text)
    query = view(number).content.build.query.replace("size=m", "size=l")
    answer = desk.post(
        f"/counter/quotes/{number}/build", form | {"build": f"knapweed?{query}&weight="}
    )
    assert answer.status_code == 303
    return number


def by_another_model(desk: Desk, number: str, _view: View) -> str:
    address = f"/counter/quotes/{number}/build"
    page = desk.get(f"{address}?model=burdock").text
    assert desk.post(address, all_fields(page)).status_code == 303
    return number


def by_terms(desk: Desk, number: str, _view: View) -> str:
    assert desk.terms(number, delivery="40.00").status_code == 303
    return number


def by_a_later_last_day(desk: Desk, number: str, _view: View) -> str:
    assert desk.terms(number, valid_until="2026-12-01").status_code == 303
    return number


def by_terms_with_a_build(desk: Desk, number: str, _view: View) -> str:
    """Both changes merged: the terms' form carries a build too."""
    assert desk.terms(number, build="knapweed?size=l", delivery="40.00").status_code == 303
    return number


def by_copying(desk: Desk, number: str, _view: View) -> str:
    return desk.do(number, "copy").headers["location"].rpartition("/")[2]


ROADS = [
    by_the_form,
    by_hand,
    by_another_model,
    by_terms,
    by_a_later_last_day,
    by_terms_with_a_build,
    by_copying,
]


def limit(app: FastAPI, model: str = "knapweed") -> float:
    """What the builder permits for rider and luggage [kg]."""
    with reading(app.state.engine) as session:
        return load_catalogue(session, model).revision.data.masses.rider_and_luggage


def too_heavy(app: FastAPI) -> str:
    return f"{max(limit(app), limit(app, 'burdock')) + 10:g} kg"


@pytest.mark.parametrize("road", ROADS)
def test_measurements_stay_with_the_quote_by_every_road(
    desk: Desk, quote: PutQuote, view: View, road: Road
) -> None:
    asked = quote(size="m", **BODY)
    now = view(road(desk, asked.number, view))
    told = dict(now.customer.rider)
    assert {name: told.get(name) for name in TOLD} == TOLD
    judged = {check.key: check.outcome for check in now.customer.checks}
    assert judged["load-rider"] == "clear"
    assert "82 kg" in " ".join(now.customer.fit)


@pytest.mark.parametrize("road", ROADS)
def test_the_words_of_fit_are_those_of_the_size_quoted(
    desk: Desk, quote: PutQuote, view: View, road: Road
) -> None:
    asked = quote(size="m", **BODY)
    now = view(road(desk, asked.number, view))
    said = [words for words in now.customer.fit if "is the size quoted" in words]
    assert [words.partition(" is ")[0] for words in said] == [now.content.build.size]


def test_the_saddle_is_set_for_the_rider_after_a_change_of_size(
    desk: Desk, quote: PutQuote, view: View
) -> None:
    by_the_form(desk, (asked := quote(size="m", **BODY)).number, view)
    plain = quote(size="l", **BODY)
    changed = view(asked.number)
    assert changed.content.settings == plain.content.settings
    assert changed.content.assembly == plain.content.assembly
    assert changed.content.figures == plain.content.figures
    assert changed.customer.fit == plain.customer.fit


def test_what_is_typed_anew_of_the_rider_stands_and_is_told_between_versions(
    desk: Desk, quote: PutQuote, view: View
) -> None:
    asked = quote(size="m", **BODY)
    address = f"/counter/quotes/{asked.number}/build"
    page = desk.get(f"{address}?model=knapweed&size=m&weight={quoted('90 kg')}").text
    desk.post(address, all_fields(page))
    assert dict(view(asked.number).customer.rider)["weight"] == "90 kg"
    said = sentences(desk.get(f"/counter/quotes/{asked.number}/compare?a=1&b=2").text)
    assert "Rider&#39;s weight: 90 kg, was 82 kg." in said


HEAVY = [
    "size=m&weight={weight}",
    "size=m&stature=1880&weight={weight}",
    "size=m&scope=frame&weight={weight}",
    "size=m&scope=frameset&stature=1880&weight={weight}",
]


def by_nothing_more(_desk: Desk, number: str, _view: View) -> str:
    return number


@pytest.mark.parametrize(
    ("query", "road"), [*((q, by_nothing_more) for q in HEAVY), *((HEAVY[1], r) for r in ROADS)]
)
def test_a_rider_beyond_the_permitted_weight_is_sent_nothing_by_any_road(
    desk: Desk, view: View, app: FastAPI, query: str, road: Road
) -> None:
    number = make(desk, query=query.format(weight=quoted(too_heavy(app))))
    number = road(desk, number, view)
    failed = [check.key for check in view(number).customer.checks if check.outcome == "no"]
    assert "load-rider" in failed
    page = desk.page(number)
    assert re.search("It cannot be sent: [^.]*Rider and luggage", page)
    assert "Send version" not in page
    assert desk.do(number, "send").status_code == 403
    assert view(number).state == "draft"


def test_the_failure_is_on_every_copy_of_the_draft(desk: Desk, app: FastAPI) -> None:
    number = make(desk, query=f"size=m&stature=1880&weight={quoted(too_heavy(app))}")
    weight = too_heavy(app).removesuffix(" kg")
    paper = f"/counter/quotes/{number}/sheet.pdf?copy="
    for copy in (
        sentences(desk.page(number)),
        sentences(desk.get(f"/counter/quotes/{number}/workshop").text),
        pdf_text(desk.get(f"{paper}customer").content),
        pdf_text(desk.get(f"{paper}workshop").content),
    ):
        assert re.search(r"Draft, not to be ordered\. Failed: [^.]*Rider and luggage", copy)
        assert weight in copy


def forget_checks(app: FastAPI, number: str, weight: str, fit: tuple[str, ...] = ()) -> None:
    """Make a quote's versions as they were before the rider's checks were frozen."""
    with writing(app.state.engine) as session:
        rows = session.exec(
            select(QuoteVersion).join(Quote, col(Quote.id) == QuoteVersion.quote_id)
            .where(Quote.number == number)
        ).all()  # fmt: skip
        for row in rows:
            customer: Customer = CUSTOMER_DATA.validate_python(row.customer)
            told = tuple((k, weight if k == "weight" else v) for k, v in customer.rider)
            old = CUSTOMER_DATA.dump_python(replace(customer, rider=told, fit=fit), mode="json")
            del old["checks"]
            row.customer = old
            session.add(row)


def test_a_version_sent_before_is_judged_when_it_is_accepted(
    desk: Desk, quote: PutQuote, view: View, client: TestClient, app: FastAPI
) -> None:
    asked = quote(size="m", **BODY)
    forget_checks(app, asked.number, too_heavy(app))
    page = client.get(f"/q/{asked.token}").text
    assert "Order this" not in page
    answer = client.post(
        f"/q/{asked.token}/accept", data=ORDER | {"version": "1", "accepted_by": "Ada Marl"}
    )
    assert answer.status_code == 403
    assert desk.do(asked.number, "accept", accepted_by="Ada Marl").status_code == 403
    assert desk.do(asked.number, "send").status_code == 403
    assert view(asked.number).state == "sent"


def test_a_new_version_of_an_older_one_is_judged_and_said_anew(
    desk: Desk, quote: PutQuote, view: View, app: FastAPI
) -> None:
    asked = quote(size="l", **BODY)
    forget_checks(app, asked.number, "82 kg", fit=("Medium is the size quoted: so and so.",))
    by_terms(desk, asked.number, view)
    now = view(asked.number)
    assert [check.key for check in now.customer.checks][:1] == ["load-rider"]
    assert now.customer.fit == asked.customer.fit


def test_nothing_of_the_body_is_left_when_the_customer_is_erased(
    quote: PutQuote, view: View, app: FastAPI
) -> None:
    asked = quote(size="m", **BODY)
    with writing(app.state.engine) as session:
        row = session.exec(select(Quote).where(Quote.number == asked.number)).one()
        erase(session, [row], who="t", at=asked.created_at)
    assert view(asked.number).customer == Customer(name="", mail="")


def test_a_weight_alone_is_held_against_the_limit_on_the_web_too(
    client: TestClient, app: FastAPI
) -> None:
    for scope in ("bike", "frameset", "frame"):
        address = f"/quote/knapweed?size=m&scope={scope}&weight={quoted(too_heavy(app))}"
        page = client.get(address)
        assert page.status_code == 200
        assert "permit" in page.text
        assert 'name="question"' in page.text, "it can be asked about, and not ordered"
        answer = client.post(
            address, data={"name": "Ada", "mail": "ada@marl.example"}, headers=SAME_SITE
        )
        assert answer.status_code == 422


def test_a_build_that_names_its_rider_is_left_as_it_is() -> None:
    known = Customer(name="Ada", mail="", rider=(("stature", "1780"), ("style", "trail")))
    for build in ("knapweed?size=m&stature=1800&style=trail", "burdock?stature=1800&style=x"):
        assert build_with_kept_rider(build, known) == build
    assert build_with_kept_rider("knapweed", known) == "knapweed?stature=1780&style=trail"
    walled = replace(known, rider=(("stature", "1780"), ("stature_by", "wall")))
    assert build_with_kept_rider("k?stature=1800", walled) == "k?stature=1800"
