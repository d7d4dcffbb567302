"""Parts as CSV: what a file may look like, and what is wrong with it, row by row.

One line a part: ``kind, slug, name, price, cost, models, usual_for`` and then the fields
of the part's data by their paths (``tyres.0.widest``). Comma, semicolon or tab;
UTF-8, also with a mark at its beginning, or UTF-16; point or decimal comma.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from webapp.common.errors import Invalid
from webapp.common.text.language import tr

OWN = ("kind", "slug", "name", "price", "cost", "models", "usual_for")
"""Columns of every file; the others are fields of the data."""

MOST_ROWS = 5000
MOST_COLUMNS = 400
_SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab"}
_NUMBER = re.compile(r"[+-]?[0-9]+([.,][0-9]+)?")
_BROKEN = "\N{REPLACEMENT CHARACTER}"


@dataclass(frozen=True, kw_only=True)
class FileRow:
    """One line of a file: its number as a spreadsheet counts, its cells by column.

    ``problem`` says why the line cannot be read at all; empty when it can.
    """

    number: int
    cells: Mapping[str, str]
    problem: str = ""


@dataclass(frozen=True, kw_only=True)
class PartFile:
    """A file as read.

    Parameters
    ----------
    separator, encoding : str
        What it was found to be written in, in words.
    columns : tuple of str
    missing : tuple of str
        Columns every file needs and this one lacks; a part that is known needs no more.
    rows : tuple of FileRow
    """

    separator: str
    encoding: str
    columns: tuple[str, ...]
    missing: tuple[str, ...]
    rows: tuple[FileRow, ...]


def read_file(content: bytes, *, kind: str = "") -> PartFile:
    """Read a file of parts; nothing but an empty or endless one is refused as a whole.

    Parameters
    ----------
    content : bytes
    kind : str
        What all its parts are, where it has no column of that name.

    Returns
    -------
    PartFile

    Raises
    ------
    Invalid
        For an empty file, one with too many rows or columns, or one that is no text.

    Examples
    --------
    >>> made = read_file(b"kind;slug;name\\nsaddle;broad;Broad saddle\\n")
    >>> made.separator, made.rows[0].number, made.rows[0].cells["name"], made.missing
    ('semicolon', 2, 'Broad saddle', ())
    """
    text, encoding = _decoded(content)
    lines = text.splitlines(keepends=True)
    head = next((line for line in lines if line.strip()), "")
    if not head:
        raise Invalid("file", "empty", tr("a file with a line of column names and lines of parts"))
    if "\0" in text:
        raise Invalid("file", tr("bytes that are no text"), tr("a CSV file saved as UTF-8"))
    separator = max(_SEPARATORS, key=head.count)
    reader = csv.reader(io.StringIO(text), delimiter=separator, strict=False)
    try:
        table = [(reader.line_num, cells) for cells in reader]
    except csv.Error as error:  # a value beyond the reader's limit
        remedy = tr(
            "closed quotation marks: one stands open at line {line_num}", line_num=reader.line_num
        )
        raise Invalid("file", str(error), remedy) from error
    columns, body = _columns(table)
    given = {"kind"} if kind else set()
    rows = [
        _row(number, cells, columns, kind) for number, cells in body if any(map(str.strip, cells))
    ]
    if len(rows) > MOST_ROWS:
        raise Invalid(
            "file",
            tr("{rows} rows", rows=len(rows)),
            tr("at most {most_rows} rows at once", most_rows=MOST_ROWS),
        )
    return PartFile(
        separator=_SEPARATORS[separator],
        encoding=encoding,
        columns=columns,
        missing=tuple(c for c in OWN[:2] if c not in columns and c not in given),
        rows=tuple(rows),
    )


def _decoded(content: bytes) -> tuple[str, str]:
    """The text; bytes that are not UTF-8 become a mark for which only their own line is refused."""
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return content.decode("utf-16", "replace"), "UTF-16"
    try:
        return content.decode("utf-8-sig"), "UTF-8"
    except UnicodeDecodeError:
        return content.decode("utf-8", "replace").lstrip("\ufeff"), tr("not UTF-8 throughout")


def _columns(
    table: Sequence[tuple[int, list[str]]],
) -> tuple[tuple[str, ...], Sequence[tuple[int, list[str]]]]:
    place = next(i for i, (_, cells) in enumerate(table) if any(map(str.strip, cells)))
    columns = tuple(cell.strip() for cell in table[place][1])
    if len(columns) > MOST_COLUMNS:
        raise Invalid(
            "file",
            tr("{columns} columns", columns=len(columns)),
            tr("at most {most_columns} columns", most_columns=MOST_COLUMNS),
        )
    named = [column for column in columns if column]
    twice = sorted({column for column in named if named.count(column) > 1})
    if twice:
        raise Invalid("file", ", ".join(twice)[:200], tr("every column once"))
    return columns, table[place + 1 :]


def _row(number: int, cells: Sequence[str], columns: Sequence[str], kind: str) -> FileRow:
    found = dict(zip(columns, (_bare(cell) for cell in cells), strict=False))
    found.pop("", None)
    found.setdefault("kind", kind)
    problem = ""
    if len(cells) > len(columns) and any(cell.strip() for cell in cells[len(columns) :]):
        problem = tr(
            (
                "{cells} values for {columns} columns: a separator inside a value, "
                "such as a decimal comma, must stand in quotation marks"
            ),
            cells=len(cells),
            columns=len(columns),
        )
    if any(_BROKEN in cell for cell in cells):
        problem = tr("not UTF-8: save the file as UTF-8, or write this line's accents anew")
    return FileRow(number=number, cells=found, problem=problem)


def _bare(cell: str) -> str:
    """A cell without spaces around it and without the quote that `_harmless` puts before."""
    text = cell.strip()
    return text[1:] if text[:1] == "'" and _harmless(text[1:]) == text else text


def write_file(columns: Sequence[str], rows: Iterable[Mapping[str, str]]) -> str:
    """Parts as CSV (RFC 4180), the fixed columns first.

    >>> write_file(["stack"], [{"kind": "saddle", "slug": "a", "stack": "45"}]).splitlines()[1]
    'saddle,a,,,,,,45'
    """
    text = io.StringIO()
    writer = csv.DictWriter(text, [*OWN, *columns], restval="", extrasaction="ignore")
    writer.writeheader()
    writer.writerows({k: _harmless(v) for k, v in row.items()} for row in rows)
    return text.getvalue()


def _harmless(value: str) -> str:
    """A text that a spreadsheet would run as a formula, kept from running; numbers stay.

    >>> _harmless("-12,5"), _harmless("-2+3"), _harmless("=1+1")
    ('-12,5', "'-2+3", "'=1+1")
    """
    runs = value.startswith(("=", "+", "-", "@", "\t", "\r"))
    return f"'{value}" if runs and not _NUMBER.fullmatch(value) else value
