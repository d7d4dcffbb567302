"""Everything in one file of open formats: a ZIP of JSON Lines, one file a table.

``manifest.json`` says which form it has, which migration it was made at, and how
many rows and which hash each table's file has. Sessions and one-time links are
left out. The same content gives the same bytes but for the moment it was made.
"""

from __future__ import annotations

import hashlib
import json
import zipfile
from datetime import UTC, datetime
from pathlib import Path
from typing import IO, Any

from alembic.migration import MigrationContext
from sqlalchemy import Connection, Engine
from sqlmodel import Session, select

from webapp.ground.database import reading, writing
from webapp.ground.errors import Conflict, Invalid
from webapp.keeping.rows import continue_numbers, count, read_lines, tables, write_lines
from webapp.mail.tables import FAILED, WAITING, Mail
from webapp.migrations import upgrade
from webapp.quote.tables import Quote
from webapp.quote.words import put_words, words_of

FORM = 1
MANIFEST, README = "manifest.json", "README.txt"
_LARGEST = 2_000_000_000  # bytes unpacked; a shop of many years has a hundredth of it

_WORDS = """\
Everything this shop has kept, in open formats.

Each file in tables/ is one table as JSON Lines (UTF-8): one row a line, moments
in UTC (ISO 8601), money in minor units of its currency, lengths in millimetres,
angles in degrees. manifest.json lists the tables with their rows and hashes.

It holds people's names and addresses and password hashes: keep it as you would
keep the shop's key. To bring it into an empty database:

    python -m webapp.keeping import THIS_FILE
"""


def export_all(engine: Engine, target: Path | IO[bytes]) -> dict[str, int]:
    """Write everything into a ZIP file; the service may be running.

    Parameters
    ----------
    engine : Engine
    target : path or binary file
        Written whole, or not at all where it is a path.

    Returns
    -------
    dict of table to int
        How many rows each has.
    """
    if isinstance(target, Path):
        part = target.with_name(f".{target.name}.part")
        try:
            part.touch(mode=0o600)  # it holds people's names and addresses
            with part.open("wb") as file:
                found = export_all(engine, file)
            part.replace(target)
        finally:
            part.unlink(missing_ok=True)
        return found
    with reading(engine) as session, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as file:
        return _export(_one_moment(session), file)


def _one_moment(session: Session) -> Connection:
    """A connection that sees one consistent moment of the database."""
    if session.get_bind().dialect.name == "postgresql":
        return session.connection(execution_options={"isolation_level": "REPEATABLE READ"})
    return session.connection()


def _export(connection: Connection, file: zipfile.ZipFile) -> dict[str, int]:
    listed: dict[str, dict[str, Any]] = {}
    for table in tables():
        digest, rows = hashlib.sha256(), 0
        with file.open(_name(table.name), "w") as member:
            for line in read_lines(connection, table):
                data = line.encode()
                digest.update(data)
                member.write(data)
                rows += 1
        listed[table.name] = {"rows": rows, "sha256": digest.hexdigest()}
    manifest = {
        "form": FORM,
        "migration": MigrationContext.configure(connection).get_current_revision(),
        "made_at": datetime.now(UTC).replace(microsecond=0).isoformat(),
        "tables": listed,
    }
    file.writestr(MANIFEST, json.dumps(manifest, indent=2, sort_keys=True) + "\n")
    file.writestr(README, _WORDS)
    return {name: int(about["rows"]) for name, about in listed.items()}


def _name(table: str) -> str:
    return f"tables/{table}.jsonl"


def import_all(engine: Engine, source: Path | IO[bytes]) -> dict[str, int]:
    """Bring such a file into an empty database: all of it, or nothing.

    Mails that were still waiting are marked as failed, so that no copy of a
    shop writes to its customers.

    Parameters
    ----------
    engine : Engine
        Of a database without tables, or with none filled.
    source : path or binary file

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
    with _opened(source) as file:
        manifest = _manifest(file)
        with writing(engine) as session:
            connection = session.connection()
            upgrade(connection)
            _check_migration(connection, manifest)
            _check_empty(connection)
            found = _import(connection, file, manifest)
            _after(session)
    return found


def _opened(source: Path | IO[bytes]) -> zipfile.ZipFile:
    try:
        return zipfile.ZipFile(source)
    except (OSError, zipfile.BadZipFile) as error:
        raise Invalid("file", str(source)[:200], f"a file made by the export: {error}") from error


def _manifest(file: zipfile.ZipFile) -> dict[str, Any]:
    if sum(info.file_size for info in file.infolist()) > _LARGEST:
        raise Invalid("file", "larger than any shop", "a file made by the export")
    try:
        manifest: dict[str, Any] = json.loads(file.read(MANIFEST))
        known = manifest["form"] == FORM and set(manifest["tables"]) <= {t.name for t in tables()}
    except (KeyError, TypeError, ValueError) as error:
        raise Invalid("file", MANIFEST, "a file made by the export") from error
    if not known:
        remedy = f"form {FORM} with this version's tables: import it with the version that made it"
        raise Invalid("form", manifest["form"], remedy)
    return manifest


def _check_migration(connection: Connection, manifest: dict[str, Any]) -> None:
    here = MigrationContext.configure(connection).get_current_revision()
    if manifest["migration"] != here:
        remedy = (
            f"{here}, this version's: import it with the version that made it, then start this one"
        )
        raise Invalid("migration", manifest["migration"], remedy)


def _check_empty(connection: Connection) -> None:
    for table in tables():
        rows = count(connection, table)
        if rows:
            remedy = "an empty database; name a new one by DATABASE_URL or DATA_FOLDER"
            raise Conflict(table.name, f"{rows} rows", remedy)


def _import(
    connection: Connection, file: zipfile.ZipFile, manifest: dict[str, Any]
) -> dict[str, int]:
    found = {}
    for table in tables():
        about = manifest["tables"].get(table.name)
        if about is None:
            continue
        data = file.read(_name(table.name))
        if hashlib.sha256(data).hexdigest() != about["sha256"]:
            raise Invalid("file", _name(table.name), "an undamaged file: its hash does not agree")
        lines = data.decode().splitlines(keepends=True)
        found[table.name] = write_lines(connection, table, lines)
    continue_numbers(connection)
    return found


def _after(session: Session) -> None:
    """What stands beside the tables: the words quotes are found by, and no mail on its way."""
    for quote in session.exec(select(Quote)).all():
        put_words(session, int(quote.id or 0), words_of(quote))
    for mail in session.exec(select(Mail).where(Mail.state == WAITING)).all():
        mail.state = FAILED
        mail.error = "was waiting when the shop was copied; not sent from the copy"
        session.add(mail)
