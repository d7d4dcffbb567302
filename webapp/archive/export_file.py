"""The file of an export, as it is opened and checked: piece by piece, however large it is.

``manifest.json`` says which form it has, which migration it was made at, and how
many rows and which hash each table's file has.
"""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any, cast

from webapp.archive.progress import Counter, ReportProgress, quiet
from webapp.archive.row_values import tables
from webapp.common.errors import Invalid
from webapp.common.text.language import tr

FORM = 1
MANIFEST, README = "manifest.json", "README.txt"

Source = Path | IO[bytes]

_LONGEST_LINE = 16_000_000  # bytes; the largest row there can be has a tenth of it
_LARGEST_MANIFEST = 1_000_000
_BUFFER = 1 << 18


def member(table: str) -> str:
    """Name of a table's file."""
    return f"tables/{table}.jsonl"


@contextmanager
def opened(source: Source) -> Iterator[zipfile.ZipFile]:
    """Open a file for reading; whatever is found damaged in it is told in words.

    Raises
    ------
    Invalid
        For a file that is no such file, or damaged.
    """
    try:
        file = zipfile.ZipFile(source)
    except (OSError, zipfile.BadZipFile) as error:
        raise Invalid(
            "file", _named(source), tr("a file made by the export: {error}", error=error)
        ) from error
    try:
        with file:
            yield file
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError) as error:
        raise Invalid(
            "file", _named(source), tr("an undamaged export: {error}", error=error)
        ) from error


def _named(source: Source) -> str:
    return str(source)[:200] if isinstance(source, Path) else tr("what was sent")


def manifest_of(file: zipfile.ZipFile) -> dict[str, Any]:
    """What the file says of itself.

    Raises
    ------
    Invalid
        When it says nothing, or was made in a form this version does not know.
    """
    try:
        if file.getinfo(MANIFEST).file_size > _LARGEST_MANIFEST:
            raise ValueError("too large")
        manifest: dict[str, Any] = json.loads(file.read(MANIFEST))
        known = manifest["form"] == FORM and set(manifest["tables"]) <= {t.name for t in tables()}
    except (KeyError, TypeError, ValueError) as error:
        raise Invalid("file", MANIFEST, tr("a file made by the export")) from error
    if not known:
        remedy = tr(
            "form {form} with this version's tables: import it with the version that made it",
            form=FORM,
        )
        raise Invalid("form", manifest["form"], remedy)
    return manifest


def lines_of(file: zipfile.ZipFile, table: str) -> Iterator[bytes]:
    """The lines of a table's file, split at line feeds only.

    Other characters that end a line elsewhere may occur within a text.

    Raises
    ------
    Invalid
        For a file that is not there, or a line longer than any row.
    """
    try:
        packed = file.open(member(table))
    except KeyError as error:
        raise Invalid("file", member(table), tr("there: the manifest names it")) from error
    # Python's own type for "any file of bytes" is not the one its reader asks for.
    with packed, io.BufferedReader(cast(io.RawIOBase, packed), _BUFFER) as reader:
        while line := reader.readline(_LONGEST_LINE):
            if len(line) == _LONGEST_LINE and not line.endswith(b"\n"):
                raise Invalid("file", member(table), tr("lines that are rows; one has no end"))
            yield line


def check_members(
    file: zipfile.ZipFile, manifest: dict[str, Any], *, report: ReportProgress = quiet
) -> dict[str, int]:
    """Read all of it, and compare rows and hashes with what the manifest says.

    Returns
    -------
    dict of table to int
        How many rows each has.

    Raises
    ------
    Invalid
        For the first table that does not agree.
    """
    found: dict[str, int] = {}
    counter = Counter(tr("Checking"), rows_in(manifest), report)
    for table, about in manifest["tables"].items():
        digest, rows = hashlib.sha256(), 0
        for line in counter.along(lines_of(file, table)):
            digest.update(line)
            rows += 1
        if digest.hexdigest() != about["sha256"] or rows != about["rows"]:
            raise Invalid("file", member(table), tr("an undamaged file: its hash does not agree"))
        found[table] = rows
    return found


def rows_in(manifest: dict[str, Any]) -> int:
    """How many rows the file has in all, according to its manifest."""
    return sum(int(about["rows"]) for about in manifest["tables"].values())


def check_export(source: Source, *, report: ReportProgress = quiet) -> dict[str, int]:
    """Read a whole export and compare it with its own manifest.

    Returns
    -------
    dict of table to int
        How many rows each has.

    Raises
    ------
    Invalid
        For a file that is no export, or damaged.
    """
    with opened(source) as file:
        return check_members(file, manifest_of(file), report=report)
