"""Guessing passwords: waits that grow, a browser that is known, and what the builder sees."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from tests.webapp.accounts.conftest import PASSWORD, Clock, MakePerson, sign_in
from webapp.accounts.limits import ACCOUNT, BROWSER, SENDER
from webapp.app import create_app
from webapp.common.settings import Settings


def stranger(app: FastAPI, address: str = "203.0.113.9") -> TestClient:
    """A browser that has never been here, at some address."""
    return TestClient(
        app, follow_redirects=False, raise_server_exceptions=False, client=(address, 50000)
    )


def guess(client: TestClient, times: int, name: str = "Edda") -> list[int]:
    return [sign_in(client, name, password="wrong") for _ in range(times)]


def test_ten_wrong_passwords_from_anywhere_do_not_lock_out_a_known_browser(
    client: TestClient, app: FastAPI, put_person: MakePerson
) -> None:
    put_person("builder")
    assert sign_in(client) == 303
    client.post("/sign-out", headers={"Sec-Fetch-Site": "same-origin"})
    for number in range(10):
        guess(stranger(app, f"203.0.113.{number}"), 1)
    assert sign_in(stranger(app)) == 429
    assert sign_in(client) == 303


def test_waits_grow_and_end(app: FastAPI, client: TestClient, put_person: MakePerson, at: Clock
) -> None:  # fmt: skip
    put_person("staff")
    thief = stranger(app)
    assert guess(thief, ACCOUNT.free) == [422] * ACCOUNT.free
    waits = []
    for _ in range(10):
        form = {"mail": "edda@shop.example", "password": "wrong"}
        refused = thief.post("/sign-in", data=form)
        assert refused.status_code == 429
        assert "try again in" in refused.text
        assert 'value="edda@shop.example"' in refused.text
        waits.append(int(refused.headers["Retry-After"]))
        at.turn(seconds=waits[-1])
        assert guess(thief, 1) == [422]
    assert waits == [5, 10, 20, 40, 80, 160, 320, 640, 900, 900]
    at.turn(seconds=900)
    assert sign_in(thief) == 303


def test_an_account_that_does_not_exist_is_limited_like_one_that_does(
    app: FastAPI, client: TestClient, put_person: MakePerson
) -> None:
    put_person("staff")
    for number, name in enumerate(("Edda", "Nobody")):
        tries = guess(stranger(app, f"198.51.100.{number}"), ACCOUNT.free + 1, name)
        assert tries == [422] * ACCOUNT.free + [429]


def test_one_sender_is_slowed_whatever_account_is_tried(app: FastAPI, client: TestClient) -> None:
    thief = stranger(app)
    tries = [guess(thief, 1, f"Name{n}")[0] for n in range(SENDER.free + 1)]
    assert tries == [422] * SENDER.free + [429]
    assert guess(stranger(app, "203.0.113.10"), 1, "Name0") == [422]


def test_a_network_of_ipv6_addresses_is_one_sender(app: FastAPI, client: TestClient) -> None:
    for number in range(SENDER.free):
        guess(stranger(app, f"2001:db8:7:1::{number:x}"), 1, f"Name{number}")
    assert guess(stranger(app, "2001:db8:7:1:ffff::1"), 1, "Other") == [429]
    assert guess(stranger(app, "2001:db8:7:2::1"), 1, "Other") == [422]


def test_right_passwords_use_nothing_up(client: TestClient, put_person: MakePerson) -> None:
    put_person("staff")
    for _ in range(SENDER.free + 5):
        client.cookies.clear()
        assert sign_in(client) == 303


def test_a_known_browser_has_its_own_tries_and_no_more(
    app: FastAPI, client: TestClient, put_person: MakePerson
) -> None:
    put_person("staff")
    put_person("builder", "Holt")
    sign_in(client)
    assert guess(client, BROWSER.free + 1) == [422] * BROWSER.free + [429]
    assert sign_in(stranger(app)) == 303  # which costs others nothing
    assert guess(client, 1, "Holt") == [422]  # known to one account, a stranger to the other


@pytest.mark.parametrize("mark", ["", "1.x.0.y", "é", "1." + "x" * 3000])
def test_a_made_up_mark_is_no_known_browser(
    app: FastAPI, client: TestClient, put_person: MakePerson, mark: str
) -> None:
    number = put_person("staff")
    guess(stranger(app), ACCOUNT.free)
    headers = [(b"cookie", f"known-{number}={mark}".encode()), (b"sec-fetch-site", b"same-origin")]
    form = {"mail": "edda@shop.example", "password": PASSWORD}
    elsewhere = stranger(app, "192.0.2.1")
    assert elsewhere.post("/sign-in", data=form, headers=headers).status_code == 429


@contextmanager
def another_process(settings: Settings, at: Clock) -> Iterator[FastAPI]:
    """The service once more on the same data: another process, or after a restart."""
    app = create_app(settings)
    app.state.clock = at
    with TestClient(app):
        yield app


def test_limits_and_known_browsers_are_shared_by_processes_and_outlive_them(
    app: FastAPI, client: TestClient, settings: Settings, put_person: MakePerson, at: Clock
) -> None:
    put_person("staff")
    sign_in(client)
    guess(stranger(app), ACCOUNT.free)
    with another_process(settings, at) as other:
        assert sign_in(stranger(other)) == 429
        known = stranger(other)
        known.cookies = client.cookies
        assert sign_in(known) == 303


def test_the_builder_sees_who_was_refused(
    app: FastAPI, client: TestClient, put_person: MakePerson
) -> None:
    put_person("builder", "Holt")
    put_person("staff")
    guess(stranger(app), ACCOUNT.free + 3)
    for number in range(SENDER.free):
        guess(stranger(app, "198.51.100.77"), 1, f"Name{number}")
    guess(stranger(app, "198.51.100.77"), 1, "last")
    sign_in(client, "Holt")
    shown = client.get("/office/people/refusals")
    assert shown.status_code == 200
    assert "Edda" in shown.text
    assert "198.51.100.77" in shown.text
    assert "last@shop.example" not in shown.text  # what strangers type is not kept
