"""The units in which the reader of an answer reads.

Lengths of a body, fit and the mass of a bike are written in the reader's units; the figures of
a frame stay in millimetres, which is how the trade writes them. Outside of a request, and for
programs, everything is metric.
"""

from __future__ import annotations

from contextvars import ContextVar
from typing import Literal

from webapp.common.text.language import tr
from webapp.common.text.units import (
    INCHES_PER_FOOT,
    KG_PER_POUND,
    MM_PER_INCH,
    format_mass,
    number,
    signed,
)

Units = Literal["metric", "imperial"]


chosen: ContextVar[Units | None] = ContextVar("chosen", default=None)
"""What this reader has pressed or typed."""


class _Usual:
    """The units of the shop, where a reader has said nothing."""

    units: Units = "metric"


def use_units(units: Units) -> None:
    """From now on write in these units for whoever has chosen none.

    One shop is served by a process, and it is asked before every page.
    """
    _Usual.units = units


def reads_imperial() -> bool:
    """Whether lengths of a body are written in feet and inches, its weight in pounds.

    >>> reads_imperial()
    False
    """
    return (chosen.get() or _Usual.units) == "imperial"


def said_length(mm: float) -> str:
    """A difference in fit, without its sign: whole millimetres, or tenths of an inch.

    >>> said_length(-5.6)
    '6 mm'
    >>> token = chosen.set("imperial")
    >>> said_length(-24)
    '0.9 in'
    >>> chosen.reset(token)
    """
    if reads_imperial():
        return tr("{inches} in", inches=number(abs(mm) / MM_PER_INCH, 1))
    return tr("{abs:.0f} mm", abs=abs(mm))


def said_measure(mm: float) -> str:
    """A length of a body: in centimetres, or inches.

    >>> said_measure(815), said_measure(1720)
    ('81.5 cm', '172 cm')
    """
    if reads_imperial():
        return tr("{inches:g} in", inches=round(mm / MM_PER_INCH, 1))
    return tr("{cm:g} cm", cm=round(mm / 10.0, 1))


def said_height(mm: float) -> str:
    """A body's height: in centimetres, or feet and inches to the quarter.

    >>> token = chosen.set("imperial")
    >>> said_height(1727.2), said_height(1829), said_height(1720)
    ('5 ft 8 in', '6 ft 0 in', '5 ft 7.75 in')
    >>> chosen.reset(token)
    """
    if not reads_imperial():
        return said_measure(mm)
    feet, inches = divmod(round(mm / MM_PER_INCH * 4) / 4, INCHES_PER_FOOT)
    return tr("{feet:.0f} ft {inches:g} in", feet=feet, inches=inches)


def said_mass(kg: float) -> str:
    """A body's weight.

    >>> said_mass(74.8)
    '74.8 kg'
    """
    if reads_imperial():
        return tr("{pounds:.0f} lb", pounds=kg / KG_PER_POUND)
    return tr("{kg:g} kg", kg=round(kg, 1))


def said_bike_mass(kg: float, places: int = 1) -> str:
    """What a bike or its parts weigh, to the decimal given.

    >>> said_bike_mass(13.62)
    '13.6 kg'
    >>> token = chosen.set("imperial")
    >>> said_bike_mass(13.62)
    '30.0 lb'
    >>> chosen.reset(token)
    """
    return format_mass(kg, "lb" if reads_imperial() else "kg", places)


_FINE_MASS = 0.095  # [kg] smaller differences would be printed as zero with one decimal


def signed_mass(kg: float) -> str:
    """A difference of mass: one decimal, two for what is less than that shows.

    >>> signed_mass(-0.31), signed_mass(0.04), signed_mass(2.0)
    ('− 0.3 kg', '+ 0.04 kg', '+ 2.0 kg')
    """
    places = 1 if abs(kg) >= _FINE_MASS else 2
    return signed(said_bike_mass(abs(kg), places), positive=kg > 0)
