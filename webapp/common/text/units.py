"""Lengths and masses as people write them, and back into words.

A length typed without its unit is judged by what its field can hold: a stature
of "170" can only be centimetres, "1700" millimetres, "67" inches. Where two
readings are possible the reader is asked for the unit; nothing is guessed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from fractions import Fraction
from typing import Literal

from webapp.common.errors import Invalid
from webapp.common.text.language import in_own_signs, tr

MM_PER_INCH = 25.4  # exact, international yard and pound agreement 1959
KG_PER_POUND = 0.45359237  # exact, the same
POUNDS_PER_STONE = 14
INCHES_PER_FOOT = 12
LONGEST = 40  # characters; more than anybody types into a field for one measure

LengthUnit = Literal["mm", "cm", "in"]
MassUnit = Literal["kg", "lb"]

_MM_PER = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": MM_PER_INCH, "ft": 304.8}
_KG_PER = {"kg": 1.0, "g": 0.001, "lb": KG_PER_POUND, "st": POUNDS_PER_STONE * KG_PER_POUND}
_SPELLED = {
    "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
    "centimetre": "cm", "centimetres": "cm", "centimeter": "cm", "centimeters": "cm", "cms": "cm",
    "metre": "m", "metres": "m", "meter": "m", "meters": "m",
    "inch": "in", "inches": "in", "ins": "in", '"': "in", "''": "in",
    "foot": "ft", "feet": "ft", "'": "ft",
    "kilo": "kg", "kilos": "kg", "kgs": "kg", "kilogram": "kg", "kilograms": "kg",
    "gram": "g", "grams": "g",
    "lbs": "lb", "pound": "lb", "pounds": "lb",
    "stone": "st", "stones": "st", "stone(s)": "st",
}  # fmt: skip

_NUMBER = r"(?P<number>[0-9]+(?:[.,][0-9]+)*|[.,][0-9]+)"
_FRACTION = r"(?:[ -]+(?P<top>[0-9]{1,2})/(?P<bottom>[0-9]{1,2}))?"
_UNIT = r"(?P<unit>[a-z]+|''|'|\")?"
_ONE = re.compile(rf"{_NUMBER}{_FRACTION}\s*{_UNIT}\.?")
_TWO = re.compile(
    r"(?P<big>[0-9]{1,2})\s*(?P<big_unit>ft|foot|feet|'|st|stone|stones)\.?\s*[,-]?\s*"
    rf"{_NUMBER}{_FRACTION}\s*{_UNIT}\.?"
)
_BARE_FEET = re.compile(r"(?P<feet>[3-8])(?: |-| - )(?P<inches>[0-9]|1[01])")
_METRES = re.compile(r"(?P<metres>[12]) ?m ?(?P<rest>[0-9]{2}) ?(?:cm)?")
_GROUPED = re.compile(r"\b([1-9]) ([0-9]{3})\b(?! ?/)")
_ABOUT = re.compile(r"^(?:~|≈|about |ca\.? ?|circa )\s*")
_DOTTED_FEET = re.compile(r"\s*[4-7][.,](?:[0-9]|1[01])\s*")
_EIGHTHS = {
    "⅛": " 1/8", "¼": " 1/4", "⅜": " 3/8", "½": " 1/2", "⅝": " 5/8", "¾": " 3/4", "⅞": " 7/8"
}  # fmt: skip
_TYPOGRAPHY = str.maketrans(
    {"′": "'", "’": "'", "‘": "'", "″": '"', "”": '"', "“": '"', "⁄": "/"} | _EIGHTHS
)


def length_mm(
    text: str, *, field: str, low: float, high: float, prefer: LengthUnit | None = None
) -> float:
    """The length someone typed, in millimetres.

    Parameters
    ----------
    text : str
        What was typed: ``5 ft 7``, ``5'7"``, ``170``, ``1.70 m``, ``1,70 m``,
        ``67 1/2 in``, ``1720 mm``.
    field : str
        Name of the field, for the message.
    low, high : float
        What the field can hold [mm], both included.
    prefer : {"mm", "cm", "in"}, optional
        Unit the reader has chosen; decides a bare number that can be read two ways.

    Returns
    -------
    float
        The length [mm].

    Raises
    ------
    Invalid
        When it cannot be read, can be read in two ways, or lies outside the range.

    Examples
    --------
    >>> length_mm("5 ft 7", field="stature", low=1200, high=2200)
    1701.8
    >>> [length_mm(t, field="stature", low=1200, high=2200) for t in ("170", "1,70 m", "67 in")]
    [1700.0, 1700.0, 1701.8]
    """
    bare = ["mm", "cm", "in"] + (["m"] if re.search("[.,]", text) else [])
    text_read = _as_usual(text)
    readings = _readings(text_read, _MM_PER, bare, "ft")
    if _DOTTED_FEET.fullmatch(text) and not any(low <= size <= high for _, size in readings):
        feet, inches = re.split("[.,]", text.strip())
        said = tr(
            "do you mean {feet} ft {inches}? Write it so, or with its unit: {feet}.{inches} ft",
            feet=feet,
            inches=inches,
        )
        raise Invalid(field, text, said)
    asked = tr(
        "a length from {span}, such as {example:.0f} mm",
        span=_span(low, high),
        example=low + 0.6 * (high - low),
    )
    return _the_one(
        text,
        readings,
        field,
        limits=(low, high),
        asked=asked,
        prefer=prefer,
        units=tr("mm, cm or in"),
    )


def _as_usual(text: str) -> str:
    """Habits of writing a length turned into the usual one; anything else as it was.

    Feet and inches without units, metres and centimetres, thousands set apart by a
    space, and a sign that the number is a rough one.

    Examples
    --------
    >>> [_as_usual(text) for text in ("5 7", "5-7", "1m70", "1 m 70 cm", "1 700 mm", "~170")]
    ['5 ft 7 in', '5 ft 7 in', '170 cm', '170 cm', '1700 mm', '170']
    """
    tidy = _ABOUT.sub("", " ".join(text.lower().split()))
    if found := _BARE_FEET.fullmatch(tidy):
        return f"{found['feet']} ft {found['inches']} in"
    if found := _METRES.fullmatch(tidy):
        return f"{found['metres']}{found['rest']} cm"
    grouped = _GROUPED.sub(r"\1\2", tidy)
    return grouped if grouped != " ".join(text.lower().split()) else text


def mass_kg(
    text: str, *, field: str, low: float, high: float, prefer: MassUnit | None = None
) -> float:
    """The mass someone typed, in kilograms.

    Parameters
    ----------
    text : str
        What was typed: ``75``, ``75 kg``, ``165 lb``, ``11 st 4``.
    field : str
        Name of the field, for the message.
    low, high : float
        What the field can hold [kg], both included.
    prefer : {"kg", "lb"}, optional
        Unit the reader has chosen; decides a bare number that can be read two ways.

    Returns
    -------
    float
        The mass [kg].

    Raises
    ------
    Invalid
        When it cannot be read, can be read in two ways, or lies outside the range.

    Examples
    --------
    >>> round(mass_kg("11 st 4", field="mass", low=30, high=200), 1)
    71.7
    >>> mass_kg("75", field="mass", low=30, high=200, prefer="kg")
    75.0
    """
    readings = _readings(text, _KG_PER, ["kg", "lb"], "st")
    asked = tr(
        ("a mass from {low:g} to {high:g} kg ({low_pounds:.0f} to {high_pounds:.0f} lb)"),
        low=low,
        high=high,
        low_pounds=low / KG_PER_POUND,
        high_pounds=high / KG_PER_POUND,
    )
    return _the_one(
        text, readings, field, limits=(low, high), asked=asked, prefer=prefer, units=tr("kg or lb")
    )


def _span(low: float, high: float) -> str:
    return tr(
        (
            "{low:g} to {high:g} mm ({low_cm:g} to {high_cm:g} cm, "
            "{low_inches:.1f} to {high_inches:.1f} in)"
        ),
        low=low,
        high=high,
        low_cm=low / 10,
        high_cm=high / 10,
        low_inches=low / MM_PER_INCH,
        high_inches=high / MM_PER_INCH,
    )


def _readings(
    text: str, scale: dict[str, float], bare: Iterable[str], big: str
) -> list[tuple[str, float]]:
    """Every way to read ``text``, as (unit, size); empty when there is none."""
    tidy = " ".join(text.lower().translate(_TYPOGRAPHY).split())
    if len(text) > LONGEST or not tidy.isascii():
        return []
    if both := _TWO.fullmatch(tidy):
        return _composed(both, scale, big)
    if (one := _ONE.fullmatch(tidy)) is None:
        return []
    fraction = _fraction(one)
    if fraction is None:
        return []
    unit = one["unit"]
    units = bare if unit is None else [_SPELLED.get(unit, unit)]
    numbers = _numbers(one["number"])
    return [(u, _exact((n + fraction), scale[u])) for u in units if u in scale for n in numbers]


def _composed(found: re.Match[str], scale: dict[str, float], big: str) -> list[tuple[str, float]]:
    """Feet and inches, or stones and pounds; the smaller unit may be left out."""
    small, limit = ("in", INCHES_PER_FOOT) if big == "ft" else ("lb", POUNDS_PER_STONE)
    named = found["unit"] and _SPELLED.get(found["unit"], found["unit"])
    fraction = _fraction(found)
    if _SPELLED.get(found["big_unit"], found["big_unit"]) != big or fraction is None:
        return []
    if named not in (None, small):
        return []
    rests = [n + fraction for n in _numbers(found["number"]) if n + fraction < limit]
    return [(small, _exact(int(found["big"]) * limit + rest, scale[small])) for rest in rests]


def _exact(count: Fraction, size: float) -> float:
    """Product rounded free of binary noise: 67 in is 1701.8 mm, not 1701.8000000000002."""
    return float(count * Fraction(str(size)))


def _fraction(found: re.Match[str]) -> Fraction | None:
    """The common fraction behind a number, zero without one, None when it is not below 1."""
    if found["top"] is None:
        return Fraction(0)
    top, bottom = int(found["top"]), int(found["bottom"])
    return Fraction(top, bottom) if top < bottom else None


def _numbers(digits: str) -> list[Fraction]:
    """What digits with commas or points can mean: decimal sign, or groups of thousands."""
    readings: list[Fraction] = []
    marks = re.findall("[.,]", digits)
    if len(marks) <= 1:
        readings.append(Fraction(digits.replace(",", ".")))
    if re.fullmatch(r"[1-9][0-9]{0,2}([.,][0-9]{3})+", digits) and len(set(marks)) == 1:
        readings.append(Fraction(re.sub("[.,]", "", digits)))
    return readings


def _the_one(
    text: str,
    readings: list[tuple[str, float]],
    field: str,
    *,
    limits: tuple[float, float],
    asked: str,
    prefer: str | None,
    units: str,
) -> float:
    """The only reading within the limits; the reader's own unit decides between several."""
    if not text.strip():
        raise Invalid(field, text, tr("write {asked}", asked=asked))
    if not readings:
        raise Invalid(
            field, text, tr("this cannot be read; write {asked}, in digits 0 to 9", asked=asked)
        )
    fitting = {(unit, size) for unit, size in readings if limits[0] <= size <= limits[1]}
    preferred = {size for unit, size in fitting if unit == prefer}
    sizes = preferred or {size for _, size in fitting}
    if not sizes:
        raise Invalid(field, text, tr("write {asked}", asked=asked))
    if len(sizes) > 1:
        raise Invalid(
            field, text, tr("this can be read in more than one unit; add {units}", units=units)
        )
    return sizes.pop()


def minus(text: str) -> str:
    """The same number with a true minus sign, and none before a zero.

    Examples
    --------
    >>> minus("-0.0"), minus("-0,0"), minus("-1.5")
    ('0.0', '0,0', '−1.5')
    """
    if not text.strip("-0.,"):
        return text.lstrip("-")
    return text.replace("-", "−")


def number(value: float, places: int = 1) -> str:
    """A number with fixed decimals, as printed in every table of the service.

    Examples
    --------
    >>> number(64.96), number(-0.04), number(-3.25, 2)
    ('65.0', '0.0', '−3.25')
    """
    text = in_own_signs(f"{value:.{places}f}")
    return minus(text) if text[0] == "-" else text


def signed_number(value: float, places: int = 1) -> str:
    """A difference with fixed decimals and its sign, as tables print it.

    Examples
    --------
    >>> signed_number(0.26, 2), signed_number(-3.25), signed_number(0.0)
    ('+0.26', '−3.2', '+0.0')
    """
    return minus(in_own_signs(f"{value:+.{places}f}"))


def with_unit(figure: str, unit: str) -> str:
    """A printed figure with its unit: the degree sign right behind it, others after a space.

    Examples
    --------
    >>> with_unit("64.5", "°"), with_unit("15.0", "mm"), with_unit("1.61", "")
    ('64.5°', '15.0 mm', '1.61')
    """
    return f"{figure}°" if unit == "°" else f"{figure} {unit}".rstrip()


def format_length(mm: float, unit: LengthUnit = "mm", places: int | None = None) -> str:
    """A length [mm] in the reader's unit: 1 decimal for mm and cm, 2 for inches.

    Examples
    --------
    >>> format_length(431.25), format_length(1701.8, "cm"), format_length(1701.8, "in")
    ('431.2 mm', '170.2 cm', '67.00 in')
    """
    usual = 2 if unit == "in" else 1
    return f"{number(mm / _MM_PER[unit], usual if places is None else places)} {unit}"


def format_mass(kg: float, unit: MassUnit = "kg", places: int = 1) -> str:
    """A mass [kg] in the reader's unit.

    Examples
    --------
    >>> format_mass(75), format_mass(75, "lb", 0)
    ('75.0 kg', '165 lb')
    """
    return f"{number(kg / _KG_PER[unit], places)} {unit}"


def signed(text: str, *, positive: bool) -> str:
    """A difference as printed: its sign before it, a space between.

    Examples
    --------
    >>> signed("60 EUR", positive=True), signed("0.3 kg", positive=False)
    ('+ 60 EUR', '− 0.3 kg')
    """
    return f"{'+' if positive else '−'} {text}"
