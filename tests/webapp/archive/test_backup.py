"""Backups that are consistent while others write, and restores that give the same shop."""

from __future__ import annotations

import shutil
import sqlite3
import threading
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import Engine
from sqlmodel import select

from tests.webapp.quote.conftest import CUSTOMER, MOMENT
from webapp.archive.__main__ import main
from webapp.archive.backup import backup, restore
from webapp.archive.export import export_all
from webapp.archive.export_file import MANIFEST
from webapp.archive.importing import import_all
from webapp.archive.row_values import LEFT_OUT, read_lines, tables
from webapp.builds.choice.build_choice import read_choice
from webapp.builds.evaluation import compute
from webapp.catalogue.reading.load import load_catalogue
from webapp.catalogue.writing.models import put_model
from webapp.common.errors import Conflict, Invalid
from webapp.common.storage.database import make_engine, reading, writing
from webapp.mail.tables import FAILED, WAITING, Mail
from webapp.quote.lifecycle.request import ask_for_quote
from webapp.quote.storage.read import quote_by_token
from webapp.quote.storage.search import find_quotes, read_wanted


@pytest.fixture
def file(_filled_sqlite: Path, tmp_path: Path) -> Path:
    """A copy of the filled SQLite file."""
    copy = tmp_path / "shop.sqlite"
    shutil.copy(_filled_sqlite, copy)
    return copy


@pytest.fixture
def shop(file: Path) -> Iterator[Engine]:
    """An engine for it, with a quote in it."""
    engine = make_engine(f"sqlite:///{file}")
    asked(engine)
    yield engine
    engine.dispose()


def asked(engine: Engine) -> str:
    """Ask for a quote; gives the token of its link."""
    with reading(engine) as session:
        catalogue = load_catalogue(session, "knapweed")
    choice = read_choice(catalogue, {"size": ["m"]}).strict()
    with writing(engine) as session:
        return ask_for_quote(session, catalogue, choice, CUSTOMER, form_key="", at=MOMENT).token


def contents(engine: Engine) -> dict[str, list[bytes]]:
    """Every row of every table that is kept."""
    with reading(engine) as session:
        connection = session.connection()
        return {table.name: list(read_lines(connection, table)) for table in tables()}


def figures(engine: Engine) -> dict[str, float]:
    """Every figure and the price of one build."""
    with reading(engine) as session:
        catalogue = load_catalogue(session, "knapweed")
    result = compute(catalogue, read_choice(catalogue, {"size": ["l"]}).choice)
    return {**result.states["sagged"].figures, "price": float(len(result.price.lines))}


def test_a_backup_restored_is_the_same_shop(shop: Engine, file: Path, tmp_path: Path) -> None:
    before = contents(shop)
    backup(f"sqlite:///{file}", tmp_path / "copies" / "one.sqlite")
    with writing(shop) as session:
        put_model(session, who="x", slug="stray", name="Stray")
    with pytest.raises(Conflict):
        restore(tmp_path / "copies" / "one.sqlite", f"sqlite:///{file}")
    shop.dispose()
    said = restore(tmp_path / "copies" / "one.sqlite", f"sqlite:///{file}", replace=True)
    assert "before-restore" in said
    assert contents(shop) == before
    (aside,) = tmp_path.glob("shop.before-restore-*.sqlite")
    kept = make_engine(f"sqlite:///{aside}")
    assert len(contents(kept)["frame_model"]) == len(before["frame_model"]) + 1
    kept.dispose()


def test_a_backup_made_while_others_write_is_whole(
    shop: Engine, file: Path, tmp_path: Path
) -> None:
    """Each write adds a model and its edit in one transaction: a backup holds both or neither."""
    stop = threading.Event()

    def write() -> None:
        number = 0
        while not stop.is_set():
            with writing(shop) as session:
                put_model(session, who="writer", slug=f"m-{number}", name=f"M {number}")
            number += 1

    writer = threading.Thread(target=write)
    writer.start()
    try:
        for copy in range(3):
            backup(f"sqlite:///{file}", tmp_path / f"{copy}.sqlite")
    finally:
        stop.set()
        writer.join()
    for copy in range(3):
        connection = sqlite3.connect(tmp_path / f"{copy}.sqlite")
        models = "SELECT count(*) FROM frame_model WHERE slug LIKE 'm-%'"
        edits = "SELECT count(*) FROM catalogue_edit WHERE who = 'writer'"
        counted = [connection.execute(query).fetchone()[0] for query in (models, edits)]
        assert counted[0] == counted[1]
        connection.close()


@pytest.mark.parametrize("damage", ["text", "cut", "other"])
def test_a_file_that_is_no_backup_changes_nothing(
    shop: Engine, file: Path, tmp_path: Path, damage: str
) -> None:
    before, bad = contents(shop), tmp_path / "bad.sqlite"
    if damage == "text":
        bad.write_text("not a database")
    elif damage == "cut":
        whole = file.read_bytes()
        bad.write_bytes(whole[: len(whole) // 2])
    else:
        connection = sqlite3.connect(bad)
        connection.execute("CREATE TABLE stray (id INTEGER)")
        connection.commit()
        connection.close()
    with pytest.raises(Invalid):
        restore(bad, f"sqlite:///{file}", replace=True)
    assert contents(shop) == before


def test_an_export_brought_into_an_empty_database_gives_the_same_shop(
    shop: Engine, tmp_path: Path, empty_engine: Engine
) -> None:
    """On SQLite and on PostgreSQL: the same rows, quotes, figures, and numbers go on."""
    token = asked(shop)
    export_all(shop, tmp_path / "all.zip")
    rows = import_all(empty_engine, tmp_path / "all.zip")
    assert sum(rows.values()) == sum(len(lines) for lines in contents(shop).values())
    assert contents(empty_engine) == contents(shop)
    assert figures(empty_engine) == figures(shop)
    with reading(shop) as one, reading(empty_engine) as other:
        assert quote_by_token(one, token) == quote_by_token(other, token)
        wanted = read_wanted("marl")
        found = find_quotes(other, wanted, today=MOMENT.date())
        assert len(found.entries) == 2
    asked(empty_engine)
    with pytest.raises(Conflict):
        import_all(empty_engine, tmp_path / "all.zip")


def test_no_mail_leaves_from_a_copy(shop: Engine, tmp_path: Path) -> None:
    with writing(shop) as session:
        session.add(
            Mail(key="k", about="2026-0001", to_name="Ada", to_mail="ada@marl.example",
                 subject="s", body="b", created_at=MOMENT, due_at=MOMENT, state=WAITING)
        )  # fmt: skip
    export_all(shop, tmp_path / "all.zip")
    copy = make_engine(f"sqlite:///{tmp_path / 'copy.sqlite'}")
    import_all(copy, tmp_path / "all.zip")
    with reading(copy) as session:
        assert {mail.state for mail in session.exec(select(Mail)).all()} == {FAILED}
    copy.dispose()


def test_an_export_is_open_and_holds_no_sessions(shop: Engine, tmp_path: Path) -> None:
    export_all(shop, tmp_path / "all.zip")
    with zipfile.ZipFile(tmp_path / "all.zip") as file:
        names = set(file.namelist())
        assert {MANIFEST, "README.txt", "tables/frame_size.jsonl"} < names
        assert not {f"tables/{name}.jsonl" for name in LEFT_OUT} & names


@pytest.mark.parametrize("damage", ["text", "row", "form"])
def test_a_damaged_export_brings_nothing_in(shop: Engine, tmp_path: Path, damage: str) -> None:
    good, bad = tmp_path / "good.zip", tmp_path / "bad.zip"
    export_all(shop, good)
    if damage == "text":
        bad.write_text("no zip")
    else:
        with zipfile.ZipFile(good) as one, zipfile.ZipFile(bad, "w") as other:
            for name in one.namelist():
                data = one.read(name)
                if damage == "row" and name.endswith("frame_model.jsonl"):
                    data = data.replace(b"Knapweed", b"Knapwood")
                if damage == "form" and name == MANIFEST:
                    data = data.replace(b'"form": 1', b'"form": 9')
                other.writestr(name, data)
    copy = make_engine(f"sqlite:///{tmp_path / 'copy.sqlite'}")
    with pytest.raises(Invalid):
        import_all(copy, bad)
    import_all(copy, good)  # nothing was left behind
    copy.dispose()


def test_the_commands(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("DATABASE_URL", f"sqlite:///{file}")
    assert main(["backup", str(tmp_path / "b.sqlite")]) == 0
    assert main(["backup", str(tmp_path / "b.sqlite")]) == 1
    assert "does not exist yet" in capsys.readouterr().err
    assert main(["export", str(tmp_path / "e.zip")]) == 0
    monkeypatch.setenv("DATABASE_URL", f"sqlite:///{tmp_path / 'new.sqlite'}")
    assert main(["import", str(tmp_path / "e.zip")]) == 0
    assert main(["import", str(tmp_path / "e.zip")]) == 1
    monkeypatch.setenv("DATABASE_URL", f"sqlite:///{tmp_path / 'again.sqlite'}")
    assert main(["restore", str(tmp_path / "b.sqlite")]) == 0
    assert main(["restore", str(tmp_path / "nothing.sqlite")]) == 1
