"""Rows of cells out of what was pasted or uploaded."""

from __future__ import annotations

import csv
import io

from webapp.common.errors import Invalid
from webapp.common.text.language import tr
from webapp.office.imported_tables.xlsx import workbook_rows

MOST_CHARACTERS = 60_000
_MOST_FILE = 1_000_000
_ZIP = b"PK\x03\x04"
_SIGNS = ("\t", ";", ",", "|")

Rows = list[list[str]]


def rows_of_text(text: str) -> Rows:
    """Rows of pasted lines or of a CSV file; empty lines keep their number.

    Raises
    ------
    Invalid
        For too much text, or none.

    Examples
    --------
    >>> rows_of_text("Size;S;M\\nReach;430,5;450")
    [['Size', 'S', 'M'], ['Reach', '430,5', '450']]
    """
    if len(text) > MOST_CHARACTERS:
        remedy = tr("at most {most} characters", most=MOST_CHARACTERS)
        raise Invalid("table", tr("{length} characters", length=len(text)), remedy)
    lines = text.splitlines()
    full = [line for line in lines if line.strip()]
    if not full:
        raise Invalid("table", "", tr("paste at least one line of numbers"))
    sign = max(
        _SIGNS, key=lambda one: (min(_count(line, one) for line in full), -_SIGNS.index(one))
    )
    if not any(sign in line for line in full):
        sign = next((one for one in _SIGNS if any(one in line for line in full)), "\t")
    read = csv.reader(io.StringIO("\n".join(lines)), delimiter=sign)
    return [[cell.strip() for cell in row] for row in read]


def _count(line: str, sign: str) -> int:
    return line.count(sign)


def rows_of_file(content: bytes) -> Rows:
    """Rows of an uploaded CSV file or workbook.

    Raises
    ------
    Invalid
        For a file that is too large or neither.
    """
    if len(content) > _MOST_FILE:
        raise Invalid("file", tr("this file"), tr("a file of at most 1 MB"))
    if content.startswith(_ZIP):
        return workbook_rows(content)
    for encoding in ("utf-8-sig", "cp1252"):
        try:
            text = content.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return rows_of_text(text)
    raise Invalid("file", tr("this file"), tr("a workbook (.xlsx) or a CSV file"))
