"""Every failure is told: as a page to people, as JSON to programs, never as a traceback."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator

import numpy as np
import pytest
from fastapi import FastAPI, Form
from fastapi.testclient import TestClient
from pydantic import BaseModel

from geometry.core.errors import InvalidInput
from geometry.core.remedies import FiniteNumber
from webapp.catalogue.reading.shop_name import ShopFace
from webapp.common.errors import DomainError, Invalid, NotFound, Problem, TooMany
from webapp.common.settings import Settings
from webapp.common.web.error_answers import add_failure_answers, plain

REFUSALS: dict[str, Exception] = {
    "invalid": Invalid.of([Problem("stature", "tall", "write it"), Problem("inseam", "", "too")]),
    "not-found": NotFound("model", "knapwed", "choose one of knapweed, burdock"),
    "too-many": TooMany("request", 5, "wait", retry_after=30),
    "geometry": InvalidInput("fork.offset", math.nan, FiniteNumber(unit="mm")),
    "fault": RuntimeError("the secret inside"),
}


class Fork(BaseModel):
    offset: float


class Frame(BaseModel):
    reach: float
    fork: Fork


@pytest.fixture
def failing() -> Iterator[TestClient]:
    """A service that fails in every way, under /api and as pages."""
    app = FastAPI(max_body_size=2000)
    app.state.settings = Settings()
    app.state.shop = ShopFace(name="Larch & Rivet")
    add_failure_answers(app)

    @app.get("/api/{kind}")
    @app.get("/{kind}")
    def fail(kind: str) -> None:
        raise REFUSALS.get(kind) or NotFound("kind", kind, "none")

    @app.post("/api/frame")
    def frame(frame: Frame) -> Frame:
        return frame

    @app.post("/form")
    def form(note: str = Form()) -> str:
        return note

    with TestClient(app, raise_server_exceptions=False) as client:
        yield client


@pytest.mark.parametrize(
    ("kind", "status", "errors"),
    [
        ("invalid", 422, [("stature", "tall", "write it"), ("inseam", "", "too")]),
        ("not-found", 404, [("model", "knapwed", "choose one of knapweed, burdock")]),
        ("too-many", 429, [("request", 5, "wait")]),
        ("geometry", 422, [("fork.offset", "nan", "must be a finite number of mm")]),
    ],
)
def test_programs_get_field_value_and_remedy(
    failing: TestClient, kind: str, status: int, errors: list[tuple[object, ...]]
) -> None:
    answer = failing.get(f"/api/{kind}")
    assert answer.status_code == status
    named = [{"field": f, "value": v, "remedy": r} for f, v, r in errors]
    assert answer.json() == {"errors": named}


@pytest.mark.parametrize(
    ("kind", "status", "words"),
    [
        ("invalid", 422, "write it"),
        ("not-found", 404, "choose one of knapweed, burdock"),
        ("too-many", 429, "wait"),
        ("geometry", 422, "must be a finite number of mm"),
        ("fault", 500, "try again in a moment"),
    ],
)
def test_people_get_a_page(failing: TestClient, kind: str, status: int, words: str) -> None:
    answer = failing.get(f"/{kind}")
    assert answer.status_code == status
    assert answer.headers["Content-Type"] == "text/html; charset=utf-8"
    assert "<h1>" in answer.text
    assert words in answer.text


@pytest.mark.parametrize("path", ["/fault", "/api/fault"])
def test_a_fault_keeps_its_insides_and_its_headers(
    failing: TestClient, path: str, caplog: pytest.LogCaptureFixture
) -> None:
    answer = failing.get(path)
    assert answer.status_code == 500
    assert "secret inside" not in answer.text
    assert "Traceback" not in answer.text
    assert "default-src 'none'" in answer.headers["Content-Security-Policy"]
    assert "the secret inside" in caplog.text


@pytest.mark.parametrize(
    ("body", "fields"),
    [
        ('{"reach": 460}', {"fork"}),
        ('{"reach": "x", "fork": {"offset": "y"}}', {"reach", "fork.offset"}),
        ('{"reach": [NaN], "fork": {"offset": {"a": Infinity}}}', {"reach", "fork.offset"}),
        ("{", {"body"}),
        ("[]", {"body"}),
        ("", {"body"}),
    ],
)
def test_a_body_of_the_wrong_shape_names_its_fields(
    failing: TestClient, body: str, fields: set[str]
) -> None:
    answer = failing.post("/api/frame", content=body, headers={"Content-Type": "application/json"})
    assert answer.status_code == 422
    assert {error["field"] for error in answer.json()["errors"]} == fields
    assert all(error["remedy"] for error in answer.json()["errors"])


def test_a_missing_field_of_a_form_is_a_page(failing: TestClient) -> None:
    answer = failing.post("/form", data={})
    assert answer.status_code == 422
    assert "note" in answer.text
    assert "<h1>" in answer.text


def test_what_the_framework_refuses_looks_the_same(failing: TestClient) -> None:
    assert failing.get("/a/b").status_code == 404
    assert "There is nothing at this address" in failing.get("/a/b").text
    wrong = failing.delete("/invalid")
    assert (wrong.status_code, wrong.headers["Allow"]) == (405, "GET")
    assert failing.delete("/api/frame").json()["errors"][0]["field"] == "request"


@pytest.mark.parametrize("announced", [True, False])
def test_a_body_beyond_the_limit_is_refused(failing: TestClient, announced: bool) -> None:
    body = b"note=" + b"x" * 3000
    content = body if announced else iter([body[:1500], body[1500:]])
    kind = {"Content-Type": "application/x-www-form-urlencoded"}
    assert failing.post("/form", content=content, headers=kind).status_code == 413


@pytest.mark.parametrize(
    "value",
    [math.nan, -math.inf, np.float64("nan"), np.float64(1.5), np.int64(3), 10**400, "x" * 10_000,
     "\ud800", b"\xff", {"a": math.inf}, [math.nan], None, True, object()],
)  # fmt: skip
def test_any_value_can_be_repeated_in_json(value: object) -> None:
    text = json.dumps(plain(value), allow_nan=False, ensure_ascii=False)
    assert len(text.encode()) < 1000


def test_every_error_of_the_tree_has_words_for_its_page() -> None:
    from webapp.common.web import error_answers

    statuses = {kind.status for kind in DomainError.__subclasses__()}
    assert statuses <= set(error_answers._TITLES)


def test_a_body_that_cannot_be_read_is_told_what_to_do(failing: TestClient) -> None:
    kind = {"Content-Type": "application/json"}
    answer = failing.post("/api/frame", content=b"[" * 1900, headers=kind)
    assert answer.status_code == 400
    assert answer.json()["errors"][0]["remedy"].startswith("send it in the form")
