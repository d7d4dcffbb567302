"""Changing a quote: terms, another build, two people at once, and what is refused."""

from __future__ import annotations

import pytest
from fastapi.testclient import TestClient

from tests.webapp.counter.conftest import (
    Desk,
    PutQuote,
    SignIn,
    View,
    all_fields,
    sentences,
)


def test_terms_make_a_new_version_and_the_customer_keeps_the_old_until_it_is_sent(
    desk: Desk, quote: PutQuote, view: View, client: TestClient
) -> None:
    asked = quote()
    made = desk.terms(
        asked.number, discount="5 %", discount_reason="second bike", delivery="45.00",
        delivery_words="by van", message="Good to meet you.", workshop_note="Red cables",
    )  # fmt: skip
    assert made.status_code == 303
    now = view(asked.number)
    listed = asked.content.price.gross.minor
    assert now.version == 2
    assert now.content.price.gross.minor == listed - round(listed * 0.05) + 4500
    totals = [(t.label, t.amount) for t in now.content.price.totals]
    assert totals[0] == ("Sum", asked.content.price.gross.printed)
    assert totals[1][0] == "Discount 5 %: second bike"
    assert totals[2] == ("Delivery: by van", "45.00 EUR")
    assert "second bike" not in client.get(f"/q/{asked.token}").text
    desk.do(asked.number, "send")
    shown = client.get(f"/q/{asked.token}").text
    assert "second bike" in shown
    assert "Good to meet you." in shown
    assert "Red cables" not in shown


def test_line_discounts_quantity_and_destination(desk: Desk, quote: PutQuote, view: View) -> None:
    asked = quote()
    lines = {line.key: line.amount.minor for line in asked.content.price.lines}
    desk.terms(
        asked.number, quantity="2", destination="abroad", off_fork="10 %",
        off_fork_reason="scratched", deposit="50 %",
    )  # fmt: skip
    price = view(asked.number).content.price
    net = {key: minor - round(minor * 19 / 119) for key, minor in lines.items()}
    off = round(net["fork"] * 2 / 10)
    assert price.net.minor == sum(net.values()) * 2 - off
    assert (price.tax.minor, price.gross) == (0, price.net)
    assert price.deposit.minor == (price.gross.minor + 1) // 2
    by_key = {line.key: line for line in price.lines}
    assert by_key["fork"].item.startswith("2 × ")
    assert by_key["off_fork"].item == "10 %: scratched"
    assert by_key["off_fork"].amount.minor == -off
    assert "Import duties" in " ".join(view(asked.number).content.terms)


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"discount": "5 %"}, "why it is given"),
        ({"discount": "500 %", "discount_reason": "x"}, "from 0 to 100"),
        ({"discount": "999999999", "discount_reason": "x"}, "at most"),
        ({"discount": "much", "discount_reason": "x"}, "an amount such as"),
        ({"discount_reason": "x"}, "how much is taken off"),
        ({"off_fork": "-5", "off_fork_reason": "x"}, "an amount such as"),
        ({"quantity": "0"}, "from 1 to 99"),
        ({"quantity": "1.5"}, "from 1 to 99"),
        ({"delivery": "forty"}, "an amount such as"),
        ({"destination": "moon"}, "one of Elsewhere in the single market, A business"),
        ({"valid_until": "2020-01-01"}, "from today to a year from now"),
        ({"valid_until": "soon"}, "a day such as"),
        ({"deposit": "NaN"}, "a percentage"),
        ({"message": "x" * 2001}, "at most 2000 characters"),
        ({"name": ""}, "write your name"),
        ({"mail": "nobody"}, "write a mail address"),
    ],
)
def test_terms_that_cannot_be_are_refused_in_words_and_kept_in_the_form(
    desk: Desk, quote: PutQuote, view: View, fields: dict[str, str], words: str
) -> None:
    asked = quote()
    answer = desk.terms(asked.number, **fields, lead_time="next spring")
    assert answer.status_code == 422
    assert words in answer.text
    kept = all_fields(answer.text)
    assert kept["lead_time"] == "next spring"
    shown = {name: value for name, value in fields.items() if name != "destination"}
    assert all(kept[name] == value for name, value in shown.items())
    assert view(asked.number).version == 1


def test_another_size_makes_a_version_under_the_same_terms(
    desk: Desk, quote: PutQuote, view: View
) -> None:
    asked = quote()
    desk.terms(asked.number, discount="100.00", discount_reason="fair weather")
    now = view(asked.number)
    address = f"/counter/quotes/{asked.number}/build"
    page = desk.get(f"{address}?model=knapweed&{now.content.build.query}").text
    assert "Make version 3 with this build" in page
    form = all_fields(page) | {"build": f"knapweed?{now.content.build.query}".replace(
        "size=m", "size=xl"), "total": "", "prices": ""}  # fmt: skip
    assert desk.post(address, form).status_code == 303
    larger = view(asked.number)
    assert (larger.version, larger.content.build.size) == (3, "Extra large")
    assert larger.content.deal == now.content.deal
    assert larger.content.price.gross.minor == now.content.price.gross.minor + 6000
    said = sentences(desk.get(f"/counter/quotes/{asked.number}/compare?a=2&b=3").text)
    assert "Size: Extra large instead of Medium." in said
    assert "+60.00 EUR" in said
    assert "Reach unloaded" in said


def test_the_build_page_changes_in_place_and_stays_at_the_counter(
    desk: Desk, quote: PutQuote
) -> None:
    asked = quote()
    address = f"/counter/quotes/{asked.number}/build?model=knapweed&size=l"
    desk.client.headers["HX-Request-Type"] = "partial"
    partial = desk.get(address)
    assert 'hx-target="#counter-make"' in partial.text
    assert "<main" not in partial.text
    assert partial.headers["HX-Replace-Url"].startswith(address.partition("?")[0])
    assert 'href="/build/' not in partial.text


def test_two_people_change_one_quote_and_nothing_is_lost(
    desk: Desk, sign_in: SignIn, quote: PutQuote, view: View
) -> None:
    asked = quote()
    other = sign_in("builder", "Holt")
    forms = [all_fields(d.get(f"/counter/quotes/{asked.number}/terms").text) for d in (desk, other)]
    address = f"/counter/quotes/{asked.number}/terms"
    first = forms[0] | {"discount": "5 %", "discount_reason": "rain", "message": "From Edda"}
    second = forms[1] | {"delivery": "40.00", "message": "From Holt"}
    assert desk.post(address, first).status_code == 303
    both = other.post(address, second)
    assert both.status_code == 409
    said = sentences(both.text)
    assert "Edda has changed this quote meanwhile" in said
    assert "theirs From Edda" in said
    assert "yours From Holt" in said
    merged = all_fields(both.text)
    assert (merged["discount"], merged["delivery"]) == ("5 %", "40.00")
    assert merged["message"] == "From Holt"
    assert view(asked.number).version == 2
    assert other.post(address, merged).status_code == 303
    deal = view(asked.number).content.deal
    assert (deal.delivery_minor, deal.message) == (4000, "From Holt")
    assert deal.whole
    assert view(asked.number).version == 3


def test_one_changes_the_build_while_another_changes_the_terms(
    desk: Desk, sign_in: SignIn, quote: PutQuote, view: View
) -> None:
    asked = quote()
    other = sign_in("staff", "Holt")
    address = f"/counter/quotes/{asked.number}/build"
    built = all_fields(other.get(f"{address}?model=knapweed&size=xl").text)
    desk.terms(asked.number, delivery="40.00")
    both = other.post(address, built)
    assert both.status_code == 409
    merged = all_fields(both.text)
    assert "size=xl" in merged["build"]
    assert other.post(f"/counter/quotes/{asked.number}/terms", merged).status_code == 303
    now = view(asked.number)
    assert (now.content.build.size, now.content.deal.delivery_minor) == ("Extra large", 4000)


def test_a_double_click_makes_one_version(desk: Desk, quote: PutQuote, view: View) -> None:
    asked = quote()
    address = f"/counter/quotes/{asked.number}/terms"
    form = all_fields(desk.get(address).text) | {"delivery": "40.00"}
    assert [desk.post(address, form).status_code for _ in range(2)] == [303, 303]
    assert view(asked.number).version == 2


def test_nothing_changed_makes_no_version(desk: Desk, quote: PutQuote, view: View) -> None:
    asked = quote()
    assert desk.terms(asked.number).status_code == 303
    assert view(asked.number).version == 1


def test_an_old_page_cannot_decide_over_what_it_has_not_shown(
    desk: Desk, sign_in: SignIn, quote: PutQuote, view: View
) -> None:
    asked = quote()
    old = desk.hidden(desk.page(asked.number))
    sign_in("staff", "Holt").terms(asked.number, delivery="40.00")
    address = f"/counter/quotes/{asked.number}"
    refused = desk.post(f"{address}/send", old)
    assert refused.status_code == 409
    assert "Look at it as it is now" in refused.text
    withdrawn = desk.post(f"{address}/withdraw", old | {"text": "typed with care"})
    assert withdrawn.status_code == 409
    assert view(asked.number).state == "sent"


def test_what_was_typed_stands_beside_why_it_was_refused(desk: Desk, quote: PutQuote) -> None:
    asked = quote()
    refused = desk.do(asked.number, "answer", text="y" * 2001)
    assert refused.status_code == 422
    assert "y" * 2001 in refused.text


@pytest.mark.parametrize("seen", ["", "x", "-1", "9" * 30, "999"])
def test_tampered_forms_are_refused(desk: Desk, quote: PutQuote, view: View, seen: str) -> None:
    asked = quote()
    form = desk.hidden(desk.page(asked.number)) | {"seen": seen}
    address = f"/counter/quotes/{asked.number}"
    assert desk.post(f"{address}/withdraw", form).status_code in {409, 422}
    terms = all_fields(desk.get(f"{address}/terms").text) | {"seen": seen, "delivery": "1"}
    assert desk.post(f"{address}/terms", terms).status_code in {404, 409, 422}
    build = {"seen": "1", "key": "k" * 24, "build": "knapweed?size=../../etc&x=<script>"}
    assert desk.post(f"{address}/build", build).status_code in {404, 422}
    assert view(asked.number).version == 1


def test_a_huge_form_is_refused(desk: Desk, quote: PutQuote) -> None:
    asked = quote()
    form = {"seen": "1", "message": "x" * 1_100_000}
    assert desk.post(f"/counter/quotes/{asked.number}/terms", form).status_code == 413
    many = {f"f{n}": "x" for n in range(500)}
    assert desk.post(f"/counter/quotes/{asked.number}/terms", many).status_code == 400


def test_every_version_stays_readable(desk: Desk, quote: PutQuote) -> None:
    asked = quote()
    for amount in ("1", "2", "3"):
        desk.terms(asked.number, delivery=amount)
    for version in range(1, 5):
        page = desk.get(f"/counter/quotes/{asked.number}?version={version}")
        assert page.status_code == 200
    assert desk.get(f"/counter/quotes/{asked.number}?version=5").status_code == 404
    assert desk.get("/counter/quotes/2026-9999").status_code == 404
