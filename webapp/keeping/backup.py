"""Backup of a running service, and its restore.

With SQLite a backup is one consistent copy of the file, made by SQLite's own
online backup while others read and write. With PostgreSQL it is the portable
export (`webapp.keeping.export`); a server's own dumps serve as well.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

from sqlalchemy import make_url

from webapp.ground.database import make_engine
from webapp.ground.errors import Conflict, Invalid
from webapp.keeping.export import export_all, import_all

_PAGES = 2000  # copied at once; between them others may write
_TABLE = "frame_model"


def backup(address: str, target: Path) -> str:
    """Copy the database into a file, consistent while the service runs.

    Parameters
    ----------
    address : str
        In SQLAlchemy's form.
    target : Path
        The file to write; it is whole or it is not there.

    Returns
    -------
    str
        What was made, in words.

    Raises
    ------
    Conflict
        When the file is there already.
    Invalid
        When there is no database to copy.
    """
    if target.exists():
        raise Conflict("path", str(target), "a file that does not exist yet")
    target.parent.mkdir(parents=True, exist_ok=True)
    source = sqlite_file(address)
    if source is None:
        engine = make_engine(address)
        try:
            rows = sum(export_all(engine, target).values())
        finally:
            engine.dispose()
        return f"portable export of {rows} rows"
    if not source.is_file():
        raise Invalid("database", str(source), "a database that exists: start the service once")
    part = target.with_name(f".{target.name}.part")
    try:
        _copy(source, part)
        _check(part)
        part.replace(target)
    finally:
        part.unlink(missing_ok=True)
    return f"SQLite file of {target.stat().st_size} bytes"


def restore(source: Path, address: str, *, replace: bool = False) -> str:
    """Put a backup back, with the service stopped.

    Parameters
    ----------
    source : Path
        Made by `backup`: an SQLite file, or the portable export.
    address : str
        Of the database to fill.
    replace : bool
        Whether an SQLite database that is there may be overwritten; what it
        held is kept beside it under the name ``before-restore``.

    Returns
    -------
    str
        What was done, in words.

    Raises
    ------
    Invalid
        For a file that is no backup, or damaged; nothing is changed then.
    Conflict
        For a database that is there and may not be overwritten.
    """
    if not source.is_file():
        raise Invalid("path", str(source), "a backup that exists")
    target = sqlite_file(address)
    if not _is_sqlite(source):
        engine = make_engine(address)
        try:
            rows = sum(import_all(engine, source).values())
        finally:
            engine.dispose()
        return f"{rows} rows brought into an empty database"
    if target is None:
        remedy = "an export (python -m webapp.keeping export); SQLite files are for SQLite"
        raise Invalid("path", str(source), remedy)
    _check(source)
    kept = _set_aside(target, replace=replace)
    target.parent.mkdir(parents=True, exist_ok=True)
    _copy(source, target)
    return f"{target} restored" + (f"; what was there is kept as {kept.name}" if kept else "")


def sqlite_file(address: str) -> Path | None:
    """The file of an SQLite database; None for another database.

    >>> sqlite_file("sqlite:////var/shop.sqlite"), sqlite_file("postgresql+psycopg://db/shop")
    (PosixPath('/var/shop.sqlite'), None)
    """
    url = make_url(address)
    if not url.drivername.startswith("sqlite"):
        return None
    return Path(url.database or "")


def _is_sqlite(path: Path) -> bool:
    with path.open("rb") as file:
        return file.read(16) == b"SQLite format 3\0"


def _copy(source: Path, target: Path) -> None:
    target.touch(mode=0o600)  # it holds people's names and addresses
    with (
        closing(sqlite3.connect(f"file:{source}?mode=ro", uri=True)) as one,
        closing(sqlite3.connect(target)) as other,
    ):
        one.backup(other, pages=_PAGES)


def _check(path: Path) -> None:
    """Refuse a file that is damaged or holds something else."""
    try:
        with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as connection:
            (found,) = connection.execute("PRAGMA integrity_check").fetchone()
            named = "SELECT count(*) FROM sqlite_master WHERE name = ?"
            (known,) = connection.execute(named, (_TABLE,)).fetchone()
    except sqlite3.DatabaseError as error:
        raise Invalid("path", str(path), f"an undamaged backup: {error}") from error
    if found != "ok" or not known:
        raise Invalid("path", str(path), "an undamaged backup of this service")


def _set_aside(target: Path, *, replace: bool) -> Path | None:
    if not target.exists():
        return None
    if not replace:
        remedy = "no database there yet, or --replace to overwrite it (it is kept beside it)"
        raise Conflict("database", str(target), remedy)
    kept = target.with_name(f"{target.stem}.before-restore{target.suffix}")
    kept.unlink(missing_ok=True)
    _copy(target, kept)
    for name in (target.name, f"{target.name}-wal", f"{target.name}-shm"):
        target.with_name(name).unlink(missing_ok=True)
    return kept
