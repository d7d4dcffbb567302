"""The interface answers whatever its own description allows, without a fault of the program."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any, NoReturn

import pytest
import schemathesis
from fastapi import FastAPI
from fastapi.testclient import TestClient
from hypothesis import HealthCheck, given, settings

from webapp.api.refusals import Refusal


def test_answers_are_sound(app: FastAPI) -> None:
    """No server error, and never a number that JSON does not have (RFC 8259, section 6)."""
    with TestClient(app):
        schema = schemathesis.openapi.from_asgi("/api/v1/openapi.json", app)
        operations: Any = schema.get_all_operations()
        checks = [_check(operation.ok()) for operation in operations]
        assert len(checks) >= 5
        for check in checks:
            check()


def _refuse(constant: str) -> NoReturn:
    raise AssertionError(f"{constant} is no JSON number")


def _check(operation: Any) -> Callable[[], None]:
    @settings(
        max_examples=25,
        deadline=None,
        derandomize=True,
        suppress_health_check=list(HealthCheck),
    )
    @given(case=operation.as_strategy())
    def check(case: Any) -> None:
        response = case.call()
        assert response.status_code < 500, response.text
        assert str(response.status_code) in operation.definition.raw["responses"]
        if response.headers["content-type"][0].startswith("application/json"):
            json.loads(response.text, parse_constant=_refuse)

    return check


SAID_NO = [
    (400, "POST", "/api/v1/geometry", b"[" * 2000, {}),
    (403, "POST", "/api/v1/geometry", b"{}", {"Sec-Fetch-Site": "cross-site"}),
    (404, "GET", "/api/v1/models/nettle", b"", {}),
    (405, "DELETE", "/api/v1/models", b"", {}),
    (413, "POST", "/api/v1/fit", b" " * 1_100_000, {}),
    (422, "POST", "/api/v1/slot", b"{", {}),
    (422, "POST", "/api/v1/bench", b"[]", {}),
]


@pytest.mark.parametrize(("status", "method", "path", "body", "headers"), SAID_NO)
def test_every_refusal_has_the_shape_described(
    client: TestClient, status: int, method: str, path: str, body: bytes, headers: dict[str, str]
) -> None:
    described = client.get("/api/v1/openapi.json").json()
    sent = {"Content-Type": "application/json"} | headers
    answer = client.request(method, path, content=body, headers=sent)
    assert answer.status_code == status
    assert Refusal.model_validate(answer.json()).errors
    for operations in described["paths"].values():
        for operation in operations.values():
            schema = operation["responses"][str(status)]["content"]["application/json"]["schema"]
            assert schema == {"$ref": "#/components/schemas/Refusal"}


def test_a_body_that_is_no_json_names_the_body(client: TestClient) -> None:
    sent = {"Content-Type": "application/json"}
    answer = client.post("/api/v1/fit", content=b'{"stature": ', headers=sent)
    assert [error["field"] for error in answer.json()["errors"]] == ["body"]
