"""Any text comes back from an export, and files are read and written piece by piece."""

from __future__ import annotations

import io
import json
import shutil
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import Engine, Table, text

from webapp.archive.export import export_all, export_stream
from webapp.archive.export_file import check_export, lines_of
from webapp.archive.importing import import_all
from webapp.archive.progress import Counter, ProgressPrinter, Step
from webapp.archive.row_values import read_lines, tables, write_lines
from webapp.common.errors import Invalid
from webapp.common.storage.database import make_engine, reading, writing

# Everything that ends a line for somebody, and characters that JSON or UTF-8 treat apart.
BREAKS = '\u2028\u2029\x85\x0b\x0c\x1c\x1d\x1e\r\n\r\t\\"\ufeff\U0001f6b2'


@pytest.fixture
def strange(tmp_path: Path, _filled_sqlite: Path) -> Iterator[Engine]:
    """The demo, with every kind of break in each text of the first row of each table."""
    copy = tmp_path / "strange.sqlite"
    shutil.copy(_filled_sqlite, copy)
    engine = make_engine(f"sqlite:///{copy}")
    with writing(engine) as session:
        connection = session.connection()
        for table in tables():
            for column in free_texts(table):
                (key,) = table.primary_key.columns
                first = sa.select(sa.func.min(key)).scalar_subquery()
                change = sa.update(table).where(key == first).values({column.name: BREAKS})
                connection.execute(change)
    yield engine
    engine.dispose()


def free_texts(table: Table) -> list[sa.Column[str]]:
    """Text columns whose value no constraint speaks of."""
    bound = {c.name for rule in table.constraints for c in getattr(rule, "columns", ())}
    return [
        column for column in table.columns
        if isinstance(getattr(column.type, "impl", column.type), sa.String)
        and column.name not in bound | {"state"}
        and not column.unique and (room(column.type) or 99) > len(BREAKS)
    ]  # fmt: skip


def room(kind: Any) -> int | None:
    return getattr(getattr(kind, "impl", kind), "length", None)


def contents(engine: Engine) -> dict[str, list[bytes]]:
    with reading(engine) as session:
        return {t.name: list(read_lines(session.connection(), t)) for t in tables()}


def test_texts_with_every_kind_of_break_come_back(
    strange: Engine, tmp_path: Path, empty_engine: Engine
) -> None:
    """On both databases."""
    told: list[Step] = []
    export_all(strange, tmp_path / "all.zip", report=told.append)
    import_all(empty_engine, tmp_path / "all.zip", report=told.append)
    assert contents(empty_engine) == contents(strange)
    kept = {name: b"".join(lines) for name, lines in contents(strange).items()}
    assert {"frame_model", "part", "price_list"} < {n for n, k in kept.items() if b"\xc2\x85" in k}
    assert {step.what for step in told} == {"Exporting", "Checking", "Bringing in"}


note = sa.Table(
    "note", sa.MetaData(), sa.Column("id", sa.Integer, primary_key=True),
    sa.Column("words", sa.Text), sa.Column("data", sa.JSON),
)  # fmt: skip


@settings(max_examples=60)
@given(st.lists(st.tuples(st.text(), st.text(st.characters(max_codepoint=0x10FFFF)))))
def test_any_text_there_is_comes_back(rows: list[tuple[str, str]]) -> None:
    one, other = make_engine("sqlite://"), make_engine("sqlite://")
    for engine in (one, other):
        note.create(engine)
    with one.begin() as connection:
        for words, data in rows:
            connection.execute(note.insert().values(words=words, data=[data, {data: 1}]))
        lines = list(read_lines(connection, note))
    assert b"".join(lines).split(b"\n")[:-1] == [line[:-1] for line in lines]
    with other.begin() as connection:
        write_lines(connection, note, lines)
        assert list(read_lines(connection, note)) == lines
    for engine in (one, other):
        engine.dispose()


def test_half_a_pair_in_json_comes_back() -> None:
    engine = make_engine("sqlite://")
    note.create(engine)
    with engine.begin() as connection:
        connection.execute(text("INSERT INTO note VALUES (1, 'w', '\"\\ud800\"')"))
        (line,) = read_lines(connection, note)
    assert json.loads(line)["data"] == "\ud800"
    engine.dispose()


def test_what_is_sent_is_the_file_that_is_written(shop: Engine, tmp_path: Path) -> None:
    pieces = list(export_stream(shop))
    assert len(pieces) > 2
    whole = io.BytesIO(b"".join(pieces))
    export_all(shop, tmp_path / "all.zip")
    assert check_export(whole) == check_export(tmp_path / "all.zip")


def test_a_table_is_written_in_a_form_that_may_grow_beyond_four_gigabytes(
    shop: Engine, tmp_path: Path
) -> None:
    """Version 45 of the ZIP format is the one with 64 bits of length."""
    export_all(shop, tmp_path / "all.zip")
    with zipfile.ZipFile(tmp_path / "all.zip") as file:
        written = [one for one in file.infolist() if one.filename.startswith("tables/")]
        data = (tmp_path / "all.zip").read_bytes()
        needed = {data[one.header_offset + 4] for one in written}
    assert needed == {45}


def test_a_line_without_end_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    from webapp.archive import export_file

    monkeypatch.setattr(export_file, "_LONGEST_LINE", 1000)
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as file:
        file.writestr("tables/part.jsonl", "x" * 5000)
    with zipfile.ZipFile(made) as file, pytest.raises(Invalid, match="no end"):
        list(lines_of(file, "part"))


def test_rows_are_read_and_written_a_few_at_a_time() -> None:
    """However many there are: no more than a batch has been taken when the first is written."""
    engine = make_engine("sqlite://")
    note.create(engine)
    taken = 0

    def lines() -> Iterator[bytes]:
        nonlocal taken
        for number in range(2000):
            taken += 1
            yield json.dumps({"id": number, "words": "w" * 9000, "data": None}).encode() + b"\n"

    ahead: list[int] = []
    with engine.begin() as connection:

        @sa.event.listens_for(connection, "before_cursor_execute")
        def seen(_c: object, _cursor: object, _words: str, rows: list[object], *_: object) -> None:
            ahead.append(len(rows))

        assert write_lines(connection, note, lines()) == taken == 2000
    assert max(ahead) * 9000 < 3_000_000
    engine.dispose()


def test_progress_is_told_every_two_seconds() -> None:
    out, moments = io.StringIO(), iter([0.0, 0.5, 2.5, 2.5, 3.0, 5.0, 5.0])
    telling = ProgressPrinter(out, clock=lambda: next(moments))
    counter = Counter("Exporting", 400, telling)
    for _ in range(400):
        counter.count()
    assert out.getvalue() == (
        "Exporting: 200 of 400 rows, 50 %\nExporting: 400 of 400 rows, 100 %\n"
    )
