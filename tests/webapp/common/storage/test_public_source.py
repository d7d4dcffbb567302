"""Public pages are read from a copy only while it holds everything that was published."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import Engine, text
from sqlmodel import Session

from webapp.catalogue.reading.load import edition
from webapp.catalogue.reading.settings import settings_data
from webapp.catalogue.writing.shop import put_settings
from webapp.common.storage.database import make_engine, reading, writing
from webapp.common.storage.public_source import PAUSE, PublicSource


@pytest.fixture
def copy(shop: Engine, tmp_path: Path) -> Iterator[Engine]:
    """A copy of the shop's database that stands still."""
    file = tmp_path / "copy.sqlite"
    shutil.copy(str(shop.url.database), file)
    engine = make_engine(f"sqlite:///{file}")
    yield engine
    engine.dispose()


def rename_tax(engine: Engine, name: str) -> None:
    with writing(engine) as session:
        data = settings_data(session).model_dump(mode="json") | {"tax_name": name}
        put_settings(session, who="Edda", data=data)


def is_of(session: Session, engine: Engine) -> bool:
    return session.get_bind().engine.url == engine.url


def test_a_copy_is_read_while_it_is_not_behind(shop: Engine, copy: Engine) -> None:
    source = PublicSource(shop, copy, edition)
    with source.reading() as session:
        assert is_of(session, copy)
    rename_tax(shop, "Levy")
    with source.reading() as session:
        assert is_of(session, shop)
        assert settings_data(session).tax_name == "Levy"


def test_a_copy_that_is_away_is_left_in_peace_for_a_while(shop: Engine, tmp_path: Path) -> None:
    away = make_engine(f"sqlite:///{tmp_path / 'away.sqlite'}")  # without a single table
    time = [0.0]
    asked: list[Engine] = []

    def noted(session: Session) -> str:
        asked.append(session.get_bind().engine)
        return edition(session)

    source = PublicSource(shop, away, noted, clock=lambda: time[0])
    for time[0], tries in ((0.0, 2), (PAUSE - 1, 2), (PAUSE + 1, 4)):
        with source.reading() as session:
            assert is_of(session, shop)
        assert len(asked) == tries
    away.dispose()


def test_what_is_read_in_several_statements_is_one_moment(engine: Engine) -> None:
    """On PostgreSQL too, whose usual level shows each statement what came before it."""
    tax = text("SELECT data FROM shop_setting")
    with reading(engine) as session:
        before = session.connection().execute(tax).scalar_one()
        rename_tax(engine, "Levy")
        assert session.connection().execute(tax).scalar_one() == before
    with reading(engine) as session:
        assert session.connection().execute(tax).scalar_one() != before
