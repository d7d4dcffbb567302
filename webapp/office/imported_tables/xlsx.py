"""The first sheet of a workbook (ECMA-376), its values alone, within the bounds of a table.

A workbook is a zip of XML files: what would unpack to more than a table can be is refused
before anything of it is read, and with `defusedxml` there XML that declares entities is too.
"""

from __future__ import annotations

import io
import zipfile
import zlib
from xml.etree.ElementTree import ParseError

from openpyxl import load_workbook
from openpyxl.utils.exceptions import InvalidFileException

from webapp.common.errors import Invalid
from webapp.common.text.language import tr

_MOST_BYTES = 8_000_000
_MOST_FILES = 500
_MOST_ROWS, _MOST_COLUMNS = 400, 120

_UNREADABLE = (
    InvalidFileException, zipfile.BadZipFile, zlib.error, ParseError, ArithmeticError,
    AttributeError, EOFError, LookupError, NotImplementedError, OSError, RuntimeError, TypeError,
    ValueError,
)  # fmt: skip
"""What the library lets through of a file that is no workbook, or is broken somewhere."""


def workbook_rows(content: bytes) -> list[list[str]]:
    """The rows of a workbook's first sheet, each cell as text.

    Raises
    ------
    Invalid
        For what is no workbook, or one that is larger than a table can be.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            files = packed.infolist()
        # No more than this is ever unpacked of a file, whatever it holds.
        if len(files) > _MOST_FILES or sum(each.file_size for each in files) > _MOST_BYTES:
            raise _refused(tr("a smaller sheet: this one unpacks to more than 8 MB"))
        return _rows(content)
    except _UNREADABLE as error:
        raise _refused(tr("a workbook (.xlsx) or a CSV file")) from error


def _refused(remedy: str) -> Invalid:
    return Invalid("file", tr("this file"), remedy)


def _rows(content: bytes) -> list[list[str]]:
    book = load_workbook(io.BytesIO(content), read_only=True, data_only=True, keep_links=False)
    try:
        sheet = book.worksheets[0]
        sheet.reset_dimensions()  # what a file says of its size need not be so
        found = sheet.iter_rows(max_row=_MOST_ROWS, max_col=_MOST_COLUMNS, values_only=True)
        return [_without_end([_text(value) for value in row]) for row in found]
    finally:
        book.close()


def _text(value: object) -> str:
    if isinstance(value, float):
        return f"{value:.8g}"  # 65.4 is kept as 65.400000000000006
    return "" if value is None else str(value).strip()


def _without_end(cells: list[str]) -> list[str]:
    while cells and not cells[-1]:
        cells.pop()
    return cells
