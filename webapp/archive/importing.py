"""Bringing an export into an empty database: all of it, or nothing."""

from __future__ import annotations

import zipfile
from typing import Any

from alembic.migration import MigrationContext
from sqlalchemy import Connection, Engine, update
from sqlalchemy.exc import (
    DataError,
    IntegrityError,
    InterfaceError,
    ProgrammingError,
    StatementError,
)

from webapp.archive.export_file import Source, check_members, lines_of, manifest_of, opened, rows_in
from webapp.archive.progress import Counter, ReportProgress, quiet
from webapp.archive.row_values import continue_numbers, count, tables, write_lines
from webapp.common.errors import Conflict, Invalid
from webapp.common.storage.database import writing
from webapp.common.text.language import tr
from webapp.mail.tables import FAILED, WAITING, Mail
from webapp.migrations import upgrade
from webapp.quote.storage.search_index import put_all_words

_NOT_TAKEN = (DataError, IntegrityError, InterfaceError, ProgrammingError)


def import_all(engine: Engine, source: Source, *, report: ReportProgress = quiet) -> dict[str, int]:
    """Bring an export into an empty database.

    It is read through and checked before anything is written, and then written row
    by row: memory does not grow with it. Mails that were still waiting are marked
    as failed, so that no copy of a shop writes to its customers.

    Parameters
    ----------
    engine : Engine
        Of a database without tables, or with none filled.
    source : path or binary file
    report : callable
        Called with every step.

    Returns
    -------
    dict of table to int
        How many rows were brought in.

    Raises
    ------
    Invalid
        For a file that is no such file, is damaged, or was made by another version.
    Conflict
        For a database that is not empty.
    """
    with opened(source) as file:
        manifest = manifest_of(file)
        check_members(file, manifest, report=report)
        with writing(engine) as session:
            connection = session.connection()
            upgrade(connection)
            _check_migration(connection, manifest)
            _check_empty(connection)
            found = _import(connection, file, manifest, report)
            put_all_words(session)
            _stop_mail(connection)
    return found


def _check_migration(connection: Connection, manifest: dict[str, Any]) -> None:
    here = MigrationContext.configure(connection).get_current_revision()
    if manifest["migration"] != here:
        remedy = tr(
            "{here}, this version's: import it with the version that made it, then start this one",
            here=here,
        )
        raise Invalid("migration", manifest["migration"], remedy)


def _check_empty(connection: Connection) -> None:
    for table in tables():
        rows = count(connection, table)
        if rows:
            remedy = tr("an empty database; name a new one by DATABASE_URL or DATA_FOLDER")
            raise Conflict(table.name, tr("{rows} rows", rows=rows), remedy)


def _import(
    connection: Connection, file: zipfile.ZipFile, manifest: dict[str, Any], report: ReportProgress
) -> dict[str, int]:
    found = {}
    counter = Counter(tr("Bringing in"), rows_in(manifest), report)
    for table in tables():
        if table.name not in manifest["tables"]:
            continue
        lines = counter.along(lines_of(file, table.name))
        try:
            found[table.name] = write_lines(connection, table, lines)
        except (ValueError, TypeError, OverflowError, *_NOT_TAKEN) as error:
            raise _not_taken(table.name, error) from error
        except StatementError as error:
            if error.orig is None or type(error) is not StatementError:
                raise  # the database failed, not the file
            raise _not_taken(table.name, error) from error
    continue_numbers(connection)
    return found


def _not_taken(table: str, error: Exception) -> Invalid:
    said = str(getattr(error, "orig", None) or error).splitlines()[0][:200]
    return Invalid("file", table, tr("rows that this database takes: {said}", said=said))


def _stop_mail(connection: Connection) -> None:
    """Mark waiting mails as failed: a copy of a shop sends none."""
    stopped = {
        "state": FAILED,
        "error": tr("was waiting when the shop was copied; not sent from it"),
    }
    connection.execute(update(Mail).where(Mail.__table__.c.state == WAITING).values(stopped))  # type: ignore[attr-defined]
