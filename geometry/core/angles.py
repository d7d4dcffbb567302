"""Angles and plane vectors: the one place where degrees become radians.

Side view from the drive side, origin at the bottom bracket (BB) centre::

        y up
        |        u  up the axis = (-cos A, sin A)
        |       \\
        |        \\    n  forward normal = (sin A, cos A)
        |         \\ A
        +----------------- x forward

Angles of the head tube and the seat tube are measured from the level, as the
trade does, and both tubes lean back: a steeper tube has a larger angle. A
positive rotation lifts the front.

All functions take floats or arrays of any shape, real or complex: complex
values carry derivatives (complex step), so no function here uses `arctan2`,
`hypot`, `abs` or comparisons.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
Num = float | FloatArray
"""A number or an array of numbers; functions broadcast as NumPy does."""
Mask = bool | np.bool_ | NDArray[np.bool_]
"""The result of comparing numbers: one truth value, or one for every element."""

_RADIANS = np.pi / 180.0


def radians(degrees: Num) -> Num:
    """Degrees to radians.

    >>> round(radians(180.0), 6)
    3.141593
    """
    return degrees * _RADIANS


def degrees(radians: Num) -> Num:
    """Radians to degrees.

    >>> round(degrees(np.pi / 2), 6)
    90.0
    """
    return radians / _RADIANS


def sin(angle: Num) -> Num:
    """Sine of an angle in degrees.

    >>> round(float(sin(30.0)), 6)
    0.5
    """
    return np.sin(angle * _RADIANS)


def cos(angle: Num) -> Num:
    """Cosine of an angle in degrees.

    >>> round(float(cos(60.0)), 6)
    0.5
    """
    return np.cos(angle * _RADIANS)


def length(x: Num, y: Num) -> Num:
    """Length of the plane vector (x, y).

    >>> float(length(3.0, 4.0))
    5.0
    """
    return np.sqrt(x * x + y * y)


def rotate(x: Num, y: Num, *, cosine: Num, sine: Num) -> tuple[Num, Num]:
    """Turn the plane vector (x, y) about the origin; positive lifts the front.

    Takes the turn's cosine and sine, because most callers know them without
    ever forming the angle.

    >>> rotate(1.0, 0.0, cosine=0.0, sine=1.0)
    (0.0, 1.0)
    """
    return cosine * x - sine * y, sine * x + cosine * y
