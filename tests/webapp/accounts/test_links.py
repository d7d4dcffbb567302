"""One-time links: the builder's first one, invitations, forgotten passwords."""

from __future__ import annotations

import re

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import Engine
from sqlmodel import select

from tests.webapp.accounts.conftest import COOKIE, PASSWORD, SAME, Clock, MakePerson, sign_in
from webapp.accounts import links, people, sessions
from webapp.accounts.tables import AccountEvent, AccountLink
from webapp.common.errors import Conflict, Invalid, NotFound
from webapp.common.security.tokens import token_hash
from webapp.common.storage.database import reading, writing
from webapp.common.timestamps import now

NEW = "another good sentence"


def first_link(app: FastAPI, at: Clock) -> str | None:
    with writing(app.state.engine) as session:
        return links.link_for_builder(session, mail="bench@shop.example", at=at())


def use(client: TestClient, path: str, password: str = NEW, again: str | None = None) -> int:
    form = {"password": password, "again": password if again is None else again}
    status: int = client.post(path, data=form, headers=SAME).status_code
    return status


def test_the_builders_first_link_sets_a_password_and_signs_in(
    client: TestClient, app: FastAPI, at: Clock
) -> None:
    path = first_link(app, at)
    assert path
    assert "bench@shop.example" in client.get(path).text
    assert client.get(path).status_code == 200  # looking does not use it up
    assert use(client, path) == 303
    assert client.get("/office/people").status_code == 200
    assert first_link(app, at) is None


def test_a_link_works_once(client: TestClient, app: FastAPI, at: Clock) -> None:
    path = first_link(app, at) or ""
    assert use(client, path) == 303
    assert use(client, path, "yet another sentence") == 404
    assert client.get(path).status_code == 404


def test_a_link_is_for_two_days(client: TestClient, app: FastAPI, at: Clock) -> None:
    path = first_link(app, at) or ""
    at.turn(hours=48)
    assert use(client, path) == 404


def test_a_new_link_replaces_the_one_before(client: TestClient, app: FastAPI, at: Clock) -> None:
    old, new = first_link(app, at) or "", first_link(app, at) or ""
    assert use(client, old) == 404
    assert use(client, new) == 303


def test_only_hashes_of_links_are_kept(app: FastAPI, client: TestClient, at: Clock) -> None:
    path = first_link(app, at) or ""
    token = path.removeprefix(links.PATH)
    with reading(app.state.engine) as session:
        rows = session.exec(select(AccountLink)).all()
    assert [row.token_hash for row in rows] == [token_hash(token)]


@pytest.mark.parametrize(
    ("password", "again", "words"),
    [
        ("short", None, "At least 15 characters"),
        ("x" * 201, None, "At most 200 characters"),
        ("a" * 20, None, "harder to guess"),
        ("bench@shop.example1", None, "harder to guess"),
        ("passwordpassword", None, "harder to guess"),
        ("Password12345678", None, "among the most used"),
        ("qwertyuiopasdfgh", None, "harder to guess"),
        ("123456789987654321", None, "harder to guess"),
        ("correct horse battery staple", None, "harder to guess"),
        ("Builder Builder 1", None, "harder to guess"),
        (NEW, "something else", "The same password as above"),
    ],
)
def test_a_password_that_will_not_do_leaves_the_link_usable(
    client: TestClient, app: FastAPI, at: Clock, password: str, again: str | None, words: str
) -> None:
    path = first_link(app, at) or ""
    form = {"password": password, "again": password if again is None else again}
    answer = client.post(path, data=form)
    assert answer.status_code == 422
    assert words in answer.text
    assert password not in answer.text
    assert use(client, path) == 303


@pytest.mark.parametrize("token", ["x", "..%2F..%2Fcounter", "%00", "a" * 5000, "é"])
def test_tampered_links_open_nothing(client: TestClient, token: str) -> None:
    assert client.get(f"/account/link/{token}").status_code in {404, 414}


def test_invited_staff_set_their_password_and_reach_the_counter_not_the_office(
    client: TestClient, app: FastAPI, put_person: MakePerson
) -> None:
    put_person("builder", "Holt")
    sign_in(client, "Holt")
    form = {"name": "Edda Marl", "mail": "Edda.Marl@Shop.example", "role": "staff"}
    shown = client.post("/office/people", data=form, headers=SAME)
    found = re.search(r"http://testserver(/account/link/[\w-]+)", shown.text)
    assert found
    staff = TestClient(app, follow_redirects=False)
    assert use(staff, found[1]) == 303
    assert staff.get("/account").status_code == 200
    assert staff.get("/office/people").status_code == 403
    assert found[1] not in client.get("/office/people").text  # shown once


def test_a_forgotten_password_is_replaced_and_signs_out_everywhere(
    client: TestClient, app: FastAPI, put_person: MakePerson
) -> None:
    put_person("builder", "Holt")
    number = put_person("staff")
    left_open = TestClient(app, follow_redirects=False)
    sign_in(left_open)
    sign_in(client, "Holt")
    shown = client.post(f"/office/people/{number}/link", headers=SAME)
    found = re.search(r"(/account/link/[\w-]+)", shown.text)
    assert found
    fresh = TestClient(app, follow_redirects=False)
    assert use(fresh, found[1]) == 303
    assert left_open.get("/account").status_code == 303
    assert sign_in(fresh, password=PASSWORD) == 422
    assert sign_in(fresh, password=NEW) == 303


def test_changing_ones_own_password_needs_the_present_one(
    client: TestClient, app: FastAPI, put_person: MakePerson
) -> None:
    put_person("staff")
    other = TestClient(app, follow_redirects=False)
    sign_in(other)
    sign_in(client)
    form = {"present": "wrong", "password": NEW, "again": NEW}
    refused = client.post("/account/password", data=form, headers=SAME)
    assert refused.status_code == 422
    assert "This is not your present password" in refused.text
    form["present"] = PASSWORD
    assert client.post("/account/password", data=form, headers=SAME).status_code == 303
    assert client.get("/account?done=password").status_code == 200
    assert other.get("/account").status_code == 303


def test_the_builder_cannot_lock_themselves_out(client: TestClient, put_person: MakePerson) -> None:
    number = put_person("builder", "Holt")
    sign_in(client, "Holt")
    off = client.post(f"/office/people/{number}/active", data={"active": "no"}, headers=SAME)
    assert off.status_code == 422
    assert client.get("/office/people").status_code == 200


@pytest.mark.parametrize(
    ("form", "status"),
    [
        ({"name": "", "mail": "a@b.example", "role": "staff"}, 422),
        ({"name": "A", "mail": "nothing", "role": "staff"}, 422),
        ({"name": "A", "mail": "a@b.example", "role": "owner"}, 422),
        ({"name": "x" * 121, "mail": "a@b.example", "role": "staff"}, 422),
        ({"name": "A", "mail": "HOLT@shop.example", "role": "staff"}, 409),
        ({"name": "<script>alert(1)</script>", "mail": "a@b.example", "role": "staff"}, 200),
    ],
)
def test_bad_invitations_are_refused_in_words_and_kept_in_the_form(
    client: TestClient, put_person: MakePerson, form: dict[str, str], status: int
) -> None:
    put_person("builder", "Holt")
    sign_in(client, "Holt")
    answer = client.post("/office/people", data=form, headers=SAME)
    assert answer.status_code == status
    assert "<script>alert" not in answer.text


def test_services_on_both_databases(engine: Engine) -> None:
    """Links, accounts and sessions behave alike on SQLite and PostgreSQL."""
    at = now()
    with writing(engine) as session:
        path = links.link_for_builder(session, mail="bench@shop.example", at=at)
        assert path
    token = path.removeprefix(links.PATH)
    with writing(engine) as session:
        opened = links.use_link(session, token, password_hash="h", at=at)
    with pytest.raises(NotFound), writing(engine) as session:
        links.use_link(session, token, password_hash="h", at=at)
    with reading(engine) as session:
        found = sessions.signed_in(session, opened, at=at)
        assert found
        assert (found[0].role, found[1]) == ("builder", False)
        kept = sessions.kept_of(session, "BENCH@shop.example ")
        assert kept == sessions.Kept(found[0].id, "h")
    with pytest.raises(Conflict), writing(engine) as session:
        people.put_person(
            session, name="B", mail="Bench@shop.example", role="staff", who="t", at=at
        )
    with pytest.raises(Invalid), writing(engine) as session:
        account = people.account_of(session, found[0].id)
        people.switch(session, account, active=False, who=found[0], at=at)
    with writing(engine) as session:
        account = people.account_of(session, found[0].id)
        assert sessions.sign_out_everywhere(session, account, who="t", at=at) == 1
        said = [event.what for event in session.exec(select(AccountEvent)).all()]
    assert said[:4] == ["invited", "link issued", "password set", "signed out everywhere"]


def test_nothing_about_a_person_is_cached(client: TestClient, put_person: MakePerson) -> None:
    put_person("staff")
    sign_in(client)
    for path in ("/account", "/sign-in"):
        client.cookies.clear() if path == "/sign-in" else None
        assert client.get(path).headers["Cache-Control"] == "private, no-store"
    assert COOKIE not in client.cookies
