"""Several bikes in one quote: made at the counter, checked, priced, printed, changed, taken out."""

from __future__ import annotations

import io
import re

import pypdf
import pytest
from fastapi import FastAPI

from tests.webapp.counter.conftest import (
    Desk,
    View,
    all_fields,
    make,
    numbers,
    pdf_text,
    sentences,
    step,
)
from webapp.common.storage.database import reading
from webapp.outcomes.store import outcomes_of_model, outcomes_of_quote
from webapp.quote.freezing.bikes import bike_of, key_of
from webapp.quote.freezing.content import QuoteContent
from webapp.quote.freezing.pricing import basis_of
from webapp.quote.storage import export
from webapp.quote.storage.read import QuoteView

FORM = ("key", "seen", "bike", "build", "total")


def fields(html: str) -> dict[str, str]:
    """What stands in the form that makes the version, as a browser would send it."""
    form = html[html.index('name="seen"') :]
    found = {name: re.findall(rf'name="{name}" value="([^"]*)"', form) for name in FORM}
    return {name: values[0].replace("&amp;", "&") for name, values in found.items() if values}


def add(desk: Desk, number: str, query: str, bike: int = 2) -> None:
    """Put a build into a quote as one of its bikes."""
    address = f"/counter/quotes/{number}/build"
    page = desk.get(f"{address}?model=knapweed&bike={bike}&{query}")
    assert page.status_code == 200
    made = desk.post(address, fields(page.text))
    assert made.status_code == 303, sentences(made.text)[:2000]


@pytest.fixture
def couple(desk: Desk) -> str:
    """A quote for a couple with two sizes."""
    number = make(desk, "Ada Marl", "size=m&stature=1720&weight=70")
    add(desk, number, "size=l&stature=1850&weight=82")
    return number


def test_keys_of_lines_go_there_and_back() -> None:
    for bike in (1, 2, 6):
        for key in ("fork", "rule-1", "bike", "added_1"):
            assert bike_of(key_of(bike, key)) == (bike, key)


def test_two_sizes_are_one_quote_with_one_total(desk: Desk, view: View, couple: str) -> None:
    quote = view(couple)
    first, second = quote.bikes
    assert [bike.content.build.size for bike in quote.bikes] == ["Medium", "Large"]
    assert [dict(bike.customer.rider)["stature"] for bike in quote.bikes] == ["1720", "1850"]
    assert first.customer.fit != second.customer.fit
    listed = sum(line.minor for bike in quote.bikes for line in basis_of(bike.content).lines)
    assert quote.content.price.gross.minor == listed
    assert len(quote.checks) == len(first.checks) + len(second.checks)
    page = desk.page(couple)
    said = sentences(page)
    assert "Knapweed, Medium; Knapweed, Large" in said
    assert "Bike 1: Knapweed, size Medium" in said
    assert "Bike 2: Knapweed, size Large" in said
    assert "Bike 2: Fork" in said
    ids = re.findall(r'\sid="([^"]+)"', page)
    assert sorted(ids) == sorted(set(ids))
    assert numbers(desk.get("/counter?q=large+medium").text) == [couple]


def test_paper_tells_of_each_bike(desk: Desk, couple: str) -> None:
    sheet = pdf_text(desk.get(f"/counter/quotes/{couple}/sheet.pdf").content)
    assert "Quote for 2 bikes: Knapweed, Medium; Knapweed, Large" in sheet
    for words in ("Bike 1: Knapweed, size Medium", "Bike 2: Knapweed, size Large"):
        assert words in sheet
    assert sheet.count("Geometry as quoted") == sheet.count("Checks") == 2
    for bike, size in ((1, "Medium"), (2, "Large")):
        address = f"/counter/quotes/{couple}/sheet.pdf?copy=workshop&bike={bike}"
        copy = pdf_text(desk.get(address).content)
        assert f"Knapweed, size {size}, for Ada Marl" in copy
        shown = desk.get(f"/counter/quotes/{couple}/workshop?bike={bike}").text
        assert f"Knapweed, size {size}" in shown
    assert desk.get(f"/counter/quotes/{couple}/workshop?bike=3").status_code == 404


def test_a_couples_total_is_on_the_first_page_and_each_bike_has_one(
    desk: Desk, couple: str
) -> None:
    for paper in ("a4", "letter"):
        content = desk.get(f"/counter/quotes/{couple}/sheet.pdf?paper={paper}").content
        first, *others = (
            page.extract_text() for page in pypdf.PdfReader(io.BytesIO(content)).pages
        )
        assert "Deposit when ordering" in first
        assert "Lead time is counted from the deposit" in first
        assert [re.findall(r"Bike \d: Knapweed, size", page) for page in others] == [
            ["Bike 1: Knapweed, size"], ["Bike 2: Knapweed, size"]
        ]  # fmt: skip
        assert all("Wheelbase" in page for page in others)


def test_a_failing_check_of_any_bike_blocks_the_whole(desk: Desk, view: View) -> None:
    number = make(desk, "Ada Marl", "size=m")
    add(desk, number, "size=l&stature=1850&weight=200")
    failed = {check.name for check in view(number).bikes[1].outcomes("no")}
    assert failed
    assert not view(number).bikes[0].outcomes("no")
    answer = desk.do(number, "send")
    assert answer.status_code == 403
    assert view(number).sent_version is None
    sheet = pdf_text(desk.get(f"/counter/quotes/{number}/sheet.pdf").content)
    assert "Draft, not to be ordered" in sheet


def test_one_bike_is_changed_and_the_other_stays(desk: Desk, view: View, couple: str) -> None:
    before = view(couple)
    add(desk, couple, "size=xl&stature=1850&weight=82")
    after = view(couple)
    assert after.bikes[0].content.figures == before.bikes[0].content.figures
    assert after.bikes[0].customer == before.bikes[0].customer
    assert after.bikes[1].content.build.size != before.bikes[1].content.build.size
    said = sentences(desk.get(f"/counter/quotes/{couple}/compare?a=2&b=3").text)
    assert "Bike 2: Size: " in said
    assert "Bike 1" not in said


def test_discounts_go_with_their_bike_when_another_is_taken_out(
    desk: Desk, view: View, couple: str
) -> None:
    form = {"off_bike2-fork": "10 %", "off_bike2-fork_reason": "scratched"}
    assert desk.terms(couple, **form).status_code == 303
    off = {line.key: line.amount.minor for line in view(couple).content.price.lines}
    page = desk.page(couple)
    form = desk.hidden(page)
    assert desk.post(f"/counter/quotes/{couple}/bikes/1/take-out", form).status_code == 303
    left = view(couple)
    assert [bike.content.build.size for bike in left.bikes] == ["Large"]
    lines = {line.key: line.amount.minor for line in left.content.price.lines}
    assert lines["off_fork"] == off["off_bike2-fork"] < 0
    assert dict(left.customer.rider)["stature"] == "1850"
    refused = desk.terms(couple, quantity="2")
    assert refused.status_code == 303


def test_a_number_of_bikes_is_asked_only_where_there_is_one(desk: Desk, couple: str) -> None:
    answer = desk.terms(couple, quantity="2")
    assert answer.status_code == 422
    assert "lists its bikes one by one" in answer.text


def test_a_copy_and_an_export_hold_every_bike(
    desk: Desk, view: View, couple: str, app: FastAPI
) -> None:
    copied = desk.post(f"/counter/quotes/{couple}/copy", desk.hidden(desk.page(couple)))
    number = copied.headers["location"].rpartition("/")[2]
    assert [b.content.build.size for b in view(number).bikes] == ["Medium", "Large"]
    assert view(number).bikes[1].customer.rider == view(couple).bikes[1].customer.rider
    with reading(app.state.engine) as session:
        from webapp.quote.storage.read import quote_by_number

        whole = export.whole_quote(session, quote_by_number(session, couple))
    (further,) = whole["versions"][-1]["content"]["further"]
    assert further["build"]["size"] == "Large"
    assert "drawing" not in further


def test_the_customer_sees_and_accepts_all_of_it(desk: Desk, view: View, couple: str) -> None:
    assert desk.do(couple, "send").status_code == 303
    token = view(couple).token
    page = desk.get(f"/q/{token}").text
    said = sentences(page)
    assert "Bike 2: Knapweed, size Large" in said
    assert said.count("Geometry as quoted") == 2
    accepted = desk.do(couple, "accept", accepted_by="Ada Marl")
    assert accepted.status_code == 303
    assert view(couple).accepted_version == 2


def test_a_version_of_one_bike_reads_as_it_was(couple: str, view: View) -> None:
    quote: QuoteView = view(couple)
    one = quote.bikes[0].content.model_dump(mode="json")
    del one["further"]
    read = QuoteContent.model_validate(one)
    assert read.further == ()
    assert read == quote.bikes[0].content


def test_any_bike_goes_on_the_bench(desk: Desk, couple: str) -> None:
    for bike in (1, 2):
        shown = desk.get(f"/office/bench/measure?quote={couple}&bike={bike}").text
        there = re.findall(r'bike=(\d)"( aria-current="true")?>Bike \d: ', shown)
        assert [(int(number), bool(here)) for number, here in there] == [
            (1, bike == 1), (2, bike == 2)
        ]  # fmt: skip
    # What is no bike of the quote is told with the form.
    assert "one from 1 to 2" in desk.get(f"/office/bench/measure?quote={couple}&bike=3").text


def test_each_bike_has_its_serial_number(desk: Desk, couple: str) -> None:
    desk.do(couple, "send")
    assert desk.do(couple, "accept", accepted_by="Ada Marl").status_code == 303
    assert step(desk, couple, "order/confirm", promised_on="2026-04-01") == 303
    assert step(desk, couple, "order/deposit", due_on="2026-03-16", how_to_pay="To A.") == 303
    amount = all_fields(desk.page(couple))["amount"]
    paid = {"paid_by": "card", "paid_on": "2026-03-02"}
    assert step(desk, couple, "order/paid", amount=amount, **paid) == 303
    assert step(desk, couple, "order/build") == 303
    assert step(desk, couple, "order/serials", serials="KN 2") == 303
    address = f"/counter/quotes/{couple}/hand-over"
    page = desk.get(address).text
    assert "the serial number" in sentences(page)  # of the other bike
    _, first, second = re.split(r"<h2>Bike \d: Knapweed, size (?:Medium|Large)</h2>", page)
    for at in (first, second):  # the fields of each stand under its own heading
        assert at.count('name="set_') > 3
        assert at.count('name="check_') == 6
    assert 'name="cranks"' in first
    assert f'name="{key_of(2, "cranks")}"' in second
    assert step(desk, couple, "order/serials", serials="KN 2, KN 1, KN 3") == 422
    # However the two are typed from now on, the first keeps the bike it was given to.
    assert step(desk, couple, "order/serials", serials="KN 1, KN 2") == 303
    form = {name: value for name, value in all_fields(desk.get(address).text).items() if value}
    assert form["serials"] == "KN 2, KN 1"
    assert desk.post(address, form).status_code == 303
    paper = pdf_text(desk.get(f"{address}.pdf").content)
    assert "Bike 1: KN 2, Bike 2: KN 1" in paper


def test_what_a_rider_says_is_of_the_bike_they_rode(desk: Desk, app: FastAPI, couple: str) -> None:
    address = f"/counter/quotes/{couple}/outcome"
    for bike, size, said in ((1, "m", "short"), (2, "l", "long")):
        shown = desk.get(f"{address}?bike={bike}").text
        assert f"Bike {bike}: Knapweed" in shown
        form = all_fields(shown)
        assert form["size_ridden"] == size  # as that bike was quoted
        assert float(form["stature"]) == {1: 1720, 2: 1850}[bike]  # whoever rides it
        form |= {"bike": str(bike), "moment": "after_ride", "length": said, "consent": ""}
        done = desk.post(address, form)
        assert done.status_code == 303, sentences(done.text)[:2000]
        again = sentences(desk.get(done.headers["location"]).text)
        assert f"{said}, without measurements" in again
    with reading(app.state.engine) as session:
        kept = outcomes_of_quote(session, couple)
        counted = outcomes_of_model(session, "knapweed")
    assert [(each.bike, each.size_ridden, each.length) for each in kept] == [
        (1, "m", -1), (2, "l", 1)
    ]  # fmt: skip
    assert len([each for each in counted if each.quote_number == couple]) == 2
    assert desk.get(f"{address}?bike=3").status_code == 404
    assert desk.post(address, {"bike": "7"}).status_code == 422
