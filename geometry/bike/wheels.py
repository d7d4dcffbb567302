"""Wheels and tyres: radii from sizes.

ISO 5775 marks a tyre by nominal width and bead-seat diameter, ``64-622``.
"""

from __future__ import annotations

import re

from geometry.bike.remedies import TyreMarking
from geometry.core import (
    InvalidInput,
    MoreThan,
    Num,
)

NARROW = 28.0
"""Below this nominal width [mm] a section stands 2.5 mm higher than wide."""

_MARK = re.compile(r"\s*(\d{2,3}(?:\.\d)?)\s*-\s*(\d{3})\s*", re.ASCII)


def section_height(nominal_width: float) -> float:
    """Section height of a tyre from its nominal width.

    Parameters
    ----------
    nominal_width : float [mm]

    Returns
    -------
    float [mm]
        The width itself; below 28 mm, the width + 2.5 mm.

    Notes
    -----
    Source: ISO 5775 practice, from an excerpt; a measured tyre wins.

    Examples
    --------
    >>> section_height(60.0), section_height(25.0)
    (60.0, 27.5)
    """
    return nominal_width + 2.5 if nominal_width < NARROW else nominal_width


def radius(*, nominal_width: float, bead_seat_diameter: float) -> float:
    """Outside radius of a wheel from its tyre's marking.

    Parameters
    ----------
    nominal_width, bead_seat_diameter : float [mm]

    Returns
    -------
    float [mm]
        ``bead_seat_diameter / 2 + section height``.

    Raises
    ------
    InvalidInput
        A width or diameter that is not positive.

    Notes
    -----
    Source: ISO 5775-1, from an excerpt: 60-622 is 742 mm over the tyre.

    Examples
    --------
    >>> radius(nominal_width=60.0, bead_seat_diameter=622.0)
    371.0
    """
    given = {"nominal_width": nominal_width, "bead_seat_diameter": bead_seat_diameter}
    for field, value in given.items():
        if not 0 < value < float("inf"):
            raise InvalidInput(field, value, MoreThan(bound=0.0, unit="mm"))
    return bead_seat_diameter / 2 + section_height(nominal_width)


def read_marking(marking: str) -> tuple[float, float]:
    """Nominal width and bead-seat diameter [mm] of a marking such as ``64-622``.

    Parameters
    ----------
    marking : str

    Returns
    -------
    nominal_width, bead_seat_diameter : float [mm]

    Raises
    ------
    InvalidInput
        Text that is no such marking.

    Examples
    --------
    >>> read_marking("64-622")
    (64.0, 622.0)
    """
    found = _MARK.fullmatch(marking)
    if found is None:
        raise InvalidInput("marking", marking, TyreMarking())
    return float(found[1]), float(found[2])


def measured_width(width: Num, *, measured_on: Num, rim_inner_width: Num) -> Num:
    """Width of a tyre on another rim than the one it was measured on.

    Parameters
    ----------
    width : float or array [mm]
        As measured.
    measured_on, rim_inner_width : float or array [mm]
        Inner width of the rim it was measured on and of the rim it goes on.

    Returns
    -------
    float or array [mm]
        ``width + 0.4 (rim_inner_width − measured_on)``.

    Notes
    -----
    Source: a general rule of the tyre trade, from an excerpt.

    Examples
    --------
    >>> measured_width(60.0, measured_on=30.0, rim_inner_width=35.0)
    62.0
    """
    return width + 0.4 * (rim_inner_width - measured_on)
