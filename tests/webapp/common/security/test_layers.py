"""Headers on every answer, writes from other sites refused."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from starlette.requests import Request

from webapp.app import create_app
from webapp.common.security.layers import (
    HeadAsGet,
    KnownHost,
    SameSiteWrites,
    SecurityHeaders,
    SmallRequests,
    security_headers,
)
from webapp.common.settings import Settings
from webapp.common.web.error_answers import add_failure_answers, domain_error, http_error


@pytest.fixture
def small() -> Iterator[TestClient]:
    """A service of one address, behind the security layers."""
    app = FastAPI()
    add_failure_answers(app)
    app.add_middleware(SmallRequests, most=2000, longest=500, answer=http_error)
    app.add_middleware(SameSiteWrites, answer=domain_error)
    app.add_middleware(HeadAsGet)
    app.add_middleware(KnownHost)
    app.add_middleware(SecurityHeaders, behind_tls=False)

    @app.api_route("/api/note", methods=["GET", "POST", "PUT", "DELETE"])
    def note() -> str:
        return "done"

    @app.put("/api/read")
    async def read(request: Request) -> int:
        return len(await request.body())

    with TestClient(app, base_url="http://shop.example") as client:
        yield client


def test_the_policy_starts_from_nothing_and_allows_no_inline_code() -> None:
    policy = security_headers(behind_tls=False)["Content-Security-Policy"]
    assert policy.startswith("default-src 'none'; ")
    assert "unsafe" not in policy
    assert "frame-ancestors 'none'" in policy


@pytest.mark.parametrize("path", ["/api/note", "/api/nowhere"])
def test_every_answer_carries_the_headers(small: TestClient, path: str) -> None:
    headers = small.get(path).headers
    for name, value in security_headers(behind_tls=False).items():
        assert headers[name] == value
    assert "Strict-Transport-Security" not in headers


def test_strict_transport_only_behind_tls() -> None:
    assert "Strict-Transport-Security" in security_headers(behind_tls=True)


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"Sec-Fetch-Site": "same-origin"}, 200),
        ({"Sec-Fetch-Site": "none"}, 200),
        ({"Sec-Fetch-Site": "cross-site"}, 403),
        ({"Sec-Fetch-Site": "same-site"}, 403),
        ({"Sec-Fetch-Site": "cross-site", "Origin": "http://shop.example"}, 403),
        ({"Origin": "http://shop.example"}, 200),
        ({"Origin": "http://other.example"}, 403),
        ({"Origin": "http://shop.example.evil.example"}, 403),
        ({"Origin": "null"}, 403),
        ({"Origin": "http://[bad"}, 403),
        ({}, 200),
        ({"Cookie": "session=1"}, 403),
        ({"Cookie": "session=1", "Sec-Fetch-Site": "same-origin"}, 200),
    ],
)
@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE"])
def test_a_write_from_another_site_is_refused(
    small: TestClient, method: str, headers: dict[str, str], status: int
) -> None:
    answer = small.request(method, "/api/note", headers=headers)
    assert answer.status_code == status
    if status == 403:
        assert answer.json()["errors"][0]["remedy"] == "send this form from the service's own page"


def test_reading_from_another_site_is_a_link_and_allowed(small: TestClient) -> None:
    headers = {"Sec-Fetch-Site": "cross-site", "Cookie": "session=1"}
    assert small.get("/api/note", headers=headers).status_code == 200


@pytest.mark.parametrize("announced", [True, False])
@pytest.mark.parametrize("length", ["", "9" * 30])
def test_a_large_body_is_refused_as_everything_is(
    small: TestClient, announced: bool, length: str
) -> None:
    body = b"x" * 3000
    given = {"Content-Length": length} if length else {}
    content = body if announced or length else iter([body[:1500], body[1500:]])
    answer = small.put("/api/read", content=content, headers=given)
    assert answer.status_code == 413
    assert answer.json()["errors"][0]["remedy"] == "send less at once"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert small.put("/api/read", content=body[:2000]).json() == 2000


def test_an_address_beyond_a_length_is_refused_in_words(small: TestClient) -> None:
    longest = "/api/note?x=" + "a" * (500 - len("/api/notex="))
    assert small.get(longest).status_code == 200
    answer = small.get(longest + "a")
    assert answer.status_code == 414
    assert answer.json()["errors"][0]["remedy"].startswith("put fewer builds into it")
    assert answer.headers["X-Content-Type-Options"] == "nosniff"


def test_head_is_the_head_of_get(small: TestClient) -> None:
    head, whole = small.head("/api/note"), small.get("/api/note")
    assert (head.status_code, head.headers) == (200, whole.headers)
    assert (head.content, bool(whole.content)) == (b"", True)
    assert small.head("/api/read").status_code == 405


@pytest.mark.parametrize(
    ("host", "status"),
    [
        ("shop.example", 200),
        ("shop.example:8000", 200),
        ("[::1]:8000", 200),
        ("[::1", 400),
        ("a/b", 400),
        ("a:port", 400),
        ("a:99999", 400),
    ],
)
def test_a_host_that_is_none_is_refused(small: TestClient, host: str, status: int) -> None:
    assert small.get("/api/note", headers={"Host": host}).status_code == status


@pytest.mark.parametrize(
    ("host", "status"),
    [
        ("shop.example", 200),
        ("SHOP.example.:8000", 200),
        ("localhost:8000", 200),
        ("192.0.2.7", 200),
        ("[2001:db8::7]:80", 200),
        ("evil.example", 400),
        ("shop.example.evil.example", 400),
        ("", 400),
    ],
)
def test_a_service_with_names_answers_under_no_other(
    settings: Settings, host: str, status: int
) -> None:
    app = create_app(settings.model_copy(update={"base_url": "https://shop.example"}))
    answer = TestClient(app).get("/health", headers={"Host": host})
    assert answer.status_code == status
    assert ("ALLOWED_HOSTS" in answer.text) == (status == 400)
