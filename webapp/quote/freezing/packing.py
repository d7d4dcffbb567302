"""Compression of a version's content: packed bytes in the table, plain values in the code.

A version says some 75 kB, most of it the same words as every other: what figures are
called and come from, what checks ask, how a drawing is written. It is kept as JSON that
zlib packs against such words (a preset dictionary, one for each of `SECTIONS`), which
leaves about 5 kB. Who reads or writes the table sees the plain value only.

The first byte names the form. A form never changes once something was kept in it, and
its words stay in ``packing_words_N.txt`` for ever; better words are a new form:
another file, another entry of `FORMS`, and `NEWEST`.
"""

from __future__ import annotations

import json
import zlib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from sqlalchemy import Dialect, LargeBinary
from sqlalchemy.types import TypeDecorator

from webapp.common.text.language import tr

SECTIONS = (("figures",), ("checks",), ("drawing", "full"), ("drawing", "compact"),
            ("drawing", "paper"))  # fmt: skip
"""Sections packed separately, since zlib looks back 32 kB at most; the rest comes after them."""

FORMS: Mapping[int, str] = {1: "packing_words_1.txt"}
"""The preset dictionaries of every form ever used: a line for each of `SECTIONS`, and one for
the rest.
"""

NEWEST = 1
_LEVEL = 6
_HERE = Path(__file__).parent


class Damaged(ValueError):
    """Bytes that are not a packed value, or not a complete one."""


@cache
def words(form: int) -> tuple[bytes, ...]:
    """The dictionaries of a form, in the order of the sections, the rest's last."""
    return tuple((_HERE / FORMS[form]).read_bytes().rstrip(b"\n").split(b"\n"))


def pack(value: Any) -> bytes:
    """Pack a JSON value.

    Parameters
    ----------
    value : plain JSON value
        Of any shape; the content of a quote becomes smallest.

    Returns
    -------
    bytes

    Examples
    --------
    >>> packed = pack({"figures": [{"key": "reach"}], "terms": ["Ä\u2028"]})
    >>> packed[0] == NEWEST, unpack(packed)
    (True, {'figures': [{'key': 'reach'}], 'terms': ['Ä\u2028']})
    """
    rest, taken, streams = value, [], []
    for number, path in enumerate(SECTIONS):
        found = _at(rest, path)
        if found is not None:
            rest = _with(rest, path, None)
            taken.append(number)
            streams.append(_deflated(found, words(NEWEST)[number]))
    first = _deflated([taken, rest], words(NEWEST)[-1])
    return b"".join([bytes([NEWEST]), first, *streams])


def unpack(packed: bytes) -> Any:
    """What was packed, whichever form it is in.

    Raises
    ------
    Damaged
        For bytes that are no packed value, or not whole.
    """
    if not packed or packed[0] not in FORMS:
        raise Damaged(
            tr("packed in a form this version does not know: {value!r}", value=packed[:1])
        )
    try:
        dictionaries = words(packed[0])
        (taken, value), left = _inflated(packed[1:], dictionaries[-1])
        for number in taken:
            section, left = _inflated(left, dictionaries[number])
            value = _with(value, SECTIONS[number], section)
    except (zlib.error, ValueError, LookupError, TypeError) as error:
        raise Damaged(tr("a packed value that is damaged: {error}", error=error)) from error
    if left:
        raise Damaged(tr("a packed value with more behind it"))
    return value


def _deflated(value: Any, dictionary: bytes) -> bytes:
    text = json.dumps(value, ensure_ascii=False, separators=(",", ":"))
    packing = zlib.compressobj(_LEVEL, zdict=dictionary)
    return packing.compress(text.encode("utf-8", "surrogatepass")) + packing.flush()


def _inflated(packed: bytes, dictionary: bytes) -> tuple[Any, bytes]:
    """The value at the beginning of these bytes, and the bytes behind it."""
    reading = zlib.decompressobj(zdict=dictionary)
    text = reading.decompress(packed) + reading.flush()
    if not reading.eof:
        raise Damaged(tr("a packed value that ends too early"))
    return json.loads(text.decode("utf-8", "surrogatepass")), reading.unused_data


def _at(value: Any, path: tuple[str, ...]) -> Any:
    for name in path:
        value = value.get(name) if isinstance(value, dict) else None
    return value


def _with(value: Any, path: tuple[str, ...], section: Any) -> Any:
    """A copy with something else at that place, in the same order."""
    if not path:
        return section
    return {**value, path[0]: _with(value[path[0]], path[1:], section)}


class Packed(TypeDecorator[Any]):
    """A column of plain JSON values that are kept packed."""

    impl = LargeBinary
    cache_ok = True

    def process_bind_param(self, value: Any, dialect: Dialect) -> bytes | None:  # noqa: ARG002
        """Pack what is written."""
        return None if value is None else pack(value)

    def process_result_value(self, value: bytes | None, dialect: Dialect) -> Any:  # noqa: ARG002
        """Unpack what is read."""
        return None if value is None else unpack(bytes(value))
