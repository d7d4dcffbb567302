"""What was typed about the present bike, field by field."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from webapp.builds.present_bike.fields import NAMES, PresentField
from webapp.common.errors import Invalid
from webapp.common.text.language import tr
from webapp.common.text.units import length_mm

Query = Mapping[str, Sequence[str]]
LONGEST_VALUE = 40
LONGEST_LINK = 2000


def typed_in(query: Query) -> dict[str, str]:
    """Every field of the present bike as it was typed, without spaces around it."""
    return {name: text_of(query, name, LONGEST_LINK if name == "ours" else LONGEST_VALUE)
            for name in NAMES}  # fmt: skip


def text_of(query: Query, name: str, longest: int = LONGEST_VALUE) -> str:
    """A field's one value, without spaces around it."""
    return next((value.strip()[:longest] for value in query.get(name, ())), "")


def read_number(field: PresentField, text: str) -> float:
    """A length [mm] or an angle [deg] that was typed.

    Raises
    ------
    Invalid
        What cannot be read, or lies outside the field's limits.

    Examples
    --------
    >>> from webapp.builds.present_bike.fields import FIELD_OF
    >>> read_number(FIELD_OF["bb_above_floor"], "31 cm"), read_number(FIELD_OF["stem_angle"], "−6°")
    (310.0, -6.0)
    """
    if field.unit == "mm" and field.low > 0:
        return length_mm(text, field=field.name, low=field.low, high=field.high)
    return plain_number(text, field.name, field.low, field.high)


def plain_number(text: str, name: str, low: float, high: float) -> float:
    """A number that may be negative or end in its unit.

    Raises
    ------
    Invalid
        What is no number, or lies outside the limits.
    """
    plain = text.lower().removesuffix("mm").removesuffix("°").strip()
    plain = plain.replace("\N{MINUS SIGN}", "-").replace(",", ".")
    try:
        value = float(plain)
    except ValueError:
        value = math.nan
    if not low <= value <= high:
        raise Invalid(name, text, tr("a number from {low:g} to {high:g}", low=low, high=high))
    return value
