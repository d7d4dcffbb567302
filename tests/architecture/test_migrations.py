"""Migrations lead from nothing to the tables in the code, and back, on both databases."""

from __future__ import annotations

from pathlib import Path

import pytest
from alembic import command
from alembic.script import ScriptDirectory
from sqlalchemy import Engine, inspect

from webapp.common.settings import Settings
from webapp.common.storage.database import make_engine, writing
from webapp.migrations import configuration, drift, upgrade
from webapp.migrations.__main__ import main
from webapp.migrations.models import metadata


def test_empty_to_head_without_drift(empty_engine: Engine) -> None:
    with writing(empty_engine) as session:
        upgrade(session.connection())
    with writing(empty_engine) as session:
        assert drift(session.connection()) == []
    assert set(metadata.tables) < set(inspect(empty_engine).get_table_names())


def test_drift_is_seen(empty_engine: Engine) -> None:
    with writing(empty_engine) as session:
        connection = session.connection()
        upgrade(connection)
        connection.exec_driver_sql("ALTER TABLE frame_model ADD COLUMN stray INTEGER")
        assert [change[0] for change in drift(connection)] == ["remove_column"]


def test_the_command_says_where_a_database_differs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("DATA_FOLDER", str(tmp_path))
    monkeypatch.delenv("DATABASE_URL", raising=False)
    engine = make_engine(Settings().database_address())
    with writing(engine) as session:
        upgrade(session.connection())
    assert main(["--check"]) == 0
    assert "as this version of the program has it" in capsys.readouterr().out
    with writing(engine) as session:
        session.connection().exec_driver_sql("ALTER TABLE frame_model ADD COLUMN stray INTEGER")
    engine.dispose()
    assert main(["--check"]) == 1
    assert "stray" in capsys.readouterr().err


def test_down_to_nothing_and_up_again(empty_engine: Engine) -> None:
    with writing(empty_engine) as session:
        connection = session.connection()
        upgrade(connection)
        command.downgrade(configuration(connection), "base")
        assert inspect(connection).get_table_names() == ["alembic_version"]
        upgrade(connection)
        assert drift(connection) == []


def test_one_chain(empty_engine: Engine) -> None:
    """Two migrations with the same parent would leave the order to chance."""
    with writing(empty_engine) as session:
        script = ScriptDirectory.from_config(configuration(session.connection()))
    assert len(script.get_heads()) == 1
    assert len(script.get_bases()) == 1
