"""The counter says that a mail went out when it did, and why where it did not; none goes twice."""

from __future__ import annotations

import re
import smtplib
from collections.abc import Callable
from datetime import datetime

from fastapi import FastAPI

from tests.webapp.counter.conftest import Clock, Desk, PutQuote, sentences
from tests.webapp.counter.test_mailing import mails, settings
from webapp.common.settings import Settings
from webapp.mail.outbox import Taken
from webapp.mail.sending import Postman
from webapp.quote.storage.write import mail_given_up

__all__ = ["settings"]

REFUSED = smtplib.SMTPRecipientsRefused({"ada@marl.example": (550, b"no such user")})


def deliver(app: FastAPI, at: Clock, refusal: Exception | None = None) -> int:
    def send(_mail: Taken, _at: datetime, handing: Callable[[], None]) -> None:
        if refusal:
            raise refusal
        handing()

    return Postman(app.state.engine, send, clock=at, given_up=mail_given_up).round()


def send_again(desk: Desk, number: str, form: dict[str, str]) -> int:
    return desk.post(f"/counter/quotes/{number}/send", form).status_code


def test_two_windows_send_once(desk: Desk, quote: PutQuote, app: FastAPI) -> None:
    number = quote().number
    windows = [desk.hidden(desk.page(number)) for _ in range(2)]
    assert [send_again(desk, number, form) for form in windows] == [303, 409]
    assert len(mails(app)) == 1
    refused = desk.post(f"/counter/quotes/{number}/send", windows[0] | {"key": "k" * 24})
    assert "nothing was sent a second time" in sentences(refused.text)
    assert send_again(desk, number, desk.hidden(desk.page(number))) == 303  # meant so
    assert len(mails(app)) == 2


def test_two_windows_send_a_new_version_once(desk: Desk, quote: PutQuote, app: FastAPI) -> None:
    number = quote().number
    desk.terms(number, message="Good to meet you.")
    windows = [desk.hidden(desk.page(number)) for _ in range(2)]
    assert [send_again(desk, number, form) for form in windows] == [303, 409]
    assert len(mails(app)) == 1


def test_two_windows_answer_once(desk: Desk, quote: PutQuote, app: FastAPI) -> None:
    number = quote().number
    windows = [desk.hidden(desk.page(number)) | {"text": "On Friday."} for _ in range(2)]
    answers = [desk.post(f"/counter/quotes/{number}/answer", form) for form in windows]
    assert [answer.status_code for answer in answers] == [303, 409]
    assert "given already" in sentences(answers[1].text)
    assert len(mails(app)) == 1
    assert desk.do(number, "answer", text="On Friday, at ten.").status_code == 303


def test_it_is_said_what_became_of_the_mail(
    desk: Desk, quote: PutQuote, app: FastAPI, at: Clock
) -> None:
    number = quote().number
    assert "No mail went with version 1" in sentences(desk.page(number))
    desk.do(number, "send")
    waiting = sentences(desk.page(number))
    assert "The mail with version 1 to ada@marl.example is not sent yet." in waiting
    assert "was mailed" not in waiting
    deliver(app, at)
    said = sentences(desk.page(number))
    assert re.search(r"Version 1 was mailed to ada@marl\.example on \d+ \w+ 2026", said)


def test_a_refusal_is_said_on_the_desk_and_with_the_quote(
    desk: Desk, quote: PutQuote, app: FastAPI, at: Clock
) -> None:
    number = quote().number
    desk.do(number, "settle")
    desk.do(number, "send")
    assert f"/counter/quotes/{number}" not in desk.get("/counter").text.partition("found")[0]
    deliver(app, at, REFUSED)
    said = "the mail server refused the address: 550 no such user"
    assert f"got no mail (mail not sent: {said})" in sentences(desk.get("/counter").text)
    page = sentences(desk.page(number))
    assert f"The mail with version 1 to ada@marl.example was given up: {said}." in page
    desk.do(number, "settle")
    assert "got no mail" not in sentences(desk.get("/counter").text)


def test_without_mail_nothing_claims_to_be_sent(
    desk: Desk, quote: PutQuote, app: FastAPI, settings: Settings
) -> None:
    app.state.settings = settings.model_copy(update={"smtp_host": None})
    number = quote().number
    desk.terms(number, message="Good to meet you.")
    assert "Open to the customer: version 2" in desk.page(number)
    desk.do(number, "send")
    page, listed = sentences(desk.page(number)), sentences(desk.get("/counter").text)
    assert "No mail went with version 2: this service sends no mail." in page
    assert "opened to the customer, version 2" in page
    assert "Send again" not in page
    for text in (page, listed):
        assert "Sent" not in text
        assert " sent " not in text.replace("draft, sent", "")
