"""The application as a whole: health, headers, static files, the interface's description."""

from __future__ import annotations

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import QueuePool
from starlette.types import Message, Receive, Scope, Send

from webapp.common.security.layers import security_headers
from webapp.common.web.static_files import static


def test_health(client: TestClient) -> None:
    answer = client.get("/health")
    assert (answer.status_code, answer.json()) == (200, {"status": "ok"})


def test_every_answer_carries_the_security_headers(client: TestClient) -> None:
    for path in ("/health", "/nowhere", static("css/base.css"), "/api/v1/openapi.json"):
        headers = client.get(path).headers
        wanted = security_headers(behind_tls=False)
        assert {name: headers.get(name) for name in wanted} == wanted


def test_only_the_interface_is_described(client: TestClient) -> None:
    described = client.get("/api/v1/openapi.json").json()
    assert [path for path in described["paths"] if not path.startswith("/api/v1/")] == []


@pytest.mark.parametrize("path", ["/docs", "/redoc", "/openapi.json"])
def test_ready_made_pages_that_load_from_elsewhere_are_off(client: TestClient, path: str) -> None:
    assert client.get(path).status_code == 404


def test_unknown_addresses_answer_in_the_form_of_their_side(client: TestClient) -> None:
    page = client.get("/nowhere")
    assert "There is nothing at this address" in page.text
    assert client.get("/api/v1/nowhere").json()["errors"][0]["field"] == "request"


def test_who_reads_an_answer_holds_no_connection(app: FastAPI, client: TestClient) -> None:
    """Some fifty who read slowly held all there were, and everybody waited 5 s to be refused."""
    held = dict[str, int]()

    async def watched(scope: Scope, receive: Receive, send: Send) -> None:
        async def send_on(message: Message) -> None:
            pool = app.state.engine.pool
            assert isinstance(pool, QueuePool)
            held[scope["path"]] = held.get(scope["path"], 0) + pool.checkedout()
            await send(message)

        await app(scope, receive, send_on)

    pages = ("/", "/build/knapweed", "/fit/knapweed", "/table/knapweed", "/quote/knapweed")
    reader = TestClient(watched)
    for path in (*pages, "/account/sign-in", "/api/v1/models"):
        reader.get(path)
    assert held
    assert not any(held.values()), held
