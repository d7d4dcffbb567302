"""A quote asked for on the web is confirmed by mail, where mail is set up."""

from __future__ import annotations

import email
import socket
import threading
from collections.abc import Iterator
from email.policy import default
from typing import Any

import pytest
from aiosmtpd.controller import Controller
from fastapi import FastAPI
from fastapi.testclient import TestClient
from httpx import Response
from sqlmodel import select

from tests.webapp.mail.mail_settings import with_mail
from webapp.common.settings import Settings
from webapp.common.storage.database import reading
from webapp.mail.sending import Postman, send
from webapp.mail.tables import Mail
from webapp.quote.customer_page import pages
from webapp.quote.tables import Quote

BUILD = "/quote/knapweed?slot=7.5"
TYPED = {"name": "Ada Märl", "mail": "ada@marl.example", "note": "Mostly forest.", "key": "k" * 24}


class Box:
    """Keeps what a server was given."""

    def __init__(self) -> None:
        self.mails: list[Any] = []
        self.arrived = threading.Event()

    async def handle_DATA(self, _server: Any, _session: Any, envelope: Any) -> str:
        self.mails.append((envelope, email.message_from_bytes(envelope.content, policy=default)))
        self.arrived.set()
        return "250 Taken"


@pytest.fixture
def box() -> Box:
    """A letter box."""
    return Box()


@pytest.fixture
def with_server(settings: Settings, box: Box) -> Iterator[Settings]:
    """The service's settings with a real SMTP server."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    controller = Controller(box, hostname="127.0.0.1", port=port)
    controller.start()
    yield with_mail(settings, port=port)
    controller.stop()


@pytest.fixture
def mailing(app: FastAPI, client: TestClient, with_server: Settings) -> TestClient:
    """The service with mail set up; its own postman is not at work, the tests are."""
    app.state.settings = with_server
    return client


def ask(client: TestClient, address: str = BUILD, **typed: str) -> Response:
    answer: Response = client.post(address, data=TYPED | typed)
    return answer


def mails(app: FastAPI) -> list[Mail]:
    with reading(app.state.engine) as session:
        return list(session.exec(select(Mail)).all())


def deliver(app: FastAPI, settings: Settings) -> int:
    engine = app.state.engine
    postman = Postman(engine, lambda m, at, handing: send(m, settings, at=at, handing=handing))
    return postman.round()


def test_number_and_private_link_arrive(
    mailing: TestClient, app: FastAPI, with_server: Settings, box: Box
) -> None:
    address = ask(mailing).headers["location"]
    assert box.mails == []  # the page has waited for no mail server
    assert deliver(app, with_server) == 2
    [(envelope, mail), (to_shop, told)] = box.mails
    shop = "bench@cinderholt.example"
    with reading(app.state.engine) as session:
        number = session.exec(select(Quote.number)).one()
    assert (envelope.mail_from, envelope.rcpt_tos) == ("shop@shop.example", ["ada@marl.example"])
    assert number in mail["Subject"]
    assert f"Its number is {number}: Knapweed" in mail.get_content()
    assert f"http://shop.example{address}" in mail.get_content().split()
    assert mails(app)[0].about == number
    assert to_shop.rcpt_tos == [shop]
    assert told["Subject"] == f"New request {number}"
    assert f"http://shop.example/counter/quotes/{number}" in told.get_content().split()
    assert "ada@marl.example" in told.get_content()


def test_the_public_address_of_the_shop_is_in_the_link(
    mailing: TestClient, app: FastAPI, with_server: Settings
) -> None:
    app.state.settings = with_server.model_copy(update={"base_url": "https://shop.example"})
    address = ask(mailing).headers["location"]
    assert f"https://shop.example{address}" in mails(app)[0].body.split()


FORGED = {"Host": "evil.example", "X-Forwarded-Host": "evil.example"}


def test_a_forged_host_is_in_no_mail(
    mailing: TestClient, app: FastAPI, with_server: Settings
) -> None:
    answer = mailing.post(BUILD, data=TYPED, headers=FORGED)
    assert answer.status_code == 303
    mail, told = mails(app)
    assert f"http://shop.example{answer.headers['location']}" in mail.body.split()
    for each in (mail, told):
        assert "evil" not in each.body + each.subject


def test_without_a_public_address_no_mail_is_written(
    mailing: TestClient, app: FastAPI, with_server: Settings
) -> None:
    app.state.settings = with_server.model_copy(update={"base_url": None})
    assert mailing.post(BUILD, data=TYPED, headers=FORGED).status_code == 303
    assert mails(app) == []


def test_a_form_sent_twice_mails_once_and_two_forms_twice(
    mailing: TestClient, app: FastAPI
) -> None:
    assert [ask(mailing).status_code for _ in range(2)] == [303, 303]
    assert len(mails(app)) == 2
    assert ask(mailing, key="m" * 24).status_code == 303
    assert len({mail.key for mail in mails(app)}) == 4


def test_nothing_typed_but_the_address_is_in_it(mailing: TestClient, app: FastAPI) -> None:
    """Nobody can have the shop write words of theirs to somebody else."""
    spam = "Win at https://spam.example"
    ask(mailing, name=spam, note=spam)
    mail, told = mails(app)
    assert told.to_mail.endswith("@cinderholt.example")
    assert mail.to_name == ""
    assert "spam" not in mail.body + mail.subject


@pytest.mark.parametrize(
    ("address", "typed"),
    [
        (BUILD, {"mail": "nobody"}),
        (BUILD, {"name": ""}),
        ("/quote/knapweed?tyre_rear=74-622", {}),  # a failed check
    ],
)
def test_what_is_refused_mails_nothing(
    mailing: TestClient, app: FastAPI, address: str, typed: dict[str, str]
) -> None:
    assert ask(mailing, address, **typed).status_code == 422
    assert mails(app) == []


def test_quote_and_mail_are_written_together_or_not_at_all(
    mailing: TestClient, app: FastAPI, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_given: object, **_named: object) -> bool:
        raise RuntimeError("the disk is full")

    monkeypatch.setattr(pages, "post", fail)
    assert ask(mailing).status_code == 500
    with reading(app.state.engine) as session:
        assert session.exec(select(Quote)).all() == []


def test_without_a_mail_server_nothing_is_written(client: TestClient, app: FastAPI) -> None:
    assert ask(client).status_code == 303
    assert mails(app) == []


def test_the_service_sends_it_by_itself(with_server: Settings, box: Box) -> None:
    from webapp.app import create_app

    app = create_app(with_server)
    with TestClient(
        app,
        follow_redirects=False,
        headers={"Sec-Fetch-Site": "same-origin"},
        base_url="http://shop.example",
    ) as at:
        assert ask(at).status_code == 303
        assert box.arrived.wait(15)
