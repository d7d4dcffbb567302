"""A day at the counter: walk-in, web request, change of mind, discount, acceptance, reprint."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Callable
from datetime import date

import pypdf
import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlmodel import select

from tests.webapp.counter.conftest import SAME, Clock, Desk, PutQuote, SignIn, all_fields
from webapp.catalogue.writing import publish, put_draft, put_size
from webapp.catalogue.writing_parts import put_part_price, retire_part
from webapp.ground.database import reading, writing
from webapp.quote.finding import QuoteView
from webapp.quote.tables import Quote, QuoteEvent, QuoteVersion

View = Callable[[str], QuoteView]


def numbers(html: str) -> list[str]:
    return re.findall(r'href="/counter/quotes/(2[0-9-]+)"', html)


def pdf_text(content: bytes) -> str:
    pages = pypdf.PdfReader(io.BytesIO(content)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def make(desk: Desk, name: str = "Bo Loam", query: str = "size=m", **fields: str) -> str:
    """A new quote for a walk-in; gives its number."""
    page = desk.get(f"/counter/new/knapweed?{query}").text
    form = all_fields(page)
    answer = desk.post(
        f"/counter/new/knapweed?{query}", {"name": name, "key": form["key"]} | fields
    )
    assert answer.status_code == 303, answer.text
    return answer.headers["location"].rpartition("/")[2]


def sentences(html: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


def test_a_walk_in_has_a_quote_in_two_forms(desk: Desk, view: View) -> None:
    number = make(desk)
    made = view(number)
    assert (made.state, made.version, made.created_by) == ("draft", 1, "Edda")
    assert made.customer.name == "Bo Loam"
    page = desk.page(number)
    assert "Draft: the customer has not seen it." in page
    assert "Knapweed, Medium" in page


def test_the_same_form_sent_twice_makes_one_quote(desk: Desk, app: FastAPI) -> None:
    key = "k" * 24
    first = make(desk, key=key)
    assert make(desk, key=key) == first
    with reading(app.state.engine) as session:
        assert len(session.exec(select(Quote)).all()) == 1


def test_a_web_request_waits_in_the_inbox_until_answered(
    desk: Desk, quote: PutQuote, at: Clock
) -> None:
    assert "Nobody waits for the shop." in desk.get("/counter").text
    asked = quote()
    at.turn(hours=2)
    page = desk.get("/counter").text
    assert "new request" in page
    assert "2 hours" in page
    assert desk.do(asked.number, "answer", text="We will build it gladly.").status_code == 303
    assert "Nobody waits for the shop." in desk.get("/counter").text
    assert "We will build it gladly." in desk.client.get(f"/q/{asked.token}").text


def test_the_inbox_has_requests_first_and_then_who_waits_longest(
    desk: Desk, quote: PutQuote, client: TestClient, at: Clock
) -> None:
    asks = []
    for _ in range(2):
        asked = quote()
        desk.do(asked.number, "settle")
        at.turn(hours=1)
        client.post(f"/q/{asked.token}/question", data={"text": "In green?"})
        asks.append(asked.number)
    newest = quote().number
    inbox = desk.get("/counter").text.partition('id="found"')[0]
    assert numbers(inbox) == [newest, *asks]


def test_nobody_sees_a_draft_before_it_is_sent(desk: Desk, view: View, client: TestClient) -> None:
    number = make(desk)
    token = view(number).token
    assert client.get(f"/q/{token}").status_code == 404
    assert desk.do(number, "send").status_code == 303
    assert client.get(f"/q/{token}").status_code == 200


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
        off_fork_reason="scratched", deposit="50",
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
        ({"destination": "moon"}, "one of eu, abroad"),
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


def test_another_size_makes_a_version_at_todays_prices_under_the_same_terms(
    desk: Desk, quote: PutQuote, view: View
) -> None:
    asked = quote()
    desk.terms(asked.number, discount="100.00", discount_reason="fair weather")
    now = view(asked.number)
    address = f"/counter/quotes/{asked.number}/build"
    page = desk.get(f"{address}?model=knapweed&{now.content.build.query}").text
    assert "Make version 3 with this build" in page
    form = all_fields(page) | {"build": f"knapweed?{now.content.build.query}".replace(
        "size=m", "size=xl")}  # fmt: skip
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
    assert "Theirs: From Edda" in said
    assert "Yours: From Holt" in said
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


def test_a_failed_check_stays_a_draft_with_the_failure_printed_on_it(
    desk: Desk, view: View, app: FastAPI
) -> None:
    # A tyre of 76 mm where the builder states at most 72.
    number = make(desk, query="size=m&tyre_rear=76-622")
    made = view(number)
    assert made.content.outcomes("no"), [c.key for c in made.content.checks]
    page = desk.page(number)
    assert "It cannot be sent" in page
    assert "Send version" not in page
    refused = desk.do(number, "send")
    assert refused.status_code == 403
    assert view(number).state == "draft"
    for copy in ("customer", "workshop"):
        sheet = desk.get(f"/counter/quotes/{number}/sheet.pdf?copy={copy}")
        assert "Draft, not to be ordered. Failed:" in pdf_text(sheet.content)


def test_a_copy_is_a_draft_of_its_own(desk: Desk, quote: PutQuote, view: View) -> None:
    asked = quote()
    desk.terms(asked.number, delivery="40.00")
    copied = desk.do(asked.number, "copy")
    number = copied.headers["location"].rpartition("/")[2]
    assert number != asked.number
    made = view(number)
    assert (made.state, made.version, made.content.deal.delivery_minor) == ("draft", 1, 4000)
    assert made.customer == view(asked.number).customer
    assert made.token != asked.token


def test_a_reprint_is_the_same_after_new_parts_prices_and_a_new_revision(
    desk: Desk, quote: PutQuote, view: View, app: FastAPI
) -> None:
    asked = quote(slot="7.5")
    desk.terms(asked.number, discount="5 %", discount_reason="rain")
    addresses = [
        f"/counter/quotes/{asked.number}/sheet.pdf?version={v}&copy={c}"
        for v in (1, 2) for c in ("customer", "workshop")
    ]  # fmt: skip
    before = [desk.get(address).content for address in addresses]
    change_catalogue(app)
    assert [desk.get(address).content for address in addresses] == before
    # A change of terms keeps figures and list prices; only another build takes new ones.
    desk.terms(asked.number, delivery="40.00")
    kept = view(asked.number).content
    assert kept.price.lines == asked.content.price.lines
    assert kept.figures == asked.content.figures
    page = desk.get(f"/counter/quotes/{asked.number}/build?model=knapweed&{kept.build.query}").text
    assert "In the revision now offered" in page


def change_catalogue(app: FastAPI) -> None:
    """New prices, a part gone, and a new revision with other geometry."""
    from webapp.catalogue.reading import load_catalogue

    with writing(app.state.engine) as session:
        catalogue = load_catalogue(session, "knapweed")
        put_part_price(
            session, who="t", price_list="eur-2026", kind="fork",
            slug=catalogue.offered("fork")[0].slug, minor=99_900,
        )  # fmt: skip
        retire_part(session, who="t", kind="saddle", slug=catalogue.offered("saddle")[0].slug)
        data = catalogue.revision.data.model_dump(mode="json")
        draft = put_draft(session, who="t", model="knapweed", data=data, changelog="Longer")
        for size in catalogue.sizes:
            put_size(
                session, who="t", model="knapweed", revision=draft.number, slug=size.slug,
                name=size.name, position=size.position, data=size.data.model_dump(mode="json"),
            )  # fmt: skip
        publish(session, who="t", model="knapweed", revision=draft.number, on=date(2026, 3, 2))


def test_acceptance_under_the_link_with_name_and_time(
    desk: Desk, quote: PutQuote, client: TestClient, view: View
) -> None:
    asked = quote()
    form = all_fields(client.get(f"/q/{asked.token}").text)
    accepted = client.post(
        f"/q/{asked.token}/accept",
        data={"version": "1", "key": form["key"], "accepted_by": " Ada  Marl "},
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
        f"/q/{asked.token}/accept", data={"version": "1", "accepted_by": "Somebody Else"}
    )
    assert again.status_code == 409
    assert "Ada Marl" in client.get(f"/q/{asked.token}").text


def test_the_same_acceptance_sent_twice_is_one(
    quote: PutQuote, client: TestClient, app: FastAPI
) -> None:
    asked = quote()
    form = {"version": "1", "key": "k" * 24, "accepted_by": "Ada"}
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
    form = {"version": "1", "accepted_by": "Ada"}
    assert client.post(f"/q/{asked.token}/accept", data=form).status_code == 409
    desk.client.cookies.clear()


def test_a_clock_put_right_puts_the_quote_right(
    quote: PutQuote, client: TestClient, at: Clock
) -> None:
    asked = quote()
    at.turn(days=400)
    form = {"version": "1", "accepted_by": "Ada"}
    assert client.post(f"/q/{asked.token}/accept", data=form).status_code == 409
    at.turn(days=-400)
    assert client.post(f"/q/{asked.token}/accept", data=form).status_code == 303


def test_a_version_sent_meanwhile_is_read_before_it_is_accepted(
    desk: Desk, quote: PutQuote, client: TestClient, view: View
) -> None:
    asked = quote()
    desk.terms(asked.number, delivery="40.00")
    desk.do(asked.number, "send")
    refused = client.post(f"/q/{asked.token}/accept", data={"version": "1", "accepted_by": "Ada"})
    assert refused.status_code == 409
    assert "The shop has sent a newer version" in refused.text
    accepted = client.post(f"/q/{asked.token}/accept", data={"version": "2", "accepted_by": "Ada"})
    assert accepted.status_code == 303
    assert view(asked.number).state == "accepted"


@pytest.mark.parametrize("name", ["", "   ", "x" * 121, "\x00\u202e"])
def test_an_acceptance_needs_a_name(quote: PutQuote, client: TestClient, name: str) -> None:
    asked = quote()
    form = {"version": "1", "accepted_by": name}
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
        ("accept", {"version": "1", "accepted_by": "A"}),
        ("question", {"text": "?"}),
    ):
        assert client.post(f"/q/{token}/{what}", data=form).status_code in {404, 414}


def test_states_change_only_as_drawn(desk: Desk, quote: PutQuote, view: View) -> None:
    number = make(desk)
    assert desk.do(number, "accept", accepted_by="Bo").status_code == 409
    assert desk.do(number, "decline").status_code == 409
    assert desk.do(number, "send").status_code == 303
    assert desk.do(number, "withdraw", text="Ordered elsewhere").status_code == 303
    assert view(number).state == "withdrawn"
    for what in ("accept", "decline", "withdraw", "send"):
        assert desk.do(number, what, accepted_by="Bo").status_code == 409, what
    desk.terms(number, delivery="40.00")
    assert desk.do(number, "send").status_code == 303
    assert desk.do(number, "accept", accepted_by="Bo").status_code == 303
    assert view(number).state == "accepted"
    assert desk.do(number, "withdraw").status_code == 409
    assert "Ordered elsewhere" in desk.page(number)


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


def test_who_did_what_is_kept(desk: Desk, sign_in: SignIn, quote: PutQuote, app: FastAPI) -> None:
    asked = quote()
    desk.terms(asked.number, delivery="1")
    sign_in("builder", "Holt").do(asked.number, "send")
    with reading(app.state.engine) as session:
        said = [(e.who, e.what, e.version) for e in session.exec(select(QuoteEvent)).all()]
        made = [v.created_by for v in session.exec(select(QuoteVersion)).all()]
    assert said == [("rider", "asked", 1), ("Edda", "new version", 2), ("Holt", "sent", 2)]
    assert made == ["rider", "Edda"]


def test_search_finds_as_one_types_and_pages_by_key(desk: Desk, app: FastAPI, at: Clock) -> None:
    from webapp.quote.search import PAGE

    one = make(desk, "Märta Silt", mail="marta@silt.example")
    for n in range(PAGE):
        make(desk, f"Bo {n}")
    desk.client.headers["HX-Request-Type"] = "partial"
    for words in ("marta", "MÄRT si", "marta@silt", one, "draft märta", "märta 2026-03-02"):
        assert numbers(desk.get(f"/counter?q={words}").text) == [one], words
    assert numbers(desk.get("/counter?q=marta accepted").text) == []
    first = desk.get("/counter?q=bo").text
    assert len(numbers(first)) == PAGE
    everything = desk.get("/counter").text
    later = re.search(r'href="(/counter\?before=[0-9]+)" rel="next"', everything)
    assert later
    second = desk.get(later[1]).text
    assert numbers(second) == [one]
    back = re.search(r'href="(/counter\?after=[0-9]+)" rel="prev"', second)
    assert back
    assert numbers(desk.get(back[1]).text) == numbers(everything)


@pytest.mark.parametrize(
    "query", ['"', "' OR 1=1", "a*", "NEAR(", "AND OR NOT", "é" * 300, "\x00", "%", "\u202e", "{}"]
)
def test_any_text_can_be_looked_for(desk: Desk, quote: PutQuote, query: str) -> None:
    quote()
    assert desk.client.get("/counter", params={"q": query}).status_code == 200


def test_a_list_takes_few_queries(desk: Desk, quote: PutQuote, app: FastAPI) -> None:
    from sqlalchemy import event

    for _ in range(3):
        quote()
    seen: list[str] = []

    def note(_connection: object, _cursor: object, statement: str, *_: object) -> None:
        if statement.startswith("SELECT"):
            seen.append(statement)

    event.listen(app.state.engine, "before_cursor_execute", note)
    desk.get("/counter?q=ada")
    event.remove(app.state.engine, "before_cursor_execute", note)
    assert len(seen) == 3, seen  # who asks, what is found, who waits


def test_exports_hold_every_quote_and_no_formula(desk: Desk, app: FastAPI) -> None:
    make(desk, '=HYPERLINK("http://evil.example")')
    make(desk, 'Zwei\u0308, "Komma"')
    table = desk.get("/counter/records/quotes.csv")
    assert table.text.splitlines()[0].startswith("number,state,made,")
    assert "'=HYPERLINK" in table.text
    rows = json.loads(desk.get("/counter/records/quotes.json").text)
    assert [row["number"] for row in rows] == ["2026-0001", "2026-0002"]
    version = rows[1]["versions"][0]
    assert version["customer"]["name"] == 'Zweï, "Komma"'
    assert version["content"]["price"]["gross"]["minor"] == 460800
    assert [event["what"] for event in rows[0]["events"]] == ["made at the counter"]


def test_a_message_to_copy_where_no_mail_is_set_up(desk: Desk, quote: PutQuote) -> None:
    asked = quote()
    page = desk.page(asked.number)
    assert f"http://testserver/q/{asked.token}" in page
    assert "mailto:ada%40marl.example?subject=" in page


def test_pages_of_the_counter_are_kept_by_no_cache(desk: Desk, quote: PutQuote) -> None:
    asked = quote()
    for path in ("/counter", f"/counter/quotes/{asked.number}", "/counter/records/quotes.csv"):
        assert desk.get(path).headers["Cache-Control"] == "private, no-store"


def test_forms_of_other_sites_are_refused(desk: Desk, quote: PutQuote, view: View) -> None:
    asked = quote()
    form = desk.hidden(desk.page(asked.number))
    headers = SAME | {"Sec-Fetch-Site": "cross-site"}
    answer = desk.client.post(
        f"/counter/quotes/{asked.number}/withdraw", data=form, headers=headers
    )
    assert answer.status_code == 403
    assert view(asked.number).state == "sent"
