"""The demo catalogue: as values for tests that only look at it, as a shop for those that write."""

from __future__ import annotations

import shutil
from collections.abc import Iterator, Mapping
from pathlib import Path
from types import MappingProxyType

import pytest
from sqlalchemy import Engine

from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.reading.views import Catalogue
from webapp.common.storage.database import make_engine, reading

REVISIONS = (("knapweed", 1), ("knapweed", 2), ("burdock", 1))


@pytest.fixture(scope="session")
def catalogues(_filled_sqlite: Path) -> Mapping[tuple[str, int], Catalogue]:
    """Every published revision of the demo catalogue, by model and number."""
    engine = make_engine(f"sqlite:///{_filled_sqlite}")
    with reading(engine) as session:
        found = {key: load_catalogue(session, *key) for key in REVISIONS}
    engine.dispose()
    return MappingProxyType(found)


@pytest.fixture(scope="session")
def trail(catalogues: Mapping[tuple[str, int], Catalogue]) -> Catalogue:
    """The Knapweed's newest revision: sliding axle, five forks, two wheel sizes."""
    return catalogues["knapweed", 2]


@pytest.fixture(scope="session")
def tourer(catalogues: Mapping[tuple[str, int], Catalogue]) -> Catalogue:
    """The Burdock: a fixed rear axle."""
    return catalogues["burdock", 1]


@pytest.fixture
def shop(tmp_path: Path, _filled_sqlite: Path) -> Iterator[Engine]:
    """A copy of the filled SQLite file, where the kind of database does not matter."""
    copy = tmp_path / "shop.sqlite"
    shutil.copy(_filled_sqlite, copy)
    engine = make_engine(f"sqlite:///{copy}")
    yield engine
    engine.dispose()
