"""Another address to sign in with: asked for with the password, proved by a link sent there."""

from __future__ import annotations

import re

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlmodel import select

from tests.webapp.accounts.conftest import PASSWORD, SAME, Clock, MakePerson
from tests.webapp.mail.mail_settings import with_mail
from webapp.common.settings import Settings
from webapp.common.storage.database import reading
from webapp.mail.tables import Mail

NEW = "edda.kiln@elsewhere.example"


@pytest.fixture
def settings(settings: Settings, request: pytest.FixtureRequest) -> Settings:
    """Settings with a mail server that is not there; without any where a test says so."""
    if "without_mail" in request.node.name:
        return settings
    return with_mail(settings, base_url="http://testserver")


def signs_in(client: TestClient, mail: str) -> int:
    form = {"mail": mail, "password": PASSWORD}
    status: int = client.post("/sign-in", data=form, headers=SAME).status_code
    return status


def ask(client: TestClient, mail: str = NEW, present: str = PASSWORD) -> tuple[int, str]:
    form = {"mail": mail, "present": present}
    answer = client.post("/account/address", data=form, headers=SAME)
    return answer.status_code, answer.text


def mails(app: FastAPI) -> dict[str, Mail]:
    """Mails by whom they go to."""
    with reading(app.state.engine) as session:
        return {mail.to_mail: mail for mail in session.exec(select(Mail)).all()}


def link_in(mail: Mail) -> str:
    found = re.search(r"http://testserver(/account/link/address/\S+)", mail.body)
    assert found
    return found[1]


def test_a_link_sent_to_the_new_address_changes_it_and_the_old_one_is_told(
    client: TestClient, app: FastAPI, put_person: MakePerson, at: Clock
) -> None:
    put_person("staff")
    assert signs_in(client, "edda@shop.example") == 303
    status, page = ask(client)
    assert (status, "A link went to" in page) == (200, True)
    link = link_in(mails(app)[NEW])
    assert "edda@shop.example" not in mails(app)
    assert NEW in client.get(link).text
    assert signs_in(client, "edda@shop.example") == 303  # looking changes nothing
    client.cookies.clear()
    assert client.post(link, headers=SAME).status_code == 200
    assert "The mail address of your account was changed" in mails(app)["edda@shop.example"].body
    assert signs_in(client, "edda@shop.example") == 422
    assert signs_in(client, NEW) == 303
    assert client.post(link, headers=SAME).status_code == 404  # works once


def test_what_cannot_be_is_said_at_its_field_and_nothing_is_sent(
    client: TestClient, app: FastAPI, put_person: MakePerson, at: Clock
) -> None:
    put_person("staff")
    put_person("staff", "Jory")
    signs_in(client, "edda@shop.example")
    for mail, present, field in (
        (NEW, "not the password", "present"),
        ("no address", PASSWORD, "mail"),
        ("edda@shop.example", PASSWORD, "mail"),
        ("JORY@shop.example", PASSWORD, "mail"),
    ):
        status, page = ask(client, mail, present)
        assert status == 422, mail
        assert f'id="f-{field}-error"' in page
        assert f'value="{mail}"' in page
    assert mails(app) == {}


def test_a_link_is_for_a_day_and_a_new_one_replaces_it(
    client: TestClient, app: FastAPI, put_person: MakePerson, at: Clock
) -> None:
    put_person("staff")
    signs_in(client, "edda@shop.example")
    ask(client)
    first = link_in(mails(app)[NEW])
    at.turn(minutes=1)
    ask(client, "other@elsewhere.example")
    assert client.get(first).status_code == 404
    second = link_in(mails(app)["other@elsewhere.example"])
    assert client.get(second).status_code == 200
    at.turn(hours=24)
    assert client.post(second, headers=SAME).status_code == 404


def test_an_address_taken_meanwhile_is_not_given_twice(
    client: TestClient, app: FastAPI, put_person: MakePerson, at: Clock
) -> None:
    put_person("staff")
    signs_in(client, "edda@shop.example")
    ask(client, "late@shop.example")
    put_person("staff", "late")
    link = link_in(mails(app)["late@shop.example"])
    assert client.post(link, headers=SAME).status_code == 422
    assert signs_in(client, "edda@shop.example") == 303


def test_without_mail_the_address_is_changed_at_once(
    client: TestClient, put_person: MakePerson, at: Clock
) -> None:
    put_person("staff")
    signs_in(client, "edda@shop.example")
    assert "changed at once" in client.get("/account/address").text
    assert ask(client)[0] == 303
    assert signs_in(client, NEW) == 303
