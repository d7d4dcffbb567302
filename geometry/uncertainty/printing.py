"""Values with their intervals as they are printed."""

from __future__ import annotations

import numpy as np

_SECOND_DIGIT_BELOW = 2.0


def printed(value: float, unit: str, decimals: int, half_width: float | None = None) -> str:
    """A value with its unit and interval, to no more digits than the interval bears.

    Parameters
    ----------
    value : float [mm, deg]
    unit : str
        ``"mm"``, ``"°"`` or empty.
    decimals : int
        Most to print.
    half_width : float, optional [mm, deg]
        Of the interval.

    Returns
    -------
    str

    Notes
    -----
    The half-width is printed to its first digit, to its second when the first
    is 1, and the value to the same place; common practice in stating
    measurements.

    Examples
    --------
    >>> printed(66.418, "°", 2, 0.31), printed(1171.13, "mm", 1, 4.2)
    ('66.4° ± 0.3', '1171 mm ± 4')
    >>> printed(66.418, "°", 2)
    '66.42°'
    """
    space = unit and ("" if unit == "°" else " ")
    if half_width is None:
        return _number(value, decimals) + space + unit
    places = min(decimals, places_of(half_width))
    return f"{_number(value, places)}{space}{unit} ± {_number(half_width, places)}"


def _number(value: float, decimals: int) -> str:
    """A number with fixed decimals, never ``-0``, with a true minus sign."""
    text = f"{value:.{decimals}f}"
    if text[0] != "-":
        return text
    return f"−{text[1:]}" if text.strip("-0.") else text[1:]


def places_of(half_width: float) -> int:
    """Decimals that a half-width bears.

    Parameters
    ----------
    half_width : float [any unit]
        For 0 any number of decimals.

    Returns
    -------
    int
        To its first digit, to its second when the first is 1.

    Examples
    --------
    >>> places_of(0.31), places_of(0.14), places_of(4.2), places_of(0.0)
    (1, 2, 0, 9)
    """
    if half_width == 0:
        return 9
    exponent = int(np.floor(np.log10(half_width)))
    leading = half_width / 10.0**exponent
    return max(0, -exponent + (leading < _SECOND_DIGIT_BELOW))
