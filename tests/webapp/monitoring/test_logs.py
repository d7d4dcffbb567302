"""The log: a line about every request, its number in every line, and nothing about a person."""

from __future__ import annotations

import logging
import logging.config
import re
from collections.abc import Iterator
from io import StringIO

import pytest
from fastapi.testclient import TestClient

from webapp.monitoring.logs import log_config

# The measure is one that no moment, number of a request or time taken can be written like.
PERSONAL = ("Ada", "Marl", "ada@marl.example", "812.375", "secretsecretsecretsecret", "1.2.3.4")
TYPED = {"name": "Ada Marl", "mail": "ada@marl.example", "note": "812.375", "key": "l" * 24}


@pytest.fixture
def written(client: TestClient) -> Iterator[StringIO]:
    """What a service writes into its log, configured as in use."""
    before, level = list(logging.root.handlers), logging.root.level
    logging.config.dictConfig(log_config("info"))
    buffer = StringIO()
    handler = logging.root.handlers[0]
    assert isinstance(handler, logging.StreamHandler)
    handler.setStream(buffer)
    yield buffer
    logging.root.handlers[:] = before
    logging.root.setLevel(level)
    logging.getLogger("webapp").setLevel(logging.NOTSET)


def test_every_request_has_a_line_with_its_number_and_nothing_of_a_person(
    client: TestClient, written: StringIO
) -> None:
    numbers = []
    for method, path in (
        ("GET", "/build/knapweed?inseam=812.375"),
        ("GET", "/q/secretsecretsecretsecret"),
        ("POST", "/quote/knapweed"),
        ("GET", "/account/link/secretsecretsecretsecret"),
        ("GET", "/nowhere/Ada"),
        ("GET", "/static/Ada"),
        ("HEAD", "/fit/knapweed?inseam=812.375"),
    ):
        headers = {"X-Forwarded-For": "1.2.3.4", "Referer": "http://testserver/q/secret"}
        data = TYPED if method == "POST" else None
        numbers.append(
            client.request(method, path, data=data, headers=headers).headers["x-request-id"]
        )
    lines = written.getvalue().splitlines()
    told = [line for line in lines if " webapp.requests: " in line]
    assert [line.split()[2] for line in told] == numbers
    routes = [line.partition("requests: ")[2].split()[:3] for line in told]
    assert routes == [
        ["GET", "/build/{model}", "200"],
        ["GET", "/q/{token}", "404"],
        ["POST", "/quote/{model}", "303"],
        ["GET", "/account/link/{token}", "404"],
        ["GET", "none", "404"],
        ["GET", "/static", "404"],
        ["GET", "/fit/{model}", "200"],
    ]
    form = re.compile(r"\d{4}-\d\d-\d\dT[\d:]{8}\.\d{3}Z INFO [0-9a-f]{12} ")
    assert [line for line in told if not form.match(line)] == []
    assert [word for word in PERSONAL if word in "\n".join(lines)] == []


def test_an_error_is_told_by_kind_and_place_and_never_in_its_words(
    client: TestClient, written: StringIO
) -> None:
    @client.app.get("/broken")  # type: ignore[attr-defined,untyped-decorator]
    def broken() -> None:
        try:
            int("Ada Marl, 812.375")
        except ValueError as error:
            raise KeyError("ada@marl.example") from error

    number = re.findall(r"the number ([0-9a-f]{12})", client.get("/broken").text)[0]
    said = written.getvalue()
    assert f"ERROR {number}" in said
    assert "Traceback: KeyError" in said
    assert "Traceback: ValueError" in said
    assert f'File "{__file__}"' in said
    assert [word for word in PERSONAL if word in said] == []
