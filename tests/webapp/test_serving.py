"""The service as processes of its own: several of them, what each sees, and how they end."""

from __future__ import annotations

import signal
import socket
import time
from collections.abc import Iterator
from contextlib import ExitStack
from datetime import UTC, date, datetime
from pathlib import Path
from urllib.parse import urlencode

import httpx
import pytest
from fastapi.testclient import TestClient
from sqlalchemy import Engine, text

from tests.by_hand.running import Running, start, visitor
from webapp.app import create_app
from webapp.catalogue.reading.settings import settings_data
from webapp.catalogue.writing.parts import put_frame_price
from webapp.catalogue.writing.shop import put_settings
from webapp.common.settings import Settings
from webapp.common.storage.database import make_engine, reading, writing
from webapp.office.revisions.drafts import begin_draft, locked_revision
from webapp.office.revisions.publish import proposed_changelog, publish_draft
from webapp.office.revisions.size_grid import cells_of, save_cells
from webapp.office.save import one_save
from webapp.serving import _config

WHO, DAY = "Edda", datetime.now(UTC).date()
TWO = ("--workers", "2")
KINDS = ["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)]


@pytest.fixture(params=KINDS)
def address(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Address of an empty database of either kind, as a setting."""
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path / 'shop.sqlite'}"
    return str(request.getfixturevalue("postgres_database"))


def counted(engine: Engine, what: str) -> int:
    with reading(engine) as session:
        return int(session.connection().execute(text(f"SELECT count(*) {what}")).scalar_one())


# --- the start ---------------------------------------------------------------------------


def test_several_processes_are_prepared_once(tmp_path: Path, address: str) -> None:
    service = start(tmp_path, database=address, words=TWO)
    engine = make_engine(address)
    try:
        service.first_link()
        with visitor(service.address, 1) as client:
            assert client.get("/fit/knapweed").status_code == 200
            assert client.get("/ready").json() == {"status": "ready"}
    finally:
        assert service.stop() == 0
    links = [line for line in service.printed if "set your password" in line]
    assert len(links) == 1, service.printed
    assert counted(engine, "FROM account_link") == 1
    assert counted(engine, "FROM account") == 1
    assert counted(engine, "FROM frame_model") == 2
    engine.dispose()


# --- what each process sees --------------------------------------------------------------


@pytest.fixture
def two(tmp_path: Path, engine: Engine) -> Iterator[tuple[httpx.Client, httpx.Client]]:
    """A visitor of each of two services on one database, both asked once already."""
    database = engine.url.render_as_string(hide_password=False)
    with ExitStack() as stack:
        clients = []
        for number in (1, 2):
            service = start(tmp_path, database=database)
            stack.callback(service.stop)
            client = stack.enter_context(visitor(service.address, number))
            assert client.get("/table/knapweed").status_code == 200
            clients.append(client)
        yield clients[0], clients[1]


def publish(engine: Engine, reach: str) -> None:
    with writing(engine) as session:
        number = begin_draft(session, who=WHO, model="knapweed").number
    with writing(engine) as session, one_save(session):
        revision = locked_revision(session, "knapweed", number)
        cells = {**cells_of(revision.sizes), "m.reach": reach}
        save_cells(session, who=WHO, revision=revision, cells=cells)
    with writing(engine) as session:
        revision = locked_revision(session, "knapweed", number)
        words, stamp = proposed_changelog(session, revision), revision.stamp
        publish_draft(session, who=WHO, revision=revision, stamp=stamp, words=words, on=DAY)


def test_a_publication_prices_and_settings_are_seen_by_all_at_the_next_request(
    two: tuple[httpx.Client, httpx.Client], engine: Engine
) -> None:
    """Written by a third process: this one."""
    publish(engine, "474.5")
    for client in two:
        data = client.get("/api/v1/models/knapweed").json()
        assert data["revision"]["number"] == 3
        assert "474.5" in client.get("/table/knapweed").text
    assert not any("9,876.00" in client.get("/build/knapweed").text for client in two)
    listed = counted_list(engine)
    with writing(engine) as session:
        put_frame_price(session, who=WHO, price_list=listed, model="knapweed", minor=987_600)
    assert all("9,876.00" in client.get("/build/knapweed").text for client in two)
    with writing(engine) as session:
        shop = settings_data(session).model_dump(mode="json")
        shop["tax_name"] = "Levy"
        put_settings(session, who=WHO, data=shop)
    assert all("Levy" in client.get("/build/knapweed").text for client in two)


def counted_list(engine: Engine) -> str:
    """The price list that counts today."""
    words = "SELECT slug FROM price_list WHERE valid_from <= :day ORDER BY valid_from DESC"
    with reading(engine) as session:
        rows = session.connection().execute(text(words), {"day": date.today()})  # noqa: DTZ011
        return str(rows.scalars().first())


# --- the end -----------------------------------------------------------------------------


def half_asked(service: Running, number: int) -> tuple[socket.socket, bytes]:
    """A quote asked for with half of its form sent; what is left to send."""
    host, _, port = service.address.removeprefix("http://").partition(":")
    form = {"name": "Ada Marl", "mail": "ada@marl.example", "note": "", "key": f"{number:024}"}
    body = urlencode(form).encode()
    asking = socket.create_connection((host, int(port)), timeout=30)
    head = (
        f"POST /quote/knapweed HTTP/1.1\r\nHost: {host}:{port}\r\nSec-Fetch-Site: same-origin\r\n"
        f"Content-Type: application/x-www-form-urlencoded\r\nContent-Length: {len(body)}\r\n\r\n"
    )
    asking.sendall(head.encode() + body[:20])
    return asking, body[20:]


@pytest.fixture
def folder(settings: Settings) -> Path:
    """A data folder that is filled already."""
    return settings.data_folder


@pytest.mark.parametrize("words", [(), TWO], ids=["one process", "two processes"])
def test_requests_under_way_end_before_the_service_does(
    folder: Path, words: tuple[str, ...]
) -> None:
    service = start(folder, words=words)
    asking, rest = half_asked(service, 7)
    time.sleep(0.3)  # until it has arrived
    service.process.send_signal(signal.SIGTERM)
    time.sleep(1)
    assert service.process.poll() is None
    asking.sendall(rest)
    answer = asking.recv(4000)
    asking.close()
    assert b" 303 " in answer.partition(b"\r\n")[0]
    assert service.process.wait(30) in {0, -signal.SIGTERM}
    engine = make_engine(f"sqlite:///{folder / 'configurator.sqlite'}")
    assert counted(engine, "FROM quote") == 1
    engine.dispose()


def test_who_never_ends_is_waited_for_no_longer_than_the_setting_says(folder: Path) -> None:
    service = start(folder, STOP_WITHIN="1")
    asking, _ = half_asked(service, 8)
    time.sleep(0.3)
    begun = time.monotonic()
    service.process.send_signal(signal.SIGTERM)
    service.process.wait(20)
    assert time.monotonic() - begun < 10
    asking.close()


# --- proxies -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("trusted", "scheme"), [("", "http"), ("10.7.0.0/16", "https"), ("10.8.0.0/16", "http")]
)
def test_only_a_named_proxy_is_believed(settings: Settings, trusted: str, scheme: str) -> None:
    settings = settings.model_copy(update={"trusted_proxies": trusted})
    config = _config(create_app(settings), settings)
    config.load()
    headers = {"X-Forwarded-Proto": "https", "X-Forwarded-For": "203.0.113.9"}
    with TestClient(config.loaded_app, client=("10.7.0.1", 50_000)) as client:
        page = client.get("/table/knapweed", headers=headers).text
    assert f'"{scheme}://testserver' in page
