"""Sessions that read and write, on both kinds of database."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import pytest
from sqlalchemy import Engine, text
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column

from webapp.common.storage.database import make_engine, reading, writing


class Apart(DeclarativeBase):
    """Keeps the table of these tests out of the service's own."""


class Tally(Apart):
    """A counter."""

    __tablename__ = "test_tally"
    id: Mapped[int] = mapped_column(primary_key=True)
    count: Mapped[int] = mapped_column(default=0)


@pytest.fixture
def tallied(empty_engine: Engine) -> Engine:
    """An empty database with one counter at zero."""
    Apart.metadata.create_all(empty_engine)
    with writing(empty_engine) as session:
        session.add(Tally(id=1))
    return empty_engine


def count(engine: Engine) -> int:
    with reading(engine) as session:
        return session.get_one(Tally, 1).count


def test_what_was_written_is_committed_and_stays_readable(tallied: Engine) -> None:
    with writing(tallied) as session:
        tally = session.get_one(Tally, 1)
        tally.count = 5
    assert tally.count == 5
    assert count(tallied) == 5


def test_a_raised_error_leaves_nothing_behind(tallied: Engine) -> None:
    with pytest.raises(ZeroDivisionError), writing(tallied) as session:
        session.get_one(Tally, 1).count = 5
        session.flush()
        _ = 1 / 0
    assert count(tallied) == 0


def test_a_reading_session_refuses_to_write(tallied: Engine) -> None:
    with pytest.raises(RuntimeError, match="asked to write"), reading(tallied) as session:
        session.add(Tally())
        session.flush()


def test_reading_then_writing_in_many_threads_loses_nothing(tallied: Engine) -> None:
    def add_one(_: int) -> None:
        with writing(tallied) as session:
            tally = session.get_one(Tally, 1, with_for_update=True)
            tally.count += 1

    with ThreadPoolExecutor(8) as threads:
        list(threads.map(add_one, range(80)))
    assert count(tallied) == 80


def test_sqlite_runs_as_promised(sqlite_database: str) -> None:
    engine = make_engine(sqlite_database)
    with reading(engine) as session:
        pragmas = {
            name: session.connection().execute(text(f"PRAGMA {name}")).scalar_one()
            for name in ("journal_mode", "synchronous", "foreign_keys", "busy_timeout")
        }
    engine.dispose()
    assert pragmas == {
        "journal_mode": "wal",
        "synchronous": 2,  # FULL
        "foreign_keys": 1,
        "busy_timeout": 10000,
    }


def test_foreign_keys_are_checked(empty_engine: Engine) -> None:
    with writing(empty_engine) as session:
        session.connection().execute(text("CREATE TABLE a (id INTEGER PRIMARY KEY)"))
        session.connection().execute(text("CREATE TABLE b (a INTEGER REFERENCES a (id))"))
    with pytest.raises(IntegrityError), writing(empty_engine) as session:
        session.connection().execute(text("INSERT INTO b VALUES (7)"))
