"""What every JSON address refuses alike, found from the interface's own description."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient

from webapp.app import create_app
from webapp.common.settings import Settings


def _resolved(described: dict[str, Any], schema: dict[str, Any]) -> dict[str, Any]:
    while "$ref" in schema:
        schema = described["components"]["schemas"][schema["$ref"].rpartition("/")[2]]
    return schema


def _kinds(schema: dict[str, Any]) -> set[str]:
    """The types of JSON a field takes."""
    return {one.get("type", "object") for one in schema.get("anyOf", [schema])}


def _fields(
    described: dict[str, Any], schema: dict[str, Any], path: tuple[str, ...] = ()
) -> Iterator[tuple[tuple[str, ...], set[str]]]:
    """Every field of a request with its types, those inside other fields too."""
    for name, field in _resolved(described, schema).get("properties", {}).items():
        found = _resolved(described, field)
        yield (*path, name), _kinds(found)
        for one in [found, *found.get("anyOf", ())]:
            if "properties" in _resolved(described, one):
                yield from _fields(described, one, (*path, name))


def _cases() -> list[Any]:
    described = create_app().openapi()
    cases = []
    for path, methods in described["paths"].items():
        content = methods.get("post", {}).get("requestBody", {}).get("content", {})
        if "application/json" not in content:
            continue
        schema = content["application/json"]["schema"]
        for where, kinds in _fields(described, schema):
            if kinds & {"number", "integer", "string"} and "boolean" not in kinds:
                cases.append(pytest.param(path, where, id=f"{path}:{'.'.join(where)}"))
    assert len(cases) > 50
    return cases


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory, _filled_sqlite: Path) -> Iterator[TestClient]:
    """One service for all: what is refused here changes nothing in it."""
    folder = tmp_path_factory.mktemp("bodies")
    shutil.copy(_filled_sqlite, folder / "configurator.sqlite")
    app = create_app(Settings(data_folder=folder, database_url=None, base_url=None))
    with TestClient(app, follow_redirects=False, raise_server_exceptions=False) as client:
        yield client


@pytest.mark.parametrize(("path", "where"), _cases())
def test_true_is_neither_a_number_nor_a_text(
    client: TestClient, path: str, where: tuple[str, ...]
) -> None:
    body: Any = True
    for name in reversed(where):
        body = {name: body}
    answer = client.post(path, json=body)
    assert answer.status_code == 422
    assert ".".join(where) in [problem["field"] for problem in answer.json()["errors"]]


def test_true_is_refused_inside_a_list_and_an_object_too(client: TestClient) -> None:
    for field, value in (("tolerances", {"reach": True}), ("drawn_with", {"offset": True})):
        answer = client.post("/api/v1/geometry", json={field: value})
        fields = [problem["field"] for problem in answer.json()["errors"]]
        assert any(name.startswith(field) for name in fields)
    answer = client.post("/api/v1/fit", json={"model": "knapweed", "build": {"slot": True}})
    assert [problem["field"] for problem in answer.json()["errors"]] == ["build"]
