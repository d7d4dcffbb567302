"""The inbox by what waits for whom, and reminders written over and sent by a person."""

from __future__ import annotations

from datetime import date

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
    numbers,
    sentences,
)
from tests.webapp.mail.mail_settings import with_mail
from webapp.common.settings import Settings
from webapp.common.storage.database import reading, writing
from webapp.mail.tables import Mail
from webapp.quote.lifecycle.order_steps import Step, ask_deposit, confirm_order
from webapp.quote.storage.read import quote_by_number


@pytest.fixture
def settings(settings: Settings) -> Settings:
    """Settings with a mail server that is not there: what is sent waits in the outbox."""
    return with_mail(settings, allowed_hosts="testserver")


def groups(desk: Desk) -> tuple[str, str]:
    """What waits for the shop, and what the shop waits for."""
    page = desk.get("/counter").text
    inbox = page.partition('id="inbox"')[2].partition('id="found"')[0]
    ours, _, theirs = inbox.partition("Waiting for the customer")
    return ours, theirs


def test_requests_wait_for_us_and_what_ends_this_week_for_the_customer(
    desk: Desk, sign_in: SignIn, quote: PutQuote, at: Clock
) -> None:
    asked = quote().number
    draft = make(desk, "Bo Loam")
    assert numbers(groups(desk)[0]) == [asked]
    assert numbers(groups(desk)[1]) == []
    desk.do(asked, "answer", text="Of course.")
    at.turn(days=24)  # valid for 30 days: six left
    desk = sign_in(name="Jory")
    ours, theirs = groups(desk)
    assert asked not in ours
    assert numbers(theirs) == [asked]
    assert f"/counter/quotes/{asked}/remind" in theirs
    assert draft not in theirs
    at.turn(days=7)
    assert numbers(groups(sign_in(name="Ragna"))[1]) == []  # over: nothing to be reminded of


def test_an_open_deposit_waits_for_the_customer_and_a_late_bike_for_us(
    desk: Desk, sign_in: SignIn, app: FastAPI, at: Clock
) -> None:
    number = make(desk, "Ada Marl")
    desk.do(number, "send")
    desk.do(number, "accept", accepted_by="Ada Marl")
    with writing(app.state.engine) as session:
        row, step = quote_by_number(session, number), Step(who="Edda", at=at())
        confirm_order(session, row, step, promised_on=date(2026, 3, 9))
        ask_deposit(session, row, step, due_on=date(2026, 3, 5), text="")
    ours, theirs = groups(desk)
    assert "deposit open" in theirs
    at.turn(days=10)
    ours, theirs = groups(sign_in(name="Jory"))
    assert "deposit overdue" in theirs
    assert "late" in ours
    letter = sign_in(name="Ragna").get(f"/counter/quotes/{number}/remind").text
    assert "has not reached us yet" in letter


def test_a_reminder_goes_as_it_was_written_once_and_is_kept(
    desk: Desk, sign_in: SignIn, app: FastAPI, quote: PutQuote, at: Clock, view: View
) -> None:
    number = quote().number
    desk.do(number, "settle")
    at.turn(days=26)
    desk = sign_in(name="Jory")
    page = desk.get(f"/counter/quotes/{number}/remind")
    form = all_fields(page.text)
    assert "is valid until 1 April 2026" in form["text"]
    assert f"/q/{view(number).token}" in form["text"]
    form["text"] = "Good day Ada,\n\nstill interested?"
    refused = desk.post(f"/counter/quotes/{number}/remind", form | {"text": " "})
    assert refused.status_code == 422
    for _ in range(2):
        assert desk.post(f"/counter/quotes/{number}/remind", form).status_code == 303
    history = sentences(desk.page(number))
    assert history.count("Jory: reminded the customer, version 1") == 1
    assert "still interested?" in history
    assert "Reminded on 28 March 2026" in groups(desk)[1]
    with reading(app.state.engine) as session:
        mails = session.exec(select(Mail).where(Mail.about == number)).all()
    assert [mail.body for mail in mails if mail.key.startswith("reminded")] == [form["text"]]


def test_nobody_is_reminded_of_what_is_answered_or_their_turn_no_longer(
    desk: Desk, quote: PutQuote
) -> None:
    number = quote().number
    assert "/remind" in desk.page(number)
    desk.do(number, "decline", text="")
    assert "/remind" not in desk.page(number)
    form = all_fields(desk.get(f"/counter/quotes/{number}/remind").text)
    assert desk.post(f"/counter/quotes/{number}/remind", form).status_code == 409
