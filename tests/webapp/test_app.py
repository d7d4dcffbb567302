"""The application as a whole: health, headers, static files, the interface's description."""

from __future__ import annotations

import pytest
from fastapi.testclient import TestClient

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
