"""A shop kept by the last version before quotes were packed opens, adds up and prints the same."""

from __future__ import annotations

import io
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import date
from pathlib import Path

import pypdf
import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlmodel import select

from webapp.app import create_app
from webapp.common.settings import Settings
from webapp.common.storage.database import reading, writing
from webapp.migrations import drift
from webapp.quote.states import State
from webapp.quote.storage.read import quote_by_number, view_of
from webapp.quote.storage.search import find_quotes, read_wanted
from webapp.quote.tables import Quote

KEPT = Path(__file__).parent / "before_packing"
BASE = "https://bikes.example.org"
ACCEPTED, OPEN = "2026-0001", "2026-0004"
TOTALS = {ACCEPTED: 460_800, OPEN: 131_900}  # cents, as that version listed them


@pytest.fixture
def upgraded(tmp_path: Path) -> Iterator[FastAPI]:
    """The service on that shop's data; it brings the tables up to date as it starts."""
    with closing(sqlite3.connect(tmp_path / "configurator.sqlite")) as file:
        file.executescript((KEPT / "shop.sql").read_text())
    app = create_app(Settings(data_folder=tmp_path, database_url=None, base_url=BASE))
    with TestClient(app, base_url=BASE):
        yield app


def link_of(app: FastAPI, number: str) -> str:
    with reading(app.state.engine) as session:
        return "/q/" + session.exec(select(Quote.token).where(Quote.number == number)).one()


def test_its_tables_are_todays(upgraded: FastAPI) -> None:
    with writing(upgraded.state.engine) as session:
        assert drift(session.connection()) == []


@pytest.mark.parametrize("number", [ACCEPTED, OPEN])
def test_a_quote_opens_with_its_sums(upgraded: FastAPI, number: str) -> None:
    with reading(upgraded.state.engine) as session:
        row = quote_by_number(session, number)
        view = view_of(session, row, 1)
    price = view.content.price
    assert price.gross.minor == row.gross_minor == TOTALS[number]
    assert price.net.minor + price.tax.minor == price.gross.minor
    assert row.accepted_version == (1 if number == ACCEPTED else None)
    assert (row.state == State.ACCEPTED) == (number == ACCEPTED)


@pytest.mark.parametrize("number", [ACCEPTED, OPEN])
def test_a_quote_is_shown_and_prints_the_same_words(upgraded: FastAPI, number: str) -> None:
    visitor = TestClient(upgraded, base_url=BASE)
    link = link_of(upgraded, number)
    shown = visitor.get(link)
    assert shown.status_code == 200
    assert "Ada Marl" in shown.text
    paper = visitor.get(link + "/sheet.pdf")
    assert paper.status_code == 200
    pages = pypdf.PdfReader(io.BytesIO(paper.content)).pages
    printed = "\n".join(page.extract_text() for page in pages) + "\n"
    assert printed == (KEPT / f"{number}.txt").read_text()


def test_what_was_open_can_be_found(upgraded: FastAPI) -> None:
    with reading(upgraded.state.engine) as session:
        wanted = read_wanted("marl accepted")
        found = find_quotes(session, wanted, today=date(2026, 11, 27))
    assert [entry.number for entry in found.entries] == [ACCEPTED]
