"""Many ask for a quote at the same moment."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import pytest
from fastapi.testclient import TestClient
from sqlalchemy import text

from webapp.app import create_app
from webapp.common.settings import Settings
from webapp.common.storage import database
from webapp.common.storage.database import reading

AT_ONCE = 16
TYPED = {"name": "Ada Marl", "mail": "ada@marl.example", "note": ""}


def test_more_riders_than_connections_all_get_their_quote(
    settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Holding one connection while waiting for another, they would wait for each other."""
    few = {"pool_size": 2, "max_overflow": 0, "pool_timeout": 60}
    monkeypatch.setattr(database, "_pooling", lambda *_: few)
    with TestClient(create_app(settings), follow_redirects=False) as client:

        def ask(number: int) -> int:
            typed = TYPED | {"key": f"{number:024d}", "mail": f"rider{number}@marl.example"}
            return int(client.post("/quote/knapweed", data=typed).status_code)

        with ThreadPoolExecutor(AT_ONCE) as riders:
            answers = list(riders.map(ask, range(AT_ONCE)))
        with reading(client.app.state.engine) as session:  # type: ignore[attr-defined]
            kept = session.connection().execute(text("SELECT count(*) FROM quote")).scalar_one()
    assert answers == [303] * AT_ONCE
    assert kept == AT_ONCE


def test_no_free_connection_is_told_with_when_to_come_back(
    settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    few = {"pool_size": 1, "max_overflow": 0, "pool_timeout": 0.01}
    monkeypatch.setattr(database, "_pooling", lambda *_: few)
    with TestClient(create_app(settings), raise_server_exceptions=False) as client:
        with reading(client.app.state.engine) as session:  # type: ignore[attr-defined]
            session.connection()
            page, data = client.get("/fit"), client.get("/api/v1/models")
            alive = client.get("/health")
        again = client.get("/fit")
    assert (page.status_code, data.status_code) == (503, 503)
    assert page.headers["retry-after"] == data.headers["retry-after"] == "5"
    assert "try again in a moment" in page.text
    assert "try again in a moment" in data.json()["errors"][0]["remedy"]
    assert (alive.status_code, again.status_code) == (200, 200)
