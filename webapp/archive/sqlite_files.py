"""Files of SQLite: copied while others write, checked by reading, put in another's place."""

from __future__ import annotations

import os
import shutil
import sqlite3
from contextlib import closing
from datetime import datetime
from pathlib import Path

from webapp.archive.progress import ReportProgress, Step, quiet
from webapp.archive.whole_files import keep_names
from webapp.common.errors import Invalid
from webapp.common.text.language import tr

_PAGES = 2000  # copied between two reports of progress
_TABLE = "frame_model"
_LOOSE = 0.25  # share of free pages above which a copy is packed

Counts = dict[str, int]


def is_sqlite(path: Path) -> bool:
    """Whether a file is one of SQLite's."""
    with path.open("rb") as file:
        return file.read(16) == b"SQLite format 3\0"


def copy(
    source: Path, target: Path, *, settled: bool = False, report: ReportProgress = quiet
) -> Counts:
    """Copy a database as it is at this moment, while others read and write it.

    The copy is of one moment, held from its first page to its last: writers go on
    (the write-ahead log takes what they write), and the copy never begins anew.

    Parameters
    ----------
    source : Path
    target : Path
        An empty file, or none.
    settled : bool
        Whether nobody writes into the source any more, as into a backup.
    report : callable
        Called with every step.

    Returns
    -------
    dict of table to int
        How many rows each table had at that moment.
    """
    with (
        closing(sqlite3.connect(_address(source, settled=settled), uri=True)) as one,
        closing(sqlite3.connect(target, isolation_level=None)) as other,
    ):
        one.execute("BEGIN")
        counted = _counts(one)

        def pages_copied(_status: int, remaining: int, total: int) -> None:
            report(Step(tr("Copying"), total - remaining, total, "pages"))

        one.backup(other, pages=_PAGES, progress=pages_copied)
        one.rollback()
        _pack_together(other)
    return counted


def _address(path: Path, *, settled: bool) -> str:
    """How a file is opened for reading; a settled one without leaving anything beside it."""
    alone = settled and not path.with_name(f"{path.name}-wal").exists()
    return f"{path.absolute().as_uri()}?mode=ro{'&immutable=1' if alone else ''}"


def _pack_together(copied: sqlite3.Connection) -> None:
    """One file in itself, without much empty room."""
    copied.execute("PRAGMA journal_mode = DELETE")
    (free,) = copied.execute("PRAGMA freelist_count").fetchone()
    (pages,) = copied.execute("PRAGMA page_count").fetchone()
    if free > _LOOSE * pages:
        copied.execute("VACUUM")


def _counts(connection: sqlite3.Connection) -> Counts:
    kept = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
    names = [name for (name,) in connection.execute(kept).fetchall()]
    quoted = {name: name.replace('"', '""') for name in names}
    return {
        name: connection.execute(f'SELECT count(*) FROM "{q}"').fetchone()[0]  # noqa: S608  # names of tables there are
        for name, q in quoted.items()
    }


def check(path: Path, *, against: Counts | None = None) -> Counts:
    """Read a whole database file.

    Parameters
    ----------
    path : Path
    against : dict of table to int, optional
        Rows it must have.

    Returns
    -------
    dict of table to int
        How many rows each table has.

    Raises
    ------
    Invalid
        For a file that is damaged, holds something else, or not the rows it must.
    """
    try:
        with closing(sqlite3.connect(_address(path, settled=True), uri=True)) as connection:
            (found,) = connection.execute("PRAGMA integrity_check").fetchone()
            counted = _counts(connection)
            stray = connection.execute("PRAGMA foreign_key_check").fetchone()
    except sqlite3.DatabaseError as error:
        raise Invalid("path", str(path), tr("an undamaged backup: {error}", error=error)) from error
    if found != "ok" or stray or _TABLE not in counted:
        raise Invalid("path", str(path), tr("an undamaged backup of this service"))
    if against is not None and counted != against:
        different = [name for name in against if counted.get(name) != against[name]]
        raise Invalid(
            "path",
            str(path),
            tr("a whole copy: rows are missing in {different}", different=different),
        )
    return counted


def put_in_place(part: Path, target: Path, *, at: datetime) -> Path | None:
    """Give a finished file the place of another, which is kept under a name of its own.

    At every moment there is a whole database in the place, and nothing that was kept
    before is overwritten. A damaged one is kept as it is, with its log.

    Parameters
    ----------
    part : Path
        Written and checked.
    target : Path
        Used by nobody.
    at : datetime
        Names what is kept.

    Returns
    -------
    Path or None
        What was there; None when nothing was.
    """
    log, shared = (target.with_name(target.name + ending) for ending in ("-wal", "-shm"))
    kept = None
    if target.exists():
        _fold_log(target)
        kept = free_name(target, at=at)
        _keep_as(target, kept)
        if log.exists():
            _keep_as(log, kept.with_name(f"{kept.name}-wal"))
    # The log goes first: a log that is not a file's own would be taken for it.
    log.unlink(missing_ok=True)
    shared.unlink(missing_ok=True)
    part.replace(target)
    keep_names(target.parent)
    return kept


def free_name(target: Path, *, at: datetime) -> Path:
    """A name beside the target that nothing has yet.

    >>> free_name(Path("/nowhere/shop.sqlite"), at=datetime(2026, 3, 1, 9, 30)).name
    'shop.before-restore-2026-03-01-093000.sqlite'
    """
    stem = f"{target.stem}.before-restore-{at:%Y-%m-%d-%H%M%S}"
    name, number = target.with_name(stem + target.suffix), 1
    while name.exists():
        number += 1
        name = target.with_name(f"{stem}-{number}{target.suffix}")
    return name


def _fold_log(target: Path) -> None:
    """Bring what is in the log into the file; a damaged file is left as it is."""
    try:
        with closing(sqlite3.connect(target, isolation_level=None)) as connection:
            connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
            connection.execute("PRAGMA journal_mode = DELETE").fetchone()
    except sqlite3.DatabaseError:
        return


def _keep_as(file: Path, name: Path) -> None:
    try:
        os.link(file, name)  # at once, however large it is
    except OSError:  # a file system without second names
        shutil.copy2(file, name)
