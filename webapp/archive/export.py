"""Everything in one file of open formats: a ZIP of JSON Lines, one file a table.

Sessions and one-time links are left out. The same content gives the same bytes but
for the moment it was made. It is written row by row, so that memory does not grow
with what is kept, and may be larger than 4 GB (ZIP64).
"""

from __future__ import annotations

import hashlib
import json
import os
import zipfile
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import IO, Any, cast

from alembic.migration import MigrationContext
from sqlalchemy import Connection, Engine, Table
from sqlmodel import Session

from webapp.archive.export_file import FORM, MANIFEST, README, check_export, member
from webapp.archive.progress import Counter, ReportProgress, Step, quiet
from webapp.archive.row_values import count, read_lines, tables
from webapp.archive.whole_files import whole_or_not
from webapp.common.storage.database import reading
from webapp.common.text.language import tr
from webapp.migrations import refuse_unknown

_WORDS = """\
Everything this shop has kept, in open formats.

Each file in tables/ is one table as JSON Lines (UTF-8): one row a line, ended by a
line feed, moments in UTC (ISO 8601), money in minor units of its currency, lengths in
millimetres, angles in degrees. manifest.json lists the tables with their rows and hashes.

It holds people's names and addresses and password hashes: keep it as you would
keep the shop's key. To bring it into an empty database:

    python -m webapp.archive import THIS_FILE
"""


def export_all(engine: Engine, target: Path, *, report: ReportProgress = quiet) -> dict[str, int]:
    """Write everything into a ZIP file and read it back; the service may be running.

    Parameters
    ----------
    engine : Engine
    target : Path
        Written whole, or not at all.
    report : callable
        Called with every step.

    Returns
    -------
    dict of table to int
        How many rows each has.
    """
    with whole_or_not(target) as part:
        with part.open("wb") as file:
            for step in export_steps(engine, file):
                report(step)
            file.flush()
            os.fsync(file.fileno())
        return check_export(part, report=report)


def export_stream(engine: Engine) -> Iterator[bytes]:
    """The same file, a piece at a time and nothing kept of what has gone.

    Yields
    ------
    bytes
    """
    gone = _Gone()
    # All that the library asks of a file it only writes to.
    for _ in export_steps(engine, cast(IO[bytes], gone)):
        if piece := gone.taken():
            yield piece
    yield gone.taken()


class _Gone:
    """Collects what is written until it is taken."""

    def __init__(self) -> None:
        self._pieces: list[bytes] = []

    def write(self, data: bytes) -> int:
        self._pieces.append(bytes(data))
        return len(data)

    def flush(self) -> None:
        """Nothing is buffered, so there is nothing to flush."""

    def taken(self) -> bytes:
        whole = b"".join(self._pieces)
        self._pieces.clear()
        return whole


def export_steps(engine: Engine, file: IO[bytes]) -> Iterator[Step]:
    """Write everything into an open file, which need not be seekable.

    Yields
    ------
    Step
        Every so many rows.
    """
    with (
        reading(engine) as session,
        zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive,
    ):
        connection = _one_moment(session)
        refuse_unknown(connection)  # tables unknown here would silently be missing
        listed: dict[str, dict[str, Any]] = {}
        counter = Counter(tr("Exporting"), sum(count(connection, table) for table in tables()))
        for table in tables():
            yield from _export_table(connection, archive, table, counter, listed)
        manifest = {
            "form": FORM,
            "migration": MigrationContext.configure(connection).get_current_revision(),
            "made_at": datetime.now(UTC).replace(microsecond=0).isoformat(),
            "tables": listed,
        }
        archive.writestr(MANIFEST, json.dumps(manifest, indent=2, sort_keys=True) + "\n")
        archive.writestr(README, _WORDS)


def _one_moment(session: Session) -> Connection:
    """A connection that sees one consistent moment of the database."""
    if session.get_bind().dialect.name == "postgresql":
        return session.connection(execution_options={"isolation_level": "REPEATABLE READ"})
    return session.connection()


def _export_table(
    connection: Connection,
    archive: zipfile.ZipFile,
    table: Table,
    counter: Counter,
    listed: dict[str, dict[str, Any]],
) -> Iterator[Step]:
    digest, rows = hashlib.sha256(), 0
    with archive.open(member(table.name), "w", force_zip64=True) as file:
        for line in read_lines(connection, table):
            digest.update(line)
            file.write(line)
            rows += 1
            if counter.count():
                yield counter.step
    listed[table.name] = {"rows": rows, "sha256": digest.hexdigest()}
