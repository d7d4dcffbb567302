"""Orders at the counter and under the customer's link: forms, mails with their papers, refusals."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlmodel import col, select

from tests.webapp.counter.conftest import (
    ORDER,
    SAME_SITE,
    Desk,
    PutQuote,
    pdf_text,
    sentences,
    step,
    steps_on,
)
from tests.webapp.mail.mail_settings import with_mail
from webapp.catalogue.reading.settings import settings_data
from webapp.common.settings import Settings
from webapp.common.storage.database import reading
from webapp.common.timestamps import now
from webapp.mail.outbox import take
from webapp.mail.sending import compose
from webapp.mail.tables import Mail
from webapp.quote.printing.with_mail import papers_with_mail
from webapp.quote.storage.read import QuoteView

SHOP = "bench@cinderholt.example"


@pytest.fixture
def settings(settings: Settings) -> Settings:
    """Settings that send mail, to a server that is not there."""
    return with_mail(settings, allowed_hosts="testserver")


@pytest.fixture
def client(app: FastAPI, monkeypatch: pytest.MonkeyPatch) -> Iterator[TestClient]:
    """The service without a postman at work: the tests look into the outbox themselves."""
    monkeypatch.setattr("webapp.mail.sending.Postman.start", lambda _self: None)
    with TestClient(app, follow_redirects=False, raise_server_exceptions=False) as client:
        yield client


class Customer:
    """Whoever has the link."""

    def __init__(self, client: TestClient, quote: QuoteView) -> None:
        self.client, self.path = client, f"/q/{quote.token}"

    def page(self) -> str:
        return sentences(self.client.get(self.path).text)

    def send(self, what: str, **typed: str) -> int:
        key = re.findall(r'name="key" value="([^"]+)"', self.client.get(self.path).text)[0]
        form = {"key": key} | typed
        answer = self.client.post(f"{self.path}/{what}", data=form, headers=SAME_SITE)
        return int(answer.status_code)

    def order(self) -> None:
        assert self.send("accept", version="1", accepted_by="Ada Marl", **ORDER) == 303


def mails(app: FastAPI) -> list[tuple[str, str, str]]:
    """To whom, what about, and what goes with it; oldest first."""
    with reading(app.state.engine) as session:
        rows = session.exec(select(Mail).order_by(col(Mail.id))).all()
        return [(row.to_mail, row.subject, row.attached) for row in rows]


def test_from_the_order_to_the_hand_over_by_mail(
    desk: Desk, quote: PutQuote, app: FastAPI, client: TestClient
) -> None:
    asked = quote()
    number, customer = asked.number, Customer(client, asked)
    customer.order()
    assert "Version 1 was accepted by Ada Marl" in customer.page()
    assert step(desk, number, "order/confirm", promised_on="2026-04-01") == 303
    with reading(app.state.engine) as session:
        usual = settings_data(session).how_to_pay
        written = session.exec(select(Mail).order_by(col(Mail.id).desc())).first()
    assert usual, "the shop's own words"
    assert written
    assert f"The deposit is 1,375.20 EUR. It is paid like this:\n\n{usual}\n" in written.body
    assert usual in customer.page(), "told once the order is confirmed"
    assert usual in desk.get(f"/counter/quotes/{number}").text, "and proposed where it is asked for"
    assert step(desk, number, "order/deposit", due_on="2026-03-16", how_to_pay="To A.") == 303
    assert usual not in customer.page(), "what was written with the deposit counts then"
    shown = customer.page()
    for words in ("Promised for 1 April 2026", "To A.", "We asked for the deposit of 1,375.20 EUR"):
        assert words in shown
    paid = {"paid_by": "card", "paid_on": "2026-03-02"}
    for wrong in ("", "x", "0", "9999", "1.375"):
        answer = desk.do(number, "order/paid", steps=steps_on(desk, number), amount=wrong, **paid)
        assert answer.status_code == 422
        assert 'id="f-amount-error"' in answer.text
    assert step(desk, number, "order/paid", amount="1.375,20", **paid) == 303
    assert step(desk, number, "order/build") == 303
    assert step(desk, number, "order/ready") == 303
    form = {"serials": "KN 26-014", "cranks": "40 Nm", "stem_bar": "loose", "note": "Bell."}
    form |= {f"check_{at}": "yes" for at in range(6)}
    refused = desk.do(number, "hand-over", steps=steps_on(desk, number), **form)
    assert refused.status_code == 422
    assert 'id="f-stem_bar-error"' in refused.text
    assert 'value="KN 26-014"' in refused.text
    long = re.findall(r'<textarea[^>]*name="set_\d+"[^>]*>([^<]*)<', refused.text)
    short = re.findall(r'<input[^>]*name="set_\d+"[^>]*value="([^"]*)"', refused.text)
    assert short
    assert max(map(len, short)) <= 24 < min(map(len, long), default=25)
    assert step(desk, number, "hand-over", **form | {"stem_bar": "5,5"}) == 303
    sheet = pdf_text(desk.get(f"/counter/quotes/{number}/hand-over.pdf").content)
    for words in ("KN 26-014", "soot black", "40 N·m", "5.5 N·m", "Bell.", "Ada Marl"):
        assert words in sheet
    page = desk.get(f"/counter/quotes/{number}/hand-over").text
    limits = re.findall(r"<b><bdi>(\d+ kg)</bdi></b> <span[^>]*><bdi>([^<]*)<", page)
    assert limits == [
        ("130 kg", "rider and luggage; 148 kg with the bike"),
        ("15 kg", "rear rack"),
        ("3 kg", "under the down tube"),
    ]
    assert client.get(f"{customer.path}/hand-over.pdf").status_code == 404
    assert step(desk, number, "hand-over/done", name="Ada Marl") == 303
    assert step(desk, number, "order/close") == 409
    assert step(desk, number, "order/paid", amount="3208.80", **paid) == 303
    assert step(desk, number, "order/close") == 303
    assert "Handed over to Ada Marl" in pdf_text(
        client.get(f"{customer.path}/hand-over.pdf").content
    )
    ada = "ada@marl.example"
    assert mails(app) == [
        (ada, f"Your order {number} has arrived", f"quote {number} 1"),
        (SHOP, f"Order {number}: version 1 is accepted", ""),
        (ada, f"We confirm your order {number}", ""),
        (ada, f"The deposit for your order {number}", ""),
        (ada, f"1,375.20 EUR received for order {number}", ""),
        (ada, f"Your order {number} is ready", ""),
        (ada, f"Your order {number} is handed over", f"hand-over {number}"),
        (ada, f"3,208.80 EUR received for order {number}", ""),
    ]


def test_papers_go_with_their_mails_and_are_the_same_each_time(
    desk: Desk, quote: PutQuote, app: FastAPI, client: TestClient
) -> None:
    asked = quote()
    Customer(client, asked).order()
    engine = app.state.engine
    attach = papers_with_mail(engine, "http://shop.example")
    taken = take(engine, at=now())
    assert taken is not None
    made = [compose(taken, "s@shop.example", at=now(), attach=attach) for _ in range(2)]
    papers = [next(mail.iter_attachments()) for mail in made]
    assert papers[0].get_filename() == f"quote-{asked.number}-version-1.pdf"
    contents = [paper.get_content() for paper in papers]
    assert contents[0] == contents[1]
    assert "Ada Marl" in pdf_text(contents[0])
    with pytest.raises(ValueError, match="cannot be printed"):
        attach(f"hand-over {asked.number}")


def test_two_windows_note_one_payment(desk: Desk, quote: PutQuote, client: TestClient) -> None:
    asked = quote()
    Customer(client, asked).order()
    step(desk, asked.number, "order/confirm")
    page = desk.page(asked.number)
    typed = {"amount": "500", "paid_by": "cash", "paid_on": "2026-03-02"}
    form = desk.hidden(page) | {"steps": steps_on(desk, asked.number)} | typed
    address = f"/counter/quotes/{asked.number}/order/paid"
    other = form | {"key": "another-window-0123456789"}
    assert [desk.post(address, each).status_code for each in (form, form, other)] == [303, 303, 409]
    assert desk.page(asked.number).count("500.00 EUR paid, cash") == 1


def test_the_customer_cancels_or_asks_to(
    desk: Desk, quote: PutQuote, app: FastAPI, client: TestClient
) -> None:
    early, late = quote(), quote()
    one, two = Customer(client, early), Customer(client, late)
    for each in (one, two):
        each.order()
    assert one.send("cancel", reason=" ") == 422
    assert one.send("cancel", reason="Too dear.") == 303
    assert "Nothing more is built" in one.page()
    step(desk, late.number, "order/confirm")
    step(desk, late.number, "order/paid", amount="500", paid_by="cash", paid_on="2026-03-02")
    assert two.send("cancel", reason="Moving away.") == 303
    assert "You have asked already" in two.page()
    inbox = sentences(desk.get("/counter").text)
    assert "has cancelled" in inbox
    assert "asks to cancel" in inbox
    answer = desk.do(late.number, "order/cancel", steps=steps_on(desk, late.number),
                     reason="As you wish.", kept="501")  # fmt: skip
    assert answer.status_code == 422
    assert "At most 500.00 EUR, which was paid" in answer.text
    assert step(desk, late.number, "order/cancel", reason="As you wish.", kept="120") == 303
    assert "Of 500.00 EUR paid we keep 120.00 EUR; 380.00 EUR is paid back." in two.page()
    back = {"amount": "380", "paid_by": "transfer", "paid_on": "2026-03-02"}
    assert step(desk, late.number, "order/paid-back", **back) == 303
    told = [(to, subject) for to, subject, _ in mails(app)]
    assert (SHOP, f"Order {early.number} is cancelled") in told
    assert (SHOP, f"Order {late.number}: the customer asks to cancel") in told
    for number in (early.number, late.number):
        assert ("ada@marl.example", f"Your order {number} is cancelled") in told
    assert told[-1] == ("ada@marl.example", f"380.00 EUR paid back for order {late.number}")


def test_a_change_is_named_and_can_be_declined(
    desk: Desk, quote: PutQuote, client: TestClient
) -> None:
    asked = quote()
    customer = Customer(client, asked)
    customer.order()
    step(desk, asked.number, "order/confirm")
    desk.terms(asked.number, delivery="80", delivery_words="by carrier")
    assert desk.do(asked.number, "send").status_code == 303
    shown = customer.page()
    assert "We offer you a change to it" in shown
    assert "80.00" in shown
    assert customer.send("decline", declined="Too dear.") == 303
    assert "We offer you a change to it" not in customer.page()
    assert "Confirmed." in sentences(desk.page(asked.number))
