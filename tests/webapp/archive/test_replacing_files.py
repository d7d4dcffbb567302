"""Backups end while others write; nothing is put in place of what is used, nothing kept is lost."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import Engine

from webapp.archive import sqlite_files
from webapp.archive.__main__ import main
from webapp.archive.backup import backup, restore
from webapp.archive.progress import Step
from webapp.catalogue.writing.models import put_model
from webapp.common.errors import Conflict, Invalid
from webapp.common.settings import Settings
from webapp.common.storage.database import writing
from webapp.common.storage.locking import alone, together


def address_of(shop: Engine) -> str:
    return shop.url.render_as_string(hide_password=False)


def names_in(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir() if not path.name.startswith("shop.sqlite-")}


def test_a_copy_never_begins_anew_however_often_others_write(
    shop: Engine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Somebody writes between any two pages, and the copy ends after as many as there were."""
    monkeypatch.setattr(sqlite_files, "_PAGES", 5)
    steps: list[Step] = []

    def write(step: Step) -> None:
        steps.append(step)
        with writing(shop) as session:
            put_model(session, who="x", slug=f"m-{len(steps)}", name="M")

    backup(address_of(shop), tmp_path / "out" / "copy.sqlite", report=write)
    assert len(steps) > 10
    assert len({step.of for step in steps}) == 1
    assert [step.done for step in steps] == sorted({step.done for step in steps})
    with closing(sqlite3.connect(tmp_path / "out" / "copy.sqlite")) as copy:
        found = copy.execute("SELECT count(*) FROM frame_model WHERE slug LIKE 'm-%'").fetchone()
        assert found == (0,)  # of the moment it began
    assert names_in(tmp_path / "out") == {"copy.sqlite"}


def test_a_backup_that_fails_leaves_nothing(shop: Engine, tmp_path: Path) -> None:
    def stop(_step: Step) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        backup(address_of(shop), tmp_path / "out" / "copy.sqlite", report=stop)
    assert names_in(tmp_path / "out") == set()


def test_a_copy_that_lacks_rows_is_no_backup(
    shop: Engine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = sqlite_files._pack_together

    def loses(copied: sqlite3.Connection) -> None:
        whole(copied)
        copied.execute("DELETE FROM catalogue_edit")

    monkeypatch.setattr(sqlite_files, "_pack_together", loses)
    with pytest.raises(Invalid, match="rows are missing"):
        backup(address_of(shop), tmp_path / "out" / "copy.sqlite")
    assert names_in(tmp_path / "out") == set()


def test_nothing_is_restored_while_the_service_runs(
    app: FastAPI, settings: Settings, tmp_path: Path
) -> None:
    address = settings.database_address()
    with TestClient(app):
        backup(address, tmp_path / "copy.backup")
        before = (settings.data_folder / "configurator.sqlite").stat().st_ino
        with pytest.raises(Conflict, match="stop the service"):
            restore(tmp_path / "copy.backup", address, replace=True)
        assert (settings.data_folder / "configurator.sqlite").stat().st_ino == before
    restore(tmp_path / "copy.backup", address, replace=True)
    with alone(address), pytest.raises(Conflict), TestClient(app):
        pass


def test_many_hold_it_together_and_one_alone(empty_engine: Engine) -> None:
    """On both databases."""
    address = empty_engine.url.render_as_string(hide_password=False)
    with together(address), together(address), pytest.raises(Conflict), alone(address):
        pass
    with alone(address):
        for hold in (alone, together):
            with pytest.raises(Conflict), hold(address):
                pass
    with together(address):
        pass


def test_every_earlier_database_is_kept(shop: Engine, tmp_path: Path) -> None:
    address, file = address_of(shop), tmp_path / "shop.sqlite"
    backup(address, tmp_path / "copy.backup")
    for number in range(3):
        with writing(shop) as session:
            put_model(session, who="x", slug=f"own-{number}", name="Own")
        shop.dispose()
        said = restore(tmp_path / "copy.backup", address, replace=True)
        assert "read again and whole" in said
    found = set()
    for kept in tmp_path.glob("shop.before-restore-*.sqlite"):
        with closing(sqlite3.connect(kept)) as connection:
            found |= set(connection.execute("SELECT slug FROM frame_model").fetchall())
    assert {(f"own-{number}",) for number in range(3)} < found
    assert os.stat(file).st_mode & 0o777 == 0o600


def test_a_damaged_database_is_kept_as_it_is_and_replaced(shop: Engine, tmp_path: Path) -> None:
    address, file = address_of(shop), tmp_path / "shop.sqlite"
    backup(address, tmp_path / "copy.backup")
    shop.dispose()
    file.write_bytes(b"no database at all" * 1000)
    restore(tmp_path / "copy.backup", address, replace=True)
    (kept,) = tmp_path.glob("shop.before-restore-*.sqlite")
    assert kept.read_bytes().startswith(b"no database at all")
    assert sqlite_files.check(file)["frame_model"]


def test_a_backup_is_checked_by_a_command(
    shop: Engine,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setenv("DATABASE_URL", address_of(shop))
    copy = tmp_path / "copy.backup"
    assert main(["backup", str(copy)]) == 0
    assert main(["check", str(copy)]) == 0
    assert "whole" in capsys.readouterr().out
    copy.write_bytes(copy.read_bytes()[:-9000])
    assert main(["check", str(copy)]) == 1
    assert "Not done" in capsys.readouterr().err
