"""The glossary: one entry for every number that goes into or comes out of the package.

Side view from the drive side: x forward, y up, z to the rider's right, origin
at the centre of the bottom bracket (BB). A positive rotation lifts the front.
Lengths are millimetres and angles degrees; angles of tubes are measured from
the level. Every result is of the bike standing on level ground,
in the state asked for, unless its entry says otherwise.

Results go by their plain name (``head_angle``). Inputs go by the object they
belong to, a dot and their name there (``frame.head_angle``, ``fork.offset``),
because the same word may be meant as drawn or as standing.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from geometry.core import (
    InvalidInput,
    KeyOfGlossary,
)
from geometry.glossary.entries import Entry
from geometry.glossary.input_entries import INPUTS
from geometry.glossary.result_entries import RESULTS

__all__ = ["GLOSSARY", "PLACES", "Entry", "entry", "inputs"]

GLOSSARY: Mapping[str, Entry] = MappingProxyType({e.key: e for e in (*RESULTS, *INPUTS)})
"""Every entry by its key; results first, in the order a sheet prints them."""

PLACES: Mapping[str, str] = MappingProxyType({e.place: e.key for e in (*INPUTS, *RESULTS)})
"""Key of each field of a class, ``Standing.trail`` to ``trail``."""


def entry(key: str) -> Entry:
    """The glossary's entry of a key.

    Parameters
    ----------
    key : str
        A result (``"trail"``) or an input (``"fork.offset"``).

    Returns
    -------
    Entry
        Name, symbol, unit, definition, formula and source.

    Raises
    ------
    InvalidInput
        A key that is in no entry.

    Examples
    --------
    >>> entry("trail").unit, entry("trail").decimals
    ('mm', 1)
    >>> entry("fork.offset").name
    'Fork offset'
    """
    try:
        return GLOSSARY[key]
    except KeyError:
        raise InvalidInput("key", key, KeyOfGlossary()) from None


def inputs() -> tuple[Entry, ...]:
    """Entries of everything that is given.

    >>> [e.key for e in inputs()][:2]
    ['frame.reach', 'frame.stack']
    """
    return INPUTS
