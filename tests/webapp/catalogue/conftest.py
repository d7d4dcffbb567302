"""A shop of one's own for each test: an SQLite copy of the demo catalogue."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import Engine

from webapp.catalogue.reading import load_catalogue
from webapp.catalogue.views import Catalogue
from webapp.ground.database import make_engine, reading


@pytest.fixture
def shop(tmp_path: Path, _filled_sqlite: Path) -> Iterator[Engine]:
    """An engine on an SQLite copy of the demo catalogue."""
    file = tmp_path / "shop.sqlite"
    shutil.copy(_filled_sqlite, file)
    engine = make_engine(f"sqlite:///{file}")
    yield engine
    engine.dispose()


@pytest.fixture
def knapweed(shop: Engine) -> Catalogue:
    """The Knapweed's newest revision."""
    with reading(shop) as session:
        return load_catalogue(session, "knapweed")


@pytest.fixture
def burdock(shop: Engine) -> Catalogue:
    """The Burdock's newest revision."""
    with reading(shop) as session:
        return load_catalogue(session, "burdock")
