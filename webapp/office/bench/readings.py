"""The measurements taken of a bike, their spreads, and reading them as typed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from types import MappingProxyType

from geometry.verify import Reading
from webapp.common.errors import Gathering, Invalid
from webapp.common.text.glossary import GLOSSARY, entry
from webapp.common.text.language import tr
from webapp.common.text.units import length_mm, number
from webapp.office.forms.typed_numbers import read_number

MOST_READINGS = 40

SPREADS: Mapping[str, float] = MappingProxyType(
    {
        "head_angle": 0.2,
        "seat_tube_angle": 0.2,
        "effective_seat_angle": 0.3,
        "reach": 2.0,
        "stack": 2.0,
        "effective_top_tube": 2.0,
        "chainstay_length": 1.0,
        "rear_centre": 1.0,
        "front_centre": 2.0,
        "front_centre_straight": 1.0,
        "wheelbase": 2.0,
        "bb_drop": 1.0,
        "bb_height": 1.0,
        "trail": 2.0,
        "standover": 3.0,
        "frame.head_tube_length": 0.5,
        "frame.seat_tube_length": 1.0,
        "fork.axle_to_crown": 1.0,
        "fork.offset": 1.0,
        "build.lower_headset_stack": 0.3,
        "build.front_radius": 1.0,
        "build.rear_radius": 1.0,
        "build.slot_position": 0.5,
    }
)
"""What is usually read off a bike, and with which spread (1 σ) [mm, deg]. Head angle,
offset, wheelbase and trail: Moore, Human Control of a Bicycle, UC Davis 2012, chapter
Physical Parameters; the others are common practice with a tape, a rule and a level."""

NUMBERS: Mapping[str, str] = MappingProxyType(
    {key: str(place) for place, key in enumerate(SPREADS, 1)}
)
"""The number of every reading, in the list and on the drawing."""

_MOST_MM = 3000.0
_WITH_UNIT = re.compile(r"[a-z\"'′″”’]", re.IGNORECASE)
_MM_PER_INCH = 25.4
_LIKE = 0.12  # of the drawn length: how near the number must come to it in inches to be asked about
_UNLIKE = 0.5  # and how far from it the number in millimetres must be
_LENGTHS = 60.0  # [mm] shorter ones cannot be distinguished from inches


def read_readings(
    given: Iterable[tuple[str, str, str]],
    *,
    field: str = "reading",
    drawn: Mapping[str, float] | None = None,
) -> tuple[Reading, ...]:
    """Readings as somebody typed them; lines without a value are left out.

    Parameters
    ----------
    given : iterable of (key, value, spread)
        Texts; a length may carry its unit; an empty spread means the usual one.
    field : str
        First word of a problem's field.
    drawn : mapping of str to float, optional [mm, deg]
        What each should read, by which a length in inches is noticed.

    Returns
    -------
    tuple of Reading

    Raises
    ------
    Invalid
        For a value that is no number or looks like inches, a spread that is not
        positive, a key nobody knows, or no reading at all.

    Examples
    --------
    >>> [(r.key, r.value, r.spread) for r in read_readings([("wheelbase", "1172", "")])]
    [('wheelbase', 1172.0, 2.0)]
    >>> read_readings([("chainstay_length", '16 3/4"', "")])[0].value
    425.45
    """
    gathering, found, known = Gathering(), [], drawn or {}
    for key, value, spread in given:
        if not value.strip():
            continue
        made = gathering.take(lambda k=key, v=value, s=spread: _reading(k, v, s, field, known))  # type: ignore[misc]
        if made is not None:
            found.append(made)
    if not found and not gathering.problems:
        gathering.add(field, "", tr("at least one value read off the bike"))
    if len(found) > MOST_READINGS:
        gathering.add(field, len(found), tr("at most {most_readings}", most_readings=MOST_READINGS))
    gathering.finish()
    return tuple(found)


def _reading(key: str, value: str, spread: str, field: str, drawn: Mapping[str, float]) -> Reading:
    at = f"{field}.{key}"
    if key not in GLOSSARY:
        raise Invalid(at, key, tr("one of {choices}", choices=", ".join(SPREADS)))
    unit = entry(key).unit
    read = _typed(at, value, unit)
    if not _WITH_UNIT.search(value):
        _ask_about_inches(at, value, read, unit, drawn.get(key))
    width = _typed(f"spread.{key}", spread, unit) if spread.strip() else SPREADS.get(key, 1.0)
    if not width > 0:
        said = tr("a number above 0 [{unit}]", unit=unit or tr("as the figure"))
        raise Invalid(f"spread.{key}", spread, said)
    return Reading(key=key, value=read, spread=width)


def _typed(at: str, text: str, unit: str) -> float:
    """A length in millimetres or an angle in degrees, whichever unit it was typed in."""
    if unit == "mm" and _WITH_UNIT.search(text):
        return length_mm(text, field=at, low=0.0, high=_MOST_MM)
    read = read_number(text.strip().removesuffix("°") if unit == "°" else text)
    if isinstance(read, str):
        raise Invalid(at, text, tr("a number [{unit}]", unit=unit or tr("as the figure")))
    return float(read)


def _ask_about_inches(at: str, text: str, read: float, unit: str, drawn: float | None) -> None:
    """Refuse a number without a unit that fits the drawing in inches but not in millimetres."""
    if drawn is None or unit != "mm" or drawn < _LENGTHS:
        return
    inches = read * _MM_PER_INCH
    if abs(inches - drawn) < _LIKE * drawn and abs(read - drawn) > _UNLIKE * drawn:
        said = tr(
            "do you mean {typed} in, which is {mm} mm? Write it with its unit: {typed} in, or "
            "{typed} mm",
            typed=text.strip(),
            mm=number(inches, 1),
        )
        raise Invalid(at, text, said)
