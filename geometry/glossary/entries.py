"""What an entry of the glossary holds."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

Unit = Literal["mm", "°", "g", ""]
"""Unit of a number: millimetres, degrees, the acceleration of gravity; empty for a ratio."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Entry:
    """One number of the trade: what it is called, means and comes from.

    Parameters
    ----------
    key : str
        How the program calls it.
    name : str
        How the trade calls it.
    symbol : str
        How formulas write it.
    unit : {"mm", "°", "g", ""}
        Empty for a ratio.
    decimals : int
        How many are printed.
    definition : str
        From where to where, in which direction, with its sign.
    formula : str
        How it is computed; empty for an input.
    source : str
        Where formula or convention come from.
    place : str
        Class and field that hold it (``"Standing.trail"``).
    point : bool
        True for a point: (x, y) of the side view, or (x, y, z).
    """

    key: str
    name: str
    symbol: str
    unit: Unit
    decimals: int
    definition: str
    formula: str = ""
    source: str
    place: str
    point: bool = False


PLANE = "Plane geometry."
"""Source of whatever follows from the definition alone."""


def length(
    key: str,
    name: str,
    symbol: str,
    definition: str,
    *,
    place: str,
    formula: str = "",
    source: str = PLANE,
) -> Entry:
    """An entry in millimetres, printed to 0.1 mm."""
    return Entry(
        key=key,
        name=name,
        symbol=symbol,
        unit="mm",
        decimals=1,
        definition=definition,
        formula=formula,
        source=source,
        place=place,
    )


def angle(key: str, name: str, symbol: str, definition: str, **more: str) -> Entry:
    """An entry in degrees, printed to 0.01°, since a slid axle alters angles by no more."""
    return replace(length(key, name, symbol, definition, **more), unit="°", decimals=2)


def ratio(key: str, name: str, symbol: str, definition: str, **more: str) -> Entry:
    """An entry without a unit, printed to four digits."""
    return replace(length(key, name, symbol, definition, **more), unit="", decimals=4)


def point(key: str, name: str, symbol: str, definition: str, **more: str) -> Entry:
    """An entry for a point (x, y) of the side view [mm], from the BB centre."""
    return replace(length(key, name, symbol, definition, **more), point=True)
