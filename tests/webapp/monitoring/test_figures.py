"""The figures at /metrics: who may see them, what they count, and their format."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from prometheus_client.openmetrics.parser import text_string_to_metric_families as open_families
from prometheus_client.parser import text_string_to_metric_families as plain_families
from pydantic import ValidationError

from tests.by_hand.running import start, visitor
from webapp.app import create_app
from webapp.common.settings import Settings

TOKEN = "figures for our own eyes"
OPEN = "application/openmetrics-text; version=1.0.0"
BEARER = {"Authorization": f"Bearer {TOKEN}"}
SECRET = "/q/AbCdEfGhIjKlMnOpQrStUvWx"


@pytest.fixture
def watched(settings: Settings) -> Iterator[TestClient]:
    """A client of a service that tells its figures to whoever brings the token."""
    given = settings.model_dump() | {"metrics_token": TOKEN}
    with TestClient(create_app(Settings(**given)), follow_redirects=False) as client:
        yield client


def count(text: str, name: str, **labels: str) -> float:
    """The sum of a figure over everything that has these labels."""
    return sum(
        sample.value
        for family in plain_families(text)
        for sample in family.samples
        if sample.name == name and labels.items() <= sample.labels.items()
    )


def test_without_a_token_in_the_settings_there_is_no_such_page(client: TestClient) -> None:
    assert client.get("/metrics", headers=BEARER).status_code == 404


WRONG = ("", "Bearer", "Bearer wrong", TOKEN, f"Basic {TOKEN}", "Bearer é")


@pytest.mark.parametrize("given", WRONG)
def test_figures_are_for_whoever_brings_the_token(watched: TestClient, given: str) -> None:
    answer = watched.get("/metrics", headers={"Authorization": given.encode("latin-1")})
    assert answer.status_code == 401
    assert answer.headers["www-authenticate"] == "Bearer"
    assert "stancewright" not in answer.text


def test_a_short_token_is_refused() -> None:
    with pytest.raises(ValidationError, match="METRICS_TOKEN"):
        Settings(metrics_token="short")


def test_requests_are_counted_by_route_and_never_by_address(watched: TestClient) -> None:
    for _ in range(3):
        watched.get("/build/knapweed?inseam=812.375")
    watched.get(SECRET)
    watched.get("/nothing/of/the/kind")
    watched.request("BREW", "/fit")
    text = watched.get("/metrics", headers=BEARER).text
    asked = "stancewright_requests_total"
    assert count(text, asked, route="/build/{model}", status="200", method="GET") == 3
    assert count(text, asked, route="/q/{token}", status="404") == 1
    assert count(text, asked, route="none", status="404") >= 1
    assert count(text, asked, method="other") == 1
    assert count(text, "stancewright_request_seconds_count", route="/build/{model}") == 3
    assert count(text, "stancewright_requests_under_way") == 1  # this one
    assert count(text, "stancewright_processes") == 1
    assert not [word for word in ("812.375", "knapweed", SECRET[3:], "BREW") if word in text]


def test_both_formats_are_read_by_the_format_s_own_parsers(watched: TestClient) -> None:
    watched.get("/fit/knapweed")
    plain = watched.get("/metrics", headers=BEARER)
    open_metrics = watched.get("/metrics", headers=BEARER | {"Accept": OPEN})
    assert plain.headers["content-type"].startswith("text/plain")
    assert open_metrics.headers["content-type"].startswith("application/openmetrics-text")
    assert open_metrics.text.endswith("# EOF\n")
    names = {family.name for family in open_families(open_metrics.text)}  # type: ignore[no-untyped-call]
    assert names == {
        "stancewright_requests", "stancewright_request_seconds",
        "stancewright_requests_under_way", "stancewright_processes",
    }  # fmt: skip
    assert names <= {family.name for family in plain_families(plain.text)}


def test_any_of_several_processes_tells_the_figures_of_all(settings: Settings) -> None:
    folder: Path = settings.data_folder
    service = start(folder, words=("--workers", "2"), METRICS_TOKEN=TOKEN)
    try:
        for number in range(12):  # each by a connection of its own, taken by either process
            with visitor(service.address, number) as client:
                assert client.get("/fit/knapweed").status_code == 200
        for number in range(4):
            with visitor(service.address, number) as client:
                text = client.get("/metrics", headers=BEARER).text
            fits = count(text, "stancewright_requests_total", route="/fit/{model}", status="200")
            assert fits == 12
            assert count(text, "stancewright_processes") == 2
    finally:
        service.stop()
