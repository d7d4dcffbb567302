"""Checked numbers at the door of a function: finite, and in the range that makes sense.

Inputs that are objects check themselves when they are made; this is the same
check, with the same words, for plain numbers handed to a function.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from geometry.angles import Num
from geometry.errors import InvalidInput
from geometry.parts import _check_limits as check_limits
from geometry.parts import _Checked as Checked
from geometry.parts import _normalised as normalised
from geometry.parts import _number as number
from geometry.parts import refuse

__all__ = ["Checked", "checked", "number", "refuse", "whole"]


def checked(
    name: str,
    value: Any,
    unit: str,
    *,
    above: float | None = None,
    least: float | None = None,
    most: float | None = None,
) -> Num:
    """A value as float or float64 array, refused when it is no usable number.

    Parameters
    ----------
    name : str
        Field to name in the error.
    value : float or array_like [unit]
        Any shape.
    unit : str
        For the error's words.
    above, least, most : float, optional [unit]
        Bounds: strictly more than, at least, at most.

    Returns
    -------
    float or array [unit]
        Of the shape given.

    Raises
    ------
    InvalidInput
        Not a number, not finite, or out of bounds; ``index`` names the row.

    Examples
    --------
    >>> checked("crank_length", 170, "mm", above=0)
    170.0
    >>> checked("crank_length", -170, "mm", above=0)
    Traceback (most recent call last):
    geometry.errors.InvalidInput: crank_length is -170.0: must be more than 0 mm
    """
    number_or_array = normalised(name, value)
    check_limits(
        name, number_or_array, {"unit": unit, "above": above, "least": least, "most": most}
    )
    return number_or_array


def whole(name: str, value: Any, unit: str, *, least: float) -> Num:
    """A whole number, as float or float64 array, of at least ``least``.

    Parameters
    ----------
    name : str
        Field to name in the error.
    value : int or array_like [unit]
        Any shape.
    unit : str
        What is counted.
    least : float [unit]
        Smallest allowed count.

    Returns
    -------
    float or array [unit]

    Raises
    ------
    InvalidInput
        Not a number, not finite, too small or not whole.

    Examples
    --------
    >>> whole("ring", 32, "teeth", least=8)
    32.0
    """
    count = checked(name, value, unit, least=least)
    refuse(count != np.round(count), InvalidInput, name, count, f"must be a whole number of {unit}")
    return count
