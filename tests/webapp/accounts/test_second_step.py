"""One-time codes: against the standard's own values, and as somebody of the shop meets them."""

from __future__ import annotations

import base64
import html
import re
from datetime import UTC, datetime, timedelta

import pyotp
import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from httpx import Response
from sqlalchemy import Engine
from sqlmodel import select

from tests.webapp.accounts.conftest import PASSWORD, SAME, Clock, MakePerson, sign_in
from webapp.accounts import people, second_step
from webapp.accounts.limits import CODE
from webapp.accounts.tables import RecoveryCode, SecondStep
from webapp.common.errors import Forbidden
from webapp.common.storage.database import reading, writing
from webapp.mail.tables import Mail

SECRET = base64.b32encode(b"12345678901234567890").decode()

# RFC 6238, appendix B, SHA-1 [R]: seconds since 1970, and the code of eight digits. A code
# of six digits is the same number modulo 10^6 (RFC 4226, section 5.3).
APPENDIX_B = [
    (59, "94287082"),
    (1111111109, "07081804"),
    (1111111111, "14050471"),
    (1234567890, "89005924"),
    (2000000000, "69279037"),
    (20000000000, "65353130"),
]


@pytest.mark.parametrize(("seconds", "code"), APPENDIX_B)
def test_codes_are_those_of_the_standard(seconds: int, code: str) -> None:
    at = datetime.fromtimestamp(seconds, UTC)
    assert second_step.step_of(SECRET, code[2:], at=at) == seconds // 30
    assert second_step.step_of(SECRET, code[2:], at=at + timedelta(seconds=90)) is None


def test_clocks_may_be_one_code_apart() -> None:
    at = datetime.fromtimestamp(1111111109, UTC)
    found = [second_step.step_of(SECRET, "081804", at=at + timedelta(seconds=s)) is not None
             for s in (-60, -30, 0, 30, 62)]  # fmt: skip
    assert found == [False, True, True, True, False]


# --- over the web --------------------------------------------------------------------


class Phone:
    """What shows the codes."""

    def __init__(self, secret: str, at: Clock) -> None:
        self.totp = pyotp.TOTP(secret)
        self.at = at

    def code(self) -> str:
        return self.totp.at(self.at())


def post(client: TestClient, path: str, **fields: str) -> Response:
    answer: Response = client.post(path, data=fields, headers=SAME)
    return answer


def set_up(client: TestClient, at: Clock) -> tuple[Phone, list[str]]:
    """Turn the second step on; gives the phone and the recovery codes."""
    assert post(client, "/account/second-step").headers["location"] == "/account/second-step"
    shown = client.get("/account/second-step")
    secret = re.search(r"<code[^>]*>([A-Z2-7 ]+)</code>", shown.text)
    assert secret
    assert "data:image/svg+xml" in shown.text
    phone = Phone(secret[1].replace(" ", ""), at)
    wrong = post(client, "/account/second-step/on", code="000000")
    assert wrong.status_code == 422
    assert "This is not the current code" in wrong.text
    done = post(client, "/account/second-step/on", code=phone.code())
    codes = re.findall(r"<li><code>([A-Z0-9-]{19})</code>", done.text)
    assert len(set(codes)) == second_step.RECOVERY_CODES
    assert done.headers["cache-control"] == "private, no-store"
    at.turn(minutes=2)
    return phone, codes


def begin_sign_in(client: TestClient) -> str:
    """The password given; gives the signed word of the second page."""
    form = {"mail": "edda@shop.example", "password": PASSWORD, "next": "/account"}
    answer = post(client, "/sign-in", **form)
    assert answer.status_code == 200
    passed = re.search(r'name="passed" value="([^"]+)"', answer.text)
    assert passed
    return html.unescape(passed[1])


@pytest.fixture
def edda(client: TestClient, put_person: MakePerson) -> TestClient:
    put_person("builder")
    assert sign_in(client) == 303
    return client


def test_a_password_alone_opens_nothing(edda: TestClient, app: FastAPI, at: Clock) -> None:
    phone, codes = set_up(edda, at)
    thief = TestClient(app, follow_redirects=False)
    passed = begin_sign_in(thief)
    assert thief.get("/account").status_code == 303
    refused = post(thief, "/sign-in/code", passed=passed, code="123456", next="/account")
    assert refused.status_code == 422
    assert passed in html.unescape(refused.text)
    right = post(thief, "/sign-in/code", passed=passed, code=phone.code(), next="/account")
    assert (right.status_code, right.headers["location"]) == (303, "/account")
    again = post(thief, "/sign-in/code", passed=passed, code=phone.code())
    assert "used already" in again.text
    lower = codes[0].lower().replace("-", " ")
    assert post(thief, "/sign-in/code", passed=passed, code=lower).status_code == 303
    assert post(thief, "/sign-in/code", passed=passed, code=lower).status_code == 422
    assert "9 of your recovery codes are left" in thief.get("/account").text


@pytest.mark.parametrize("passed", ["", "x", "1.a.2.b", "é" * 50])
def test_the_second_page_needs_the_first(edda: TestClient, at: Clock, passed: str) -> None:
    phone, _ = set_up(edda, at)
    assert post(edda, "/sign-in/code", passed=passed, code=phone.code()).status_code == 422


def test_the_second_page_waits_ten_minutes(edda: TestClient, at: Clock) -> None:
    phone, _ = set_up(edda, at)
    passed = begin_sign_in(edda)
    at.turn(minutes=11)
    assert post(edda, "/sign-in/code", passed=passed, code=phone.code()).status_code == 422


def test_guessing_codes_is_slowed(edda: TestClient, app: FastAPI, at: Clock) -> None:
    set_up(edda, at)
    thief = TestClient(app, follow_redirects=False)
    passed = begin_sign_in(thief)
    tries = [post(thief, "/sign-in/code", passed=passed, code="000000").status_code
             for _ in range(CODE.free + 1)]  # fmt: skip
    assert tries == [422] * CODE.free + [429]


def test_export_erasing_and_invitations_ask_again(edda: TestClient, at: Clock) -> None:
    """A code was given at the sign-in; it is asked for again, and nothing typed is lost."""
    phone, _ = set_up(edda, at)
    passed = begin_sign_in(edda)
    assert post(edda, "/sign-in/code", passed=passed, code=phone.code()).status_code == 303
    at.turn(minutes=1)
    records = "/counter/records"
    for path in ("/office/keeping/export.zip", f"{records}/quotes.csv", f"{records}/quotes.json",
                 f"{records}/person.json?mail=a@b.example"):  # fmt: skip
        assert edda.get(path).headers["location"].startswith("/account/confirm?next=%2F")
    assert post(edda, "/counter/records/erase", mail="a@b.example").status_code == 403
    assert post(edda, "/counter/records/erase-overdue").status_code == 403
    form = {"name": "Ola <b>", "mail": "ola@shop.example", "role": "staff"}
    asked = post(edda, "/office/people", **form)
    assert asked.status_code == 403
    carried = {
        html.unescape(name): html.unescape(value)
        for name, value in re.findall(r'type="hidden" name="([^"]+)" value="([^"]*)"', asked.text)
    }
    assert carried == form | {"confirm_then": "/office/people", "confirm_how": "send"}
    assert post(edda, "/account/confirm", **carried, confirm_proof="000000").status_code == 422
    sent_on = post(edda, "/account/confirm", **carried, confirm_proof=phone.code())
    assert (sent_on.status_code, sent_on.headers["location"]) == (307, "/office/people")
    made = post(edda, "/office/people", **carried, confirm_proof="whatever")
    assert "/account/link/" in made.text
    assert edda.get("/counter/records/quotes.csv").status_code == 200
    at.turn(minutes=11)
    assert edda.get("/counter/records/quotes.csv").status_code == 303


def test_without_codes_the_password_is_asked_again(edda: TestClient, at: Clock) -> None:
    assert edda.get("/counter/records/quotes.csv").status_code == 200  # just signed in
    at.turn(minutes=11)
    sent = edda.get("/counter/records/quotes.csv").headers["location"]
    assert "Your password" in edda.get(sent).text
    then = {"confirm_then": "/counter/records/quotes.csv"}
    assert post(edda, "/account/confirm", **then, confirm_proof="wrong").status_code == 422
    right = post(edda, "/account/confirm", **then, confirm_proof=PASSWORD)
    assert (right.status_code, right.headers["location"]) == (303, then["confirm_then"])


def test_confirming_never_leads_to_another_site(edda: TestClient) -> None:
    evil = {"confirm_then": "//evil.example", "confirm_how": "send"}
    sent = post(edda, "/account/confirm", **evil, confirm_proof=PASSWORD)
    assert sent.headers["location"] == "/counter"


def test_a_new_password_by_a_link_turns_the_codes_off(
    edda: TestClient, app: FastAPI, at: Clock, put_person: MakePerson
) -> None:
    """The way back for whoever has lost phone and recovery codes."""
    set_up(edda, at)
    put_person("builder", "Holt")
    holt = TestClient(app, follow_redirects=False)
    sign_in(holt, "Holt")
    link = re.search(r"/account/link/[\w-]+", post(holt, "/office/people/1/link").text)
    assert link
    form = {"password": "another good sentence", "again": "another good sentence"}
    assert post(edda, link[0], **form).status_code == 303
    assert sign_in(edda, password="another good sentence") == 303
    assert "second step off" in holt.get("/office/people").text


def test_the_database_alone_makes_no_codes(edda: TestClient, app: FastAPI, at: Clock) -> None:
    phone, codes = set_up(edda, at)
    with reading(app.state.engine) as session:
        steps, kept_codes = session.exec(select(SecondStep)), session.exec(select(RecoveryCode))
        kept = repr((steps.all(), kept_codes.all()))
    assert phone.totp.secret not in kept
    assert codes[0] not in kept


def test_codes_on_both_databases_and_a_clock_that_was_wrong(engine: Engine) -> None:
    """A code counts once; one used while the clock was years ahead locks nobody out."""
    key, at = b"k" * 32, datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
    ahead = at + timedelta(days=900)
    with writing(engine) as session:
        account = people.put_person(
            session, name="E", mail="e@s.example", role="staff", who="t", at=at
        )
        second_step.begin(session, account, at=at)
        found = second_step.second_step_of(session, people.account_id(account))
        assert found
        totp = pyotp.TOTP(second_step.secret_of(key, found.salt))
        second_step.turn_on(session, account, totp.at(at), key=key, at=at)
        with pytest.raises(Forbidden, match="used already"):
            second_step.pass_second_step(session, account, totp.at(at), key=key, at=at)
        second_step.pass_second_step(session, account, totp.at(ahead), key=key, at=ahead)
        second_step.pass_second_step(session, account, totp.at(at), key=key, at=at)
        assert second_step.codes_left(session, people.account_id(account)) == 10


def test_a_change_is_told_by_mail(edda: TestClient, app: FastAPI, at: Clock) -> None:
    mails = app.state.settings.model_copy(
        update={"smtp_host": "mail.example", "base_url": "https://shop.example"}
    )
    app.state.settings = mails
    set_up(edda, at)
    new = "another good sentence"
    form = {"present": PASSWORD, "password": new, "again": new}
    assert post(edda, "/account/password", **form).status_code == 303
    with reading(app.state.engine) as session:
        told = [(mail.to_mail, mail.body) for mail in session.exec(select(Mail)).all()]
    assert [to for to, _ in told] == ["edda@shop.example"] * 2
    assert "now asks for a one-time code" in told[0][1]
    assert "The password of your account was changed" in told[1][1]
    assert "https://shop.example" in told[1][1]
    assert new not in told[1][1]
