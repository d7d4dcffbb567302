"""A day at the counter: walk-in, web request, what is sent, copied and printed again."""

from __future__ import annotations

from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlmodel import select

from tests.webapp.counter.conftest import (
    SAME,
    Clock,
    Desk,
    PutQuote,
    SignIn,
    View,
    change_catalogue,
    make,
    numbers,
    pdf_text,
)
from webapp.common.storage.database import reading
from webapp.quote.tables import Quote, QuoteEvent, QuoteVersion


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
    assert "Nobody is waiting for the shop." in desk.get("/counter").text
    asked = quote()
    at.turn(hours=2)
    page = desk.get("/counter").text
    assert "new request" in page
    assert "2 hours" in page
    assert desk.do(asked.number, "answer", text="We will build it gladly.").status_code == 303
    assert "Nobody is waiting for the shop." in desk.get("/counter").text
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


def test_a_failed_check_stays_a_draft_with_the_failure_printed_on_it(
    desk: Desk, view: View, app: FastAPI
) -> None:
    # A tyre of 76 mm where the builder states at most 72.
    number = make(desk, query="size=m&tyre_rear=74-622")
    made = view(number)
    assert made.outcomes("no"), [c.key for c in made.content.checks]
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


def test_who_did_what_is_kept(desk: Desk, sign_in: SignIn, quote: PutQuote, app: FastAPI) -> None:
    asked = quote()
    desk.terms(asked.number, delivery="1")
    sign_in("builder", "Holt").do(asked.number, "send")
    with reading(app.state.engine) as session:
        said = [(e.who, e.what, e.version) for e in session.exec(select(QuoteEvent)).all()]
        made = [v.created_by for v in session.exec(select(QuoteVersion)).all()]
    assert said == [("rider", "asked", 1), ("Edda", "new version", 2), ("Holt", "sent", 2)]
    assert made == ["rider", "Edda"]


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
