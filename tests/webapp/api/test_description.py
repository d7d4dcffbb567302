"""The interface answers whatever its own description allows, without a fault of the program."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any, NoReturn

import schemathesis
from fastapi import FastAPI
from fastapi.testclient import TestClient
from hypothesis import HealthCheck, given, settings


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
        if response.headers["content-type"][0].startswith("application/json"):
            json.loads(response.text, parse_constant=_refuse)

    return check
