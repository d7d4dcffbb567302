"""Sending from the counter: into the outbox with what it tells of, never waiting for a server."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

import pytest
from fastapi import FastAPI
from sqlmodel import select

from tests.webapp.builds.plain_words import codes_of, read_by_nobody
from tests.webapp.counter.conftest import Desk, PutQuote
from tests.webapp.mail.mail_settings import with_mail
from webapp.catalogue.reading.views import Catalogue
from webapp.common.settings import Settings
from webapp.common.storage.database import reading
from webapp.mail.tables import Mail
from webapp.quote.storage.read import QuoteView


@pytest.fixture
def settings(settings: Settings) -> Settings:
    """Settings with a mail server that is not there, let in under other names as well."""
    return with_mail(settings, allowed_hosts="testserver, evil.example")


def mails(app: FastAPI) -> list[Mail]:
    with reading(app.state.engine) as session:
        return list(session.exec(select(Mail).order_by(Mail.key)).all())


def test_a_version_sent_and_an_answer_are_mailed_once(
    desk: Desk, quote: PutQuote, app: FastAPI, view: Callable[[str], QuoteView]
) -> None:
    asked = quote()
    desk.terms(asked.number, message="Good to meet you.")
    form = desk.hidden(desk.page(asked.number))
    address = f"/counter/quotes/{asked.number}/send"
    assert [desk.post(address, form).status_code for _ in range(2)] == [303, 303]
    assert desk.do(asked.number, "answer", text="On Friday.").status_code == 303
    answer, sent = mails(app)
    assert sent.to_mail == "ada@marl.example"
    assert f"http://shop.example/q/{asked.token}" in sent.body
    assert "Good to meet you." in sent.body
    assert "version 2" in sent.body
    assert "On Friday." in answer.body
    page = desk.page(asked.number)
    assert "to ada@marl.example, waiting" in page


def test_nothing_is_mailed_when_sending_is_refused(
    desk: Desk, quote: PutQuote, app: FastAPI
) -> None:
    asked = quote()
    form = desk.hidden(desk.page(asked.number)) | {"seen": "7"}
    assert desk.post(f"/counter/quotes/{asked.number}/send", form).status_code == 409
    assert mails(app) == []


def test_a_customer_without_an_address_gets_no_mail(
    desk: Desk, quote: PutQuote, app: FastAPI
) -> None:
    asked = quote()
    desk.terms(asked.number, mail="")
    assert desk.do(asked.number, "send").status_code == 303
    assert mails(app) == []
    assert "To no mail address" in desk.page(asked.number)


def test_without_a_public_address_the_counter_shows_messages_to_copy(
    desk: Desk, quote: PutQuote, app: FastAPI, settings: Settings
) -> None:
    asked = quote()
    app.state.settings = settings.model_copy(update={"base_url": None})
    assert desk.do(asked.number, "send").status_code == 303
    assert mails(app) == []
    assert "and mailed" not in desk.page(asked.number)


def test_a_forged_host_is_in_no_mail_of_the_counter(
    desk: Desk, quote: PutQuote, app: FastAPI
) -> None:
    asked = quote()
    desk.client.headers["Host"] = "evil.example"
    assert desk.do(asked.number, "send").status_code == 303
    assert desk.do(asked.number, "answer", text="On Friday.").status_code == 303
    written = " ".join(mail.body for mail in mails(app))
    assert written.count(f"http://shop.example/q/{asked.token}") == 2
    assert "evil" not in written


@pytest.mark.parametrize("model", ["knapweed", "burdock"])
def test_no_mail_holds_a_code(
    model: str,
    desk: Desk,
    quote: PutQuote,
    app: FastAPI,
    catalogues: Mapping[tuple[str, int], Catalogue],
) -> None:
    asked = quote(model=model)
    desk.terms(asked.number, message="Good to meet you.")
    desk.post(f"/counter/quotes/{asked.number}/send", desk.hidden(desk.page(asked.number)))
    desk.do(asked.number, "answer", text="On Friday.")
    codes = codes_of(catalogues.values())
    sent = mails(app)
    assert len(sent) >= 2
    for mail in sent:
        words = re.sub(r"https?://\S+|\S+@\S+", "", f"{mail.subject}. {mail.body}")
        lines = [line for line in words.splitlines() if line.strip()]
        assert [found for line in lines if (found := read_by_nobody(line, codes))] == []
