"""Whole answers are given again while they hold, to whom they may be, and never longer."""

from __future__ import annotations

import gzip
import re
from datetime import timedelta

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy.exc import OperationalError

from webapp.catalogue.writing.parts import put_part_price
from webapp.common.storage.database import make_engine, writing
from webapp.common.timestamps import now
from webapp.common.web import kept_answers
from webapp.common.web.kept_answers import _Answer, _Kept
from webapp.common.web.templating import environment

BUILD = "/build/knapweed?rev=2&size=m"


@pytest.fixture
def rendered(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Every page that is made anew."""
    made: list[str] = []
    select = type(environment()).select_template

    def noting(self: object, names: tuple[str, ...], *rest: object) -> object:
        made.append(names[0])
        return select(self, names, *rest)  # type: ignore[arg-type]

    monkeypatch.setattr(type(environment()), "select_template", noting)
    return made


@pytest.mark.parametrize(
    "address", [BUILD, "/fit/knapweed", "/table/knapweed", "/side-by-side?build=knapweed"]
)
def test_an_address_seen_is_answered_from_what_is_kept(
    client: TestClient, rendered: list[str], address: str
) -> None:
    first = client.get(address)
    pages = len(rendered)
    again = client.get(address)
    assert (again.status_code, again.text) == (200, first.text)
    assert len(rendered) == pages == 1
    differ = {"x-request-id", "date"}
    assert {k: v for k, v in again.headers.items() if k not in differ} == {
        k: v for k, v in first.headers.items() if k not in differ
    }
    assert again.headers["x-request-id"] != first.headers["x-request-id"]
    unchanged = client.get(address, headers={"If-None-Match": first.headers["etag"]})
    assert (unchanged.status_code, unchanged.content) == (304, b"")
    assert "content-security-policy" in unchanged.headers
    head = client.head(address)
    assert (head.status_code, head.headers["etag"]) == (200, first.headers["etag"])
    assert client.get("/metrics").status_code in {200, 404}
    assert {"Cookie", "HX-Request-Type"} <= set(first.headers["vary"].split(", "))


def test_a_publication_by_another_process_is_seen_at_the_next_request(
    client: TestClient, app: FastAPI
) -> None:
    before = client.get(BUILD)
    another = make_engine(app.state.engine.url.render_as_string(hide_password=False))
    with writing(another) as session:
        put_part_price(session, who="x", price_list="eur-2026", kind="fork",
                       slug="suspension-130", minor=123_456)  # fmt: skip
    another.dispose()
    after = client.get(BUILD, headers={"If-None-Match": before.headers["etag"]})
    assert after.status_code == 200
    assert "1234.56" in after.text.replace(",", "").replace("\N{NARROW NO-BREAK SPACE}", "")
    assert after.headers["etag"] != before.headers["etag"]


def test_what_is_somebodys_own_is_made_anew(client: TestClient, rendered: list[str]) -> None:
    own: tuple[tuple[str, dict[str, str]], ...] = (
        (f"{BUILD}&stature=1780", {}),
        ("/side-by-side?build=knapweed%3Fstature%3D1780", {}),
        (BUILD, {"Cookie": "session=somebody"}),
        (BUILD, {"Cookie": "units=metric; session=somebody"}),
        (BUILD, {"Cookie": "units=furlongs"}),
        (BUILD, {"Authorization": "Bearer x"}),
        (f"{BUILD}&size=none", {}),  # refused, so it is not kept
    )
    for address, headers in own:
        before = len(rendered)
        for _ in range(2):
            assert "etag" not in client.get(address, headers=headers).headers, address
        assert len(rendered) == before + 2, address


def test_who_has_said_their_units_is_answered_from_what_is_kept_in_them(
    client: TestClient, rendered: list[str]
) -> None:
    metric, imperial = {"Cookie": "units=metric"}, {"Cookie": "units=imperial"}
    pages = {
        units["Cookie"]: [client.get(BUILD, headers=units) for _ in range(2)]
        for units in (metric, imperial)
    }
    assert len(rendered) == 2
    first, again = pages["units=metric"]
    assert (first.text, first.headers["etag"]) == (again.text, again.headers["etag"])
    inches, _ = pages["units=imperial"]
    assert first.headers["etag"] != inches.headers["etag"]
    pounds = re.compile(r"\d\s?lb\b")
    assert not pounds.search(first.text)
    assert pounds.search(inches.text)
    told = {**imperial, "If-None-Match": inches.headers["etag"]}
    assert client.get(BUILD, headers=told).status_code == 304
    assert client.get(BUILD, headers={**told, **metric}).status_code == 200


def test_a_part_of_a_page_is_no_page_and_no_host_is_another(
    client: TestClient, app: FastAPI
) -> None:
    whole = client.get(BUILD)
    part = client.get(BUILD, headers={"HX-Request-Type": "partial"})
    assert len(part.text) < len(whole.text)
    assert part.headers["etag"] != whole.headers["etag"]
    asked = {"Accept-Encoding": "identity"}
    assert "content-encoding" not in client.get(BUILD, headers=asked).headers
    with client.stream("GET", BUILD, headers={"Accept-Encoding": "gzip"}) as packed:
        assert gzip.decompress(b"".join(packed.iter_raw())).decode() == whole.text
    secure = TestClient(app, base_url="https://testserver").get(BUILD)
    assert secure.headers["etag"] != whole.headers["etag"]


def test_an_answer_kept_counts_as_its_route(client: TestClient, app: FastAPI) -> None:
    for _ in range(3):
        client.get(BUILD)
    text, _ = app.state.figures.written("text/plain")
    assert b'route="/build/{model}",status="200"} 3.0' in text


def test_a_database_that_is_away_is_told_by_the_page(
    client: TestClient, app: FastAPI, monkeypatch: pytest.MonkeyPatch
) -> None:
    client.get(BUILD)

    def away(*_: object) -> str:
        raise OperationalError("away", {}, Exception("away"))

    monkeypatch.setattr(app.state.engine.pool, "connect", away)
    assert TestClient(app, raise_server_exceptions=False).get(BUILD).status_code >= 500


def test_prices_of_another_day_are_not_those_of_today(
    client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    today = client.get(BUILD).headers["etag"]

    tomorrow = now() + timedelta(days=1)
    monkeypatch.setattr(kept_answers, "now", lambda: tomorrow)
    assert client.get(BUILD).headers["etag"] != today


def test_what_is_kept_has_an_end() -> None:
    kept = _Kept(most=100)
    for number in range(30):
        kept.get("first", (str(number), True))
        kept.put("first", (str(number), True), _Answer({"type": "x"}, b"x" * 30, None))
        assert kept.bytes <= 100
    assert [key for key, _ in kept.answers] == ["27", "28", "29"]
    assert kept.get("second", ("29", True)) is None
    assert (kept.bytes, len(kept.answers)) == (0, 0)
    kept.put("first", ("30", True), _Answer({"type": "x"}, b"x", None))  # made before an edit
    assert not kept.answers
