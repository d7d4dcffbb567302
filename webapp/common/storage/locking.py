"""Locks on the whole database: shared by many processes, or exclusive.

The service and the commands that work beside it hold the database together; putting
a backup in its place needs it alone, since what is written into a file that is
being replaced is lost. The hold ends with the process, however that ends.

With SQLite it is a lock on a small file beside the database, ``NAME.in-use``, taken
by SQLite itself, which does so on every system; with PostgreSQL an advisory lock of
a connection of its own.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from sqlalchemy import create_engine, make_url, text
from sqlalchemy.pool import NullPool

from webapp.common.errors import Conflict, Invalid
from webapp.common.text.language import tr

_LOCK = 7_261_002  # any number but that of `webapp.catalogue.setup`, the same in every process

RUNNING = tr("free: stop the service, and whatever else works on it, and try again")
REPLACED = tr("left alone: it is being restored or filled; wait until that is done")


def sqlite_file(address: str) -> Path | None:
    """The file of an SQLite database; None for another database.

    >>> sqlite_file("sqlite:////var/shop.sqlite"), sqlite_file("postgresql+psycopg://db/shop")
    (PosixPath('/var/shop.sqlite'), None)
    """
    url = make_url(address)
    if not url.drivername.startswith("sqlite"):
        return None
    return Path(url.database or "")


@contextmanager
def together(address: str) -> Iterator[None]:
    """Use a database together with others.

    Parameters
    ----------
    address : str
        In SQLAlchemy's form.

    Raises
    ------
    Conflict
        When somebody has it alone.
    """
    with _held(address, alone=False):
        yield


@contextmanager
def alone(address: str) -> Iterator[None]:
    """Use a database alone: nobody else may use it meanwhile.

    Raises
    ------
    Conflict
        When anybody uses it.
    """
    with _held(address, alone=True):
        yield


@contextmanager
def _held(address: str, *, alone: bool) -> Iterator[None]:
    file = sqlite_file(address)
    if file is None:
        with _advisory(address, alone=alone):
            yield
    elif file.name in {"", ":memory:"}:
        yield  # nobody else can reach it
    else:
        with _locked(file, alone=alone):
            yield


@contextmanager
def _locked(file: Path, *, alone: bool) -> Iterator[None]:
    lock = file.with_name(f"{file.name}.in-use")
    try:
        lock.parent.mkdir(parents=True, exist_ok=True)
        lock.touch(mode=0o600)
        # May be closed by another thread than the one that opened it, when a server stops.
        opened = sqlite3.connect(lock, timeout=0, isolation_level=None, check_same_thread=False)
    except (OSError, sqlite3.OperationalError) as error:
        raise Invalid(
            "folder", str(lock.parent), tr("one that can be written to: {error}", error=error)
        ) from error
    with closing(opened) as connection:
        try:
            connection.execute("BEGIN EXCLUSIVE" if alone else "BEGIN")
            connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
        except sqlite3.OperationalError as error:
            raise Conflict("database", str(file), _not_now(alone=alone)) from error
        yield


@contextmanager
def _advisory(address: str, *, alone: bool) -> Iterator[None]:
    engine = create_engine(address, poolclass=NullPool, isolation_level="AUTOCOMMIT")
    take = "pg_try_advisory_lock" if alone else "pg_try_advisory_lock_shared"
    try:
        with engine.connect() as connection:
            if not connection.execute(text(f"SELECT {take}(:key)"), {"key": _LOCK}).scalar_one():
                shown = make_url(address).database
                raise Conflict("database", shown, _not_now(alone=alone))
            yield
    finally:
        engine.dispose()


def _not_now(*, alone: bool) -> str:
    return RUNNING if alone else REPLACED
