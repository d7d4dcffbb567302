"""What the tests of the drawing office share: a shop of one's own, and its builder signed in."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import Engine

from webapp.ground.database import make_engine


@pytest.fixture
def shop(_filled_sqlite: Path, tmp_path: Path) -> Iterator[Engine]:
    """A copy of the filled SQLite file."""
    copy = tmp_path / "shop.sqlite"
    shutil.copy(_filled_sqlite, copy)
    engine = make_engine(f"sqlite:///{copy}")
    yield engine
    engine.dispose()
