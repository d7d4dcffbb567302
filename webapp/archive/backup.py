"""Backup of a running service, and its restore.

With SQLite a backup is one consistent copy of the file, made by SQLite's own
online backup while others read and write. With PostgreSQL it is the portable
export (`webapp.archive.export`); a server's own dumps serve as well. Every backup is read again
after it is written.
"""

from __future__ import annotations

import os
from pathlib import Path

from webapp.archive.export import export_all
from webapp.archive.export_file import check_export
from webapp.archive.importing import import_all
from webapp.archive.progress import ReportProgress, quiet
from webapp.archive.sqlite_files import check, copy, is_sqlite, put_in_place
from webapp.archive.whole_files import beside, whole_or_not
from webapp.common.errors import Conflict, Invalid
from webapp.common.storage.database import make_engine
from webapp.common.storage.locking import alone, sqlite_file, together
from webapp.common.text.language import tr
from webapp.common.timestamps import now


def backup(address: str, target: Path, *, report: ReportProgress = quiet) -> str:
    """Copy the database into a file, consistent while the service runs.

    Parameters
    ----------
    address : str
        In SQLAlchemy's form.
    target : Path
        The file to write; it is whole or it is not there.
    report : callable
        Called with every step.

    Returns
    -------
    str
        What was made, in words.

    Raises
    ------
    Conflict
        When the file is there already, or the database is being restored.
    Invalid
        When there is no database to copy, or it is damaged.
    """
    source = sqlite_file(address)
    if source is None:
        engine = make_engine(address)
        try:
            with together(address):
                rows = sum(export_all(engine, target, report=report).values())
        finally:
            engine.dispose()
        return tr(
            "portable export of {rows:,} rows, {size}, read again and whole",
            rows=rows,
            size=_size(target),
        )
    if not source.is_file():
        raise Invalid("database", str(source), tr("a database that exists: start the service once"))
    with together(address), whole_or_not(target) as part:
        copied = copy(source, part, report=report)
        check(part, against=copied)
        _keep(part)
    return tr(
        "SQLite file of {rows:,} rows, {size}, read again and whole",
        rows=sum(copied.values()),
        size=_size(target),
    )


def restore(
    source: Path, address: str, *, replace: bool = False, report: ReportProgress = quiet
) -> str:
    """Put a backup back, with the service stopped.

    Parameters
    ----------
    source : Path
        Made by `backup`: an SQLite file, or the portable export.
    address : str
        Of the database to fill.
    replace : bool
        Whether an SQLite database that is there may be replaced; it is kept beside
        the new one under a name with ``before-restore`` and the moment.
    report : callable
        Called with every step.

    Returns
    -------
    str
        What was done, in words.

    Raises
    ------
    Invalid
        For a file that is no backup, or damaged; nothing is changed then.
    Conflict
        For a database that is in use, or is there and may not be replaced.
    """
    if not source.is_file():
        raise Invalid("path", str(source), tr("a backup that exists"))
    target = sqlite_file(address)
    if not is_sqlite(source):
        with alone(address):
            return _brought_in(source, address, report)
    if target is None:
        remedy = tr("an export (python -m webapp.archive export); SQLite files are for SQLite")
        raise Invalid("path", str(source), remedy)
    with alone(address):
        return _put_back(source, target, replace=replace, report=report)


def _brought_in(source: Path, address: str, report: ReportProgress) -> str:
    engine = make_engine(address)
    try:
        rows = sum(import_all(engine, source, report=report).values())
    finally:
        engine.dispose()
    return tr("{rows:,} rows brought into an empty database", rows=rows)


def _put_back(source: Path, target: Path, *, replace: bool, report: ReportProgress) -> str:
    if target.exists() and not replace:
        remedy = tr("no database there yet, or --replace to put another in its place (it is kept)")
        raise Conflict("database", str(target), remedy)
    if target.exists() and source.samefile(target):
        raise Invalid("path", str(source), tr("a backup, not the database itself"))
    check(source)
    with beside(target) as part:
        rows = copy(source, part, settled=True, report=report)
        check(part, against=rows)
        _keep(part)
        kept = put_in_place(part, target, at=now())
    said = tr(
        "{target} restored: {rows:,} rows, read again and whole",
        target=target,
        rows=sum(rows.values()),
    )
    return (
        tr("{restored}; what was there is kept as {name}", restored=said, name=kept.name)
        if kept
        else said
    )


def check_file(path: Path, *, report: ReportProgress = quiet) -> str:
    """Read a backup or an export through, and say what it holds.

    Raises
    ------
    Invalid
        For a file that is neither, or damaged.
    """
    if not path.is_file():
        raise Invalid("path", str(path), tr("a backup that exists"))
    rows = check(path) if is_sqlite(path) else check_export(path, report=report)
    kind = tr("SQLite file") if is_sqlite(path) else tr("portable export")
    return tr(
        "{kind} of {rows:,} rows, {size}, whole",
        kind=kind,
        rows=sum(rows.values()),
        size=_size(path),
    )


def _size(path: Path) -> str:
    return tr("{size:,} bytes", size=path.stat().st_size)


def _keep(path: Path) -> None:
    """Have what was written survive a power cut."""
    with path.open("rb+") as file:
        os.fsync(file.fileno())
