"""A refusal names only what the request holds, or what its description asks for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import pytest
from fastapi.testclient import TestClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

POSTS = tuple(
    f"/api/v1/{name}" for name in ("geometry", "fit", "slot", "bench", "match", "position")
)

odd = (
    st.none() | st.booleans() | st.integers(-1000, 3000) | st.floats(-1000, 3000)
    | st.sampled_from([1e308, 5e-324, 2**70, 0, "", "x", "74-622", "m", "knapweed", "chain"])
    | st.text(max_size=4)
)  # fmt: skip


class Described:
    """The described interface, as a reader of its description sees it."""

    def __init__(self, described: Mapping[str, Any]) -> None:
        self.described = described

    def body_of(self, path: str) -> Mapping[str, Any]:
        post = self.described["paths"][path]["post"]
        return self.one(post["requestBody"]["content"]["application/json"]["schema"])

    def one(self, schema: Mapping[str, Any]) -> Mapping[str, Any]:
        """A schema with its reference followed."""
        if "$ref" in schema:
            found: Mapping[str, Any] = self.described["components"]["schemas"][
                schema["$ref"].rsplit("/", 1)[1]
            ]
            return found
        return schema

    def shapes(self, schema: Mapping[str, Any]) -> Iterator[Mapping[str, Any]]:
        """Every shape a value may have."""
        here = self.one(schema)
        for each in here.get("anyOf", ()) or here.get("oneOf", ()):
            yield from self.shapes(each)
        yield here

    def values(self, schema: Mapping[str, Any], depth: int = 3) -> st.SearchStrategy[Any]:
        """Bodies of the shape described, with odd values and odd fields in them."""
        ways = [odd]
        for shape in self.shapes(schema):
            if shape.get("properties") and depth:
                fields = {n: self.values(s, depth - 1) for n, s in shape["properties"].items()}
                needed = {n: fields.pop(n) for n in shape.get("required", ())}
                ways.append(st.fixed_dictionaries(needed, optional=fields))
            if shape.get("type") == "array" and depth:
                ways.append(st.lists(self.values(shape.get("items", {}), depth - 1), max_size=3))
            if shape.get("type") == "number":
                ways.append(st.floats(shape.get("minimum", -100), shape.get("maximum", 900)))
            if shape.get("enum"):
                ways.append(st.sampled_from(shape["enum"]))
        unknown = st.dictionaries(st.sampled_from(["wings", "1", "reach", "é"]), odd, max_size=2)
        return st.one_of(*ways, unknown)

    def knows(self, schema: Mapping[str, Any], sent: Any, steps: list[str]) -> bool:
        """Whether a field stands in the request, or in what its description asks for."""
        if not steps:
            return True
        step, rest = steps[0], steps[1:]
        if isinstance(sent, dict) and step in sent:
            inside = [s["properties"][step] for s in self.shapes(schema)
                      if step in s.get("properties", {})]  # fmt: skip
            return self.knows(inside[0] if inside else {}, sent[step], rest)
        if isinstance(sent, list) and step.isdigit() and int(step) < len(sent):
            items = [s["items"] for s in self.shapes(schema) if "items" in s]
            return self.knows(items[0] if items else {}, sent[int(step)], rest)
        return any(
            self.knows(shape["properties"][step], None, rest)
            for shape in self.shapes(schema)
            if step in shape.get("properties", {})
        )


@pytest.mark.parametrize("path", POSTS)
def test_no_refusal_names_a_field_the_request_does_not_have(client: TestClient, path: str) -> None:
    api = Described(client.get("/api/v1/openapi.json").json())
    schema = api.body_of(path)

    @settings(max_examples=60, deadline=None, derandomize=True, database=None,
              suppress_health_check=list(HealthCheck))  # fmt: skip
    @given(body=api.values(schema))
    def try_it(body: Any) -> None:
        answer = client.post(path, json=body)
        assert answer.status_code in {200, 404, 422}, answer.text
        if answer.status_code != 422:
            return
        for error in answer.json()["errors"]:
            named = error["field"]
            assert named == "body" or api.knows(schema, body, named.split(".")), (named, body)
            assert error["remedy"], error

    try_it()


def test_every_post_of_the_interface_is_tried(client: TestClient) -> None:
    paths = client.get("/api/v1/openapi.json").json()["paths"]
    assert {path for path, operations in paths.items() if "post" in operations} == set(POSTS)
