"""Signing in, staying signed in, and out again, over the web."""

from __future__ import annotations

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from pwdlib import PasswordHash
from sqlmodel import select
from starlette.responses import Response

from tests.webapp.accounts.conftest import COOKIE, PASSWORD, SAME, Clock, MakePerson, sign_in
from webapp.accounts.dependencies import drop_cookie, safe_next, set_cookie
from webapp.accounts.tables import AccountSession
from webapp.common.security.tokens import token_hash
from webapp.common.storage.database import reading, writing


def test_a_page_for_staff_leads_to_sign_in_and_back(
    client: TestClient, put_person: MakePerson
) -> None:
    put_person("staff")
    sent = client.get("/account?done=password")
    assert sent.status_code == 303
    assert sent.headers["location"] == "/sign-in?next=%2Faccount%3Fdone%3Dpassword"
    form = {"mail": "Edda@shop.example", "password": PASSWORD, "next": "/account?done=password"}
    back = client.post("/sign-in", data=form)
    assert (back.status_code, back.headers["location"]) == (303, "/account?done=password")
    assert client.get("/account").status_code == 200
    assert client.get("/sign-in?next=/account").headers["location"] == "/account"


def test_the_cookie_is_out_of_reach_of_scripts_and_other_sites(
    client: TestClient, put_person: MakePerson
) -> None:
    put_person("staff")
    cookie = client.post(
        "/sign-in", data={"mail": "edda@shop.example", "password": PASSWORD}
    ).headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=lax" in cookie
    assert "Path=/" in cookie
    assert "Secure" not in cookie  # this test's service is not behind TLS


def test_only_the_hash_of_a_token_is_kept(
    client: TestClient, app: FastAPI, put_person: MakePerson
) -> None:
    put_person("staff")
    sign_in(client)
    token = client.cookies[COOKIE]
    with reading(app.state.engine) as session:
        rows = session.exec(select(AccountSession)).all()
    assert [row.token_hash for row in rows] == [token_hash(token)]
    assert token not in str(rows)


def test_every_sign_in_gives_a_new_token(client: TestClient, put_person: MakePerson) -> None:
    put_person("staff")
    sign_in(client)
    first = client.cookies[COOKIE]
    sign_in(client)
    assert client.cookies[COOKIE] != first


@pytest.mark.parametrize("name", ["Edda", "Nobody", "Gone"])
def test_unknown_switched_off_and_wrong_password_look_the_same(
    client: TestClient, put_person: MakePerson, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same status, the same words, and one password checked in every case."""
    put_person("staff")
    put_person("staff", "Gone", active=False)
    checked: list[str] = []
    is_right = PasswordHash.verify

    def counted(self: PasswordHash, password: str, kept: str) -> bool:
        checked.append(kept)
        return is_right(self, password, kept)

    monkeypatch.setattr(PasswordHash, "verify", counted)
    password = PASSWORD if name == "Gone" else "not this one at all"
    form = {"mail": f"{name}@shop.example", "password": password}
    answer = client.post("/sign-in", data=form)
    assert answer.status_code == 422
    assert "This address and password do not belong together" in answer.text
    assert password not in answer.text
    assert len(checked) == 1
    assert COOKIE not in client.cookies


def test_a_session_ends_after_quiet_hours(
    client: TestClient, put_person: MakePerson, at: Clock
) -> None:
    put_person("staff")
    sign_in(client)
    for _ in range(3):
        at.turn(hours=11)
        assert client.get("/account").status_code == 200
    at.turn(hours=12, minutes=1)
    assert client.get("/account").status_code == 303


def test_a_session_ends_after_two_weeks_however_busy(
    client: TestClient, put_person: MakePerson, at: Clock
) -> None:
    put_person("staff")
    sign_in(client)
    for _ in range(2 * 14):
        assert client.get("/account").status_code == 200
        at.turn(hours=12)
    at.turn(minutes=1)
    assert client.get("/account").status_code == 303


def test_a_clock_set_back_does_not_lock_anybody_out(
    client: TestClient, put_person: MakePerson, at: Clock
) -> None:
    put_person("staff")
    sign_in(client)
    at.turn(hours=-3)
    assert client.get("/account").status_code == 200


def test_a_session_of_a_clock_set_ahead_ends_like_any(
    client: TestClient, put_person: MakePerson, at: Clock
) -> None:
    put_person("staff")
    at.turn(days=365)
    sign_in(client)
    at.turn(days=-365)
    assert client.get("/account").status_code == 200
    at.turn(hours=13)
    assert client.get("/account").status_code == 303


def test_sessions_end_as_the_settings_say(
    client: TestClient, app: FastAPI, put_person: MakePerson, at: Clock
) -> None:
    put_person("staff")
    shorter = {"session_idle_hours": 2, "session_days": 0.25}
    app.state.settings = app.state.settings.model_copy(update=shorter)
    form = {"mail": "edda@shop.example", "password": PASSWORD}
    cookie = client.post("/sign-in", data=form).headers["set-cookie"]
    assert "Max-Age=21600" in cookie
    shown = " ".join(client.get("/account").text.split())
    assert "after 2 quiet hours, and after 0.25 days" in shown
    at.turn(hours=2, minutes=1)
    assert client.get("/account").status_code == 303
    sign_in(client)
    for _ in range(3):
        at.turn(hours=1.9)
        assert client.get("/account").status_code == 200
    at.turn(hours=0.5)
    assert client.get("/account").status_code == 303


def test_signing_out_ends_this_session_alone(
    client: TestClient, app: FastAPI, put_person: MakePerson
) -> None:
    put_person("staff")
    sign_in(client)
    other = TestClient(app, follow_redirects=False, cookies={COOKIE: client.cookies[COOKIE]})
    sign_in(client)
    token = client.cookies[COOKIE]
    assert client.post("/sign-out", headers=SAME).headers["location"] == "/sign-in"
    client.cookies.set(COOKIE, token)
    assert client.get("/account").status_code == 303
    assert other.get("/account").status_code == 200


def test_signing_out_everywhere_ends_all(
    client: TestClient, app: FastAPI, put_person: MakePerson
) -> None:
    put_person("staff")
    sign_in(client)
    other = TestClient(app, follow_redirects=False, cookies={COOKIE: client.cookies[COOKIE]})
    sign_in(client)
    assert client.post("/account/sign-out-everywhere", headers=SAME).status_code == 303
    assert other.get("/account").status_code == 303


def test_a_switched_off_account_is_out_at_once(
    client: TestClient, app: FastAPI, put_person: MakePerson
) -> None:
    put_person("builder", "Holt")
    number = put_person("staff")
    sign_in(client)
    builder = TestClient(app, follow_redirects=False)
    sign_in(builder, "Holt")
    off = builder.post(f"/office/people/{number}/active", data={"active": "no"}, headers=SAME)
    assert off.status_code == 303
    assert client.get("/account").status_code == 303


@pytest.mark.parametrize("token", ["", "x", "é" * 200, "../../etc", "null", "0"])
def test_tampered_cookies_open_nothing(client: TestClient, token: str) -> None:
    headers = [(b"cookie", f"{COOKIE}={token}".encode())]
    assert client.get("/account", headers=headers).status_code == 303


def test_a_form_from_another_site_is_refused(client: TestClient, put_person: MakePerson) -> None:
    put_person("staff")
    sign_in(client)
    headers = {"Sec-Fetch-Site": "cross-site"}
    assert client.post("/account/sign-out-everywhere", headers=headers).status_code == 403
    assert client.get("/account").status_code == 200


@pytest.mark.parametrize(
    "address",
    ["https://evil.example", "//evil.example", "/\\evil.example", "/\x0a/evil", "javascript:x",
     "counter", "", "/" + "x" * 3000, "/a b", "/é"],
)  # fmt: skip
def test_signing_in_never_leads_to_another_site(address: str) -> None:
    assert safe_next(address) == "/counter"


def test_a_partial_for_nobody_is_told_where_to_sign_in(client: TestClient) -> None:
    headers = {"HX-Request-Type": "partial", "Referer": "http://testserver/account?x=1"}
    answer = client.get("/account", headers=headers)
    assert answer.status_code == 401
    assert answer.headers["HX-Redirect"] == "/sign-in?next=%2Faccount%3Fx%3D1"
    headers["Referer"] = "http://[nowhere"
    unread = client.get("/account", headers=headers)
    assert unread.headers["HX-Redirect"] == "/sign-in?next=%2Fcounter"


def test_behind_tls_the_cookie_is_secure(app: FastAPI, client: TestClient) -> None:
    given, taken = Response(), Response()
    set_cookie(given, "t", behind_tls=True)
    drop_cookie(taken, behind_tls=True)
    for response in (given, taken):
        cookie = response.headers["set-cookie"]
        assert cookie.startswith("__Host-session=")
        assert "Secure" in cookie
        assert "HttpOnly" in cookie


def test_a_quiet_session_is_cleared_away_at_the_next_sign_in(
    client: TestClient, app: FastAPI, put_person: MakePerson, at: Clock
) -> None:
    put_person("staff")
    sign_in(client)
    at.turn(days=2)
    sign_in(client)
    with writing(app.state.engine) as session:
        assert len(session.exec(select(AccountSession)).all()) == 1
