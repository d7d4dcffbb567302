"""The first sheet of a workbook (ECMA-376), its values alone: no formulas, no styles, no macros.

Read with the standard library: a workbook is a zip of XML files. What unpacks to more
than a table can be, and XML that declares entities, is refused.
"""

from __future__ import annotations

import io
import re
import zipfile
from xml.etree import ElementTree

from webapp.common.errors import Invalid
from webapp.common.text.language import tr

_MOST_BYTES = 8_000_000
_MOST_ROWS, _MOST_COLUMNS = 400, 120
_SHEET = re.compile(r"xl/worksheets/sheet\d+\.xml")
_REFERENCE = re.compile(r"([A-Z]{1,3})\d+")


def workbook_rows(content: bytes) -> list[list[str]]:
    """The rows of a workbook's first sheet, each cell as text.

    Raises
    ------
    Invalid
        For what is no workbook, or one that is larger than a table can be.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            names = sorted(n for n in packed.namelist() if _SHEET.fullmatch(n))
            if not names:
                raise _refused(tr("a workbook with a sheet of numbers"))
            shared = _shared(packed) if "xl/sharedStrings.xml" in packed.namelist() else []
            return _rows(_parsed(packed, min(names, key=_number)), shared)
    except (zipfile.BadZipFile, ElementTree.ParseError, ValueError, NotImplementedError) as error:
        raise _refused(tr("a workbook (.xlsx) or a CSV file")) from error


def _number(name: str) -> int:
    return int(re.sub(r"\D", "", name))


def _refused(remedy: str) -> Invalid:
    return Invalid("file", tr("this file"), remedy)


def _parsed(packed: zipfile.ZipFile, name: str) -> ElementTree.Element:
    """One file of the zip, never unpacked beyond what a table takes."""
    with packed.open(name) as opened:
        content = opened.read(_MOST_BYTES + 1)
    if len(content) > _MOST_BYTES:
        raise _refused(tr("a smaller sheet: this one unpacks to more than 8 MB"))
    if b"<!DOCTYPE" in content or b"<!ENTITY" in content:
        raise _refused(tr("a workbook without declarations of its own"))
    return ElementTree.fromstring(content)  # noqa: S314 - no entities, bounded above


def _plain(tag: str) -> str:
    return tag.rpartition("}")[2]


def _text(element: ElementTree.Element) -> str:
    """All text of a string, without phonetic hints."""
    parts = []
    for each in element.iter():
        if _plain(each.tag) == "t" and each.text:
            parts.append(each.text)
    return "".join(parts)


def _shared(packed: zipfile.ZipFile) -> list[str]:
    return [_text(each) for each in _parsed(packed, "xl/sharedStrings.xml")]


def _rows(sheet: ElementTree.Element, shared: list[str]) -> list[list[str]]:
    found: list[list[str]] = []
    for row in (each for each in sheet.iter() if _plain(each.tag) == "row"):
        number = int(row.get("r", len(found) + 1))
        if not 0 < number <= _MOST_ROWS:
            break
        found.extend([] for _ in range(number - len(found) - 1))
        found.append(_cells(row, shared))
    return found


def _cells(row: ElementTree.Element, shared: list[str]) -> list[str]:
    found: list[str] = []
    for cell in (each for each in row if _plain(each.tag) == "c"):
        at = _column(cell.get("r", ""), otherwise=len(found))
        if at >= _MOST_COLUMNS:
            break
        found.extend("" for _ in range(at - len(found)))
        found.append(_value(cell, shared))
    return found


def _column(reference: str, *, otherwise: int) -> int:
    matched = _REFERENCE.fullmatch(reference)
    if matched is None:
        return otherwise
    place = 0
    for letter in matched[1]:
        place = place * 26 + ord(letter) - ord("A") + 1
    return place - 1


def _value(cell: ElementTree.Element, shared: list[str]) -> str:
    kind = cell.get("t", "n")
    if kind == "inlineStr":
        return _text(cell).strip()
    written = next((each.text or "" for each in cell if _plain(each.tag) == "v"), "")
    if kind == "s":
        place = int(written)
        return shared[place].strip() if 0 <= place < len(shared) else ""
    if kind == "n" and written:
        return f"{float(written):.8g}"  # 65.4 is kept as 65.400000000000006
    return written.strip()
