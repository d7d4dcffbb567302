"""One column of a table along the sizes: what each value would be by the run of the others.

Builders step their sizes evenly, or nearly so. A column is read as the plainest
curve that its other values lie on: constant, a line, a parabola. What they are
off that curve by is their own unevenness, and widens what a value may be.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from geometry.core import FloatArray

DRAWN_UNEVEN, FURTHER_UNEVEN = 0.02, 0.08
"""Unevenness a column is granted before it shows any, as a share of its step: one that is
drawn or computed, and one that is weighed or chosen [CP]."""
_FEW = {2: 7.0, 3: 2.5, 4: 1.5, 5: 1.0}
_MANY = 0.7
"""So many times that, where few other sizes tell hardly anything of it, and where many do [CP]."""
_END_SHARE, _END_STEPS = 0.006, 6.0
"""What a builder may mean by a smallest or largest size that alone departs from a constant
column (longer stays for the largest), as one standard deviation: a share of the value and a
count of halves of its printed step [CP]. Between equals a single other value is hardly meant."""
_PRIOR = 2.0
"""How many values that share counts for."""
_FITS = 2.0
"""Residuals of up to so many roundings are rounding."""
_LINE, _PARABOLA = 1, 2
_FEWEST_FOR_A_PARABOLA = 5
_PAIR = 2
_FEWEST_STEPS = 3
_LIKE, _MOST_COLUMNS, _COPIED = 0.45, 0.6, 0.8
"""How far a step may be from like another, as a share; in how many columns a doubled step
tells of a missing size, and how many equal ones of a copy [CP]."""


def expectations(
    values: FloatArray, *, at: Sequence[float], half: float, uneven: float = DRAWN_UNEVEN
) -> tuple[FloatArray, FloatArray]:
    """What each value of a column would be by the others, with its standard deviation.

    Parameters
    ----------
    values : array (n,) [mm, deg, kg]
        From the smallest size to the largest; NaN where a size has none.
    at : sequence of float
        Places of the sizes along the run; 0, 1, 2 … where none is missing.
    half : float [mm, deg, kg]
        Half the printed step of the column.
    uneven : float
        Unevenness granted, as a share of the column's step.

    Returns
    -------
    expected, spread : array (n,) [mm, deg, kg]
        NaN where the others are too few to tell: two of them that differ say
        something only of a size between them. The value's own rounding is not in
        the spread.

    Examples
    --------
    >>> reach = np.array([425.0, 450.0, 485.0, 500.0, 525.0])
    >>> expected, spread = expectations(reach, at=range(5), half=0.5)
    >>> print(np.round(expected[2]), round(float(spread[2]), 1))
    475.0 0.6
    """
    expected, spread = np.full(len(values), np.nan), np.full(len(values), np.nan)
    for place in range(len(values)):
        rest = [i for i in range(len(values)) if i != place and np.isfinite(values[i])]
        if len(rest) > 1:
            where = tuple(float(at[i]) for i in rest)
            expected[place], spread[place] = _one(
                float(at[place]), where, values[rest], half, uneven
            )
    return expected, spread


def _one(
    at: float, where: tuple[float, ...], rest: FloatArray, half: float, granted: float
) -> tuple[float, float]:
    """What the others say of one place."""
    rounding = half / np.sqrt(3.0)
    count = len(rest)
    if np.ptp(rest) == 0.0:
        between = where[0] < at < where[-1]
        meant = 0.0 if between else _END_SHARE * abs(float(rest[0])) + _END_STEPS * half
        return float(rest[0]), float(np.hypot(rounding, meant))
    if count == _PAIR and not where[0] < at < where[1]:
        return np.nan, np.nan
    weights, off = _curve(at, where, _LINE)
    residuals = off @ rest
    uneven = np.max(np.abs(residuals)) > _FITS * half
    degree = _LINE
    if uneven and count >= _FEWEST_FOR_A_PARABOLA:
        degree = _PARABOLA
        weights, off = _curve(at, where, degree)
        residuals = off @ rest
    free = count - degree - 1
    step = abs(float(rest[-1] - rest[0])) / (where[-1] - where[0])
    usual = _FEW.get(count, _MANY) * granted * step
    own = max(float(residuals @ residuals) - free * rounding**2, 0.0)
    scatter = (_PRIOR * usual**2 + own) / (_PRIOR + free)
    shares = float(weights @ weights)
    return float(weights @ rest), float(np.sqrt(scatter * (1 + shares) + rounding**2 * shares))


@lru_cache(maxsize=4096)
def _curve(at: float, where: tuple[float, ...], degree: int) -> tuple[FloatArray, FloatArray]:
    """Weights that foretell one place from others, and the matrix of their residuals."""
    powers = np.vander(np.asarray(where) - at, degree + 1)
    fitted = np.linalg.pinv(powers)
    return fitted[-1], np.eye(len(where)) - powers @ fitted


def doubled_step(columns: FloatArray) -> int | None:
    """Between which two sizes one is missing, if most columns step twice as far there.

    Parameters
    ----------
    columns : array (n, k)
        One column a dimension, NaN where a size has none.

    Returns
    -------
    int or None
        The place before the gap.

    Examples
    --------
    >>> doubled_step(np.array([[25, 600, 95], [50, 610, 105], [100, 630, 125], [125, 640, 135.0]]))
    1
    """
    steps = np.diff(columns, axis=0)
    stepping = np.all(np.isfinite(steps), axis=0) & np.all(steps != 0, axis=0)
    steps = np.abs(steps[:, stepping])
    if min(steps.shape) < _FEWEST_STEPS:
        return None
    for place in range(len(steps)):
        others = np.delete(steps, place, axis=0)
        usual = np.median(others, axis=0)
        even = np.all(np.abs(others / usual - 1) < _LIKE, axis=0)
        doubled = np.abs(steps[place] / usual - 2.0) < _LIKE
        if np.mean(even & doubled) > _MOST_COLUMNS:
            return place
    return None


def copied_from(columns: FloatArray) -> list[tuple[int, int]]:
    """Sizes that are like another one in nearly every column that differs anywhere.

    Parameters
    ----------
    columns : array (n, k)
        One column a dimension, NaN where a size has none.

    Returns
    -------
    list of (int, int)
        Place of the copy, and of what it was copied from: the one before.

    Examples
    --------
    >>> copied_from(np.array([[425, 600, 95], [450, 610, 105], [450, 610, 105], [500, 630, 125.0]]))
    [(2, 1)]
    """
    stepping = np.nanmax(columns, axis=0) > np.nanmin(columns, axis=0)
    columns = columns[:, stepping]
    if columns.shape[1] == 0:
        return [(place, place - 1) for place in range(1, len(columns))]
    found = []
    for place in range(1, len(columns)):
        for other in range(place):
            both = np.isfinite(columns[place]) & np.isfinite(columns[other])
            if both.any() and np.mean(columns[place][both] == columns[other][both]) >= _COPIED:
                found.append((place, other))
                break
    return found
