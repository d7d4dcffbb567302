"""Single wrong values of a table, found by everything that speaks about them at once.

A value that was slipped moves every comparison it enters, each by its own slope,
and leaves the run of its column along the sizes. How well one slip explains what
is seen is the likelihood of a linear model: r = d δ + noise, the noise being the
rounding of all inputs together and the unevenness of the columns. Then
δ = dᵀWr / dᵀWd and z = dᵀWr / √(dᵀWd), W the inverse of the noise's covariance.
The value with the largest z is mended first, and the rest looked at again.
Source: generalised least squares; outlier test as of Baarda, *A testing procedure
for use in geodetic networks* (1968) [M].
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from geometry.core import FloatArray
from geometry.verify.table_columns import expectations

FAR = 3.8
"""Standard deviations beyond which a value counts as wrong: by chance twice in a hundred tables
of 6 × 20.
"""
_MOST = 12
_STEPS = 0.75
"""A value less than one printed step off is not wrong."""
_MEDIAN = 1.57
"""Variance of a median of normal values beside that of their mean."""
_TINY = 1e-12
_FEWEST = 3
"""Fewest sizes that can have an offset in common: of two it is unknown which is off."""


@dataclass(frozen=True, slots=True)
class Numbers:
    """A table as arrays: n sizes, k columns, r comparisons.

    Parameters
    ----------
    keys : tuple of str
        The columns.
    names : tuple of str
        The comparisons.
    values : array (n, k)
        NaN where a size has none.
    halves : array (k,)
        Half the printed step of each column.
    gaps : array (n, r)
        How far each comparison is from agreeing, NaN where it is none of the size's.
    slopes : array (n, r, k)
        What each value does to each comparison.
    at : tuple of float
        Places of the sizes along the run.
    uneven : tuple of float
        Unevenness granted to each column, as a share of its step.
    """

    keys: tuple[str, ...]
    names: tuple[str, ...]
    values: FloatArray
    halves: FloatArray
    gaps: FloatArray
    slopes: FloatArray
    at: tuple[float, ...]
    uneven: tuple[float, ...]

    @property
    def shared(self) -> NDArray[np.bool_]:
        """Which cells hold what all sizes hold, or all but one (n, k)."""
        n = len(self.values)
        if n < _FEWEST:
            return np.zeros(self.values.shape, dtype=bool)
        alike = self.values[:, None, :] == self.values[None, :, :]
        return np.asarray(alike.sum(axis=1) >= n - 1)

    @property
    def own_limits(self) -> FloatArray:
        """What the rounding of a size's own values can do to each comparison (n, r)."""
        parts = np.abs(self.slopes) * (self.halves * ~self.shared)[:, None, :]
        return np.asarray(parts.sum(axis=2))

    @property
    def shared_limits(self) -> FloatArray:
        """What the rounding of values that the sizes share can do to each comparison (r,)."""
        parts = np.abs(self.slopes) * (self.halves * self.shared)[:, None, :]
        return np.asarray(parts.sum(axis=2).max(axis=0))

    @property
    def own_variances(self) -> FloatArray:
        """Variance of each comparison by the rounding of a size's own values (n, r)."""
        parts = np.square(self.slopes) * (np.square(self.halves) / 3.0 * ~self.shared)[:, None, :]
        return np.asarray(parts.sum(axis=2))


@dataclass(frozen=True, slots=True)
class Slip:
    """One value that is wrong beyond chance.

    Parameters
    ----------
    place, column : int
        Of the cell.
    by : float
        As stated less as it would be.
    far : float
        How many standard deviations.
    """

    place: int
    column: int
    by: float
    far: float


@dataclass(frozen=True, slots=True)
class Runs:
    """What each value would be by the run of its column (n, k), and one standard deviation."""

    expected: FloatArray
    spreads: FloatArray


def runs_of(numbers: Numbers) -> Runs:
    """The runs of all columns.

    Parameters
    ----------
    numbers : Numbers

    Returns
    -------
    Runs
    """
    found = [
        expectations(column, at=numbers.at, half=float(half), uneven=uneven)
        for column, half, uneven in zip(
            numbers.values.T, numbers.halves, numbers.uneven, strict=True
        )
    ]
    return Runs(np.array([one for one, _ in found]).T, np.array([two for _, two in found]).T)


def shared_range(gaps: FloatArray, limits: FloatArray, *, bound: float) -> tuple[float, float]:
    """What some sizes can have in common: the offsets that most of them allow.

    Parameters
    ----------
    gaps, limits : array (n,) [mm or degrees]
        Of one comparison in each size, and what the size's own rounding can do.
    bound : float [mm or degrees]
        Most that the rounding of shared values can do.

    Returns
    -------
    low, high : float
        Within ± ``bound``.

    Examples
    --------
    Two sizes lie at 1 and 1.4, one elsewhere; each may be off by 0.5.

    >>> low, high = shared_range(np.array([1.0, 1.4, 4.0]), np.full(3, 0.5), bound=3.0)
    >>> round(low, 1), round(high, 1)
    (0.9, 1.5)
    """
    known = np.isfinite(gaps)
    lows = np.clip(gaps[known] - limits[known], -bound, bound)
    highs = np.clip(gaps[known] + limits[known], -bound, bound)
    if not lows.size:
        return -bound, bound
    slack = 1e-9
    allowed = [(int(np.sum((lows <= low + slack) & (highs >= low - slack))), low) for low in lows]
    low = max(allowed)[1]
    return float(low), float(np.min(highs[(highs >= low - slack) & (lows <= low + slack)]))


def statistics(numbers: Numbers, place: int, runs: Runs) -> tuple[FloatArray, FloatArray]:
    """How far each value of a size is from what everything else says, and by how much it is off.

    Parameters
    ----------
    numbers : Numbers
    place : int
        Of the size.
    runs : Runs

    Returns
    -------
    far, by : array (k,)
        Standard deviations (signed), and the slip in the column's unit; 0 where
        nothing speaks about a value.
    """
    told, extra = _comparisons(numbers, place)
    compared, own = np.isfinite(told), numbers.values[place]
    ran = np.isfinite(runs.expected[place]) & np.isfinite(own)
    shared, variances = numbers.shared[place], np.square(numbers.halves) / 3.0
    rows = np.vstack([numbers.slopes[place][compared], np.eye(len(numbers.keys))[ran]])
    seen = np.concatenate([told[compared], (own - runs.expected[place])[ran]])
    doubt = (np.square(runs.spreads[place]) + variances * shared)[ran]
    noise = (rows * (variances * ~shared)) @ rows.T
    noise += np.diag(np.concatenate([extra[compared], doubt]) + _TINY)
    weighed = np.linalg.solve(noise, np.column_stack([seen, rows]))
    pull, weight = rows.T @ weighed[:, 0], np.einsum("ij,ij->j", rows, weighed[:, 1:])
    speaks = (weight > _TINY) & np.isfinite(own)
    safe = np.where(speaks, weight, 1.0)
    return np.where(speaks, pull / np.sqrt(safe), 0.0), np.where(speaks, pull / safe, 0.0)


def _comparisons(numbers: Numbers, place: int) -> tuple[FloatArray, FloatArray]:
    """Comparisons of a size less what the others have in common, and the doubt of that."""
    gaps, bound = numbers.gaps[place], numbers.shared_limits
    if len(numbers.gaps) < _FEWEST:
        return gaps, np.zeros(len(gaps))
    others = np.delete(numbers.gaps, place, axis=0)
    doubts = np.delete(numbers.own_variances, place, axis=0)
    told, extra = gaps.copy(), np.zeros(len(gaps))
    for r in np.flatnonzero(bound > _TINY):
        known = np.isfinite(others[:, r])
        if known.any():
            told[r] -= np.median(others[known, r])
            extra[r] = _MEDIAN * np.mean(doubts[known, r]) / known.sum()
        else:
            extra[r] = bound[r] ** 2 / 3.0
    return told, extra


def slips(numbers: Numbers, *, leave: Sequence[int] = ()) -> list[Slip]:
    """Values that are wrong beyond chance, the farthest first; each is corrected before the
    next is sought.

    Parameters
    ----------
    numbers : Numbers
    leave : sequence of int
        Places of sizes that are not looked at.

    Returns
    -------
    list of Slip
    """
    found: list[Slip] = []
    once: set[tuple[int, int]] = set()
    looked = np.ones(len(numbers.values), dtype=bool)
    looked[list(leave)] = False
    while len(found) < _MOST:
        runs = runs_of(numbers)
        all_of = [statistics(numbers, place, runs) for place in range(len(numbers.values))]
        far, by = np.array([one for one, _ in all_of]), np.array([two for _, two in all_of])
        told = looked[:, None] & (np.abs(by) > _STEPS * 2 * numbers.halves)
        size = np.where(told, np.abs(far), 0.0)
        for cell in once:
            size[cell] = 0.0
        place, column = np.unravel_index(int(np.argmax(size)), size.shape)
        if size[place, column] < FAR:
            break
        one = Slip(int(place), int(column), float(by[place, column]), float(size[place, column]))
        found.append(one)
        once.add((one.place, one.column))
        numbers = _mended(numbers, one)
    return found


def _mended(numbers: Numbers, slip: Slip) -> Numbers:
    """The table with one value put right, to first order."""
    values, gaps = numbers.values.copy(), numbers.gaps.copy()
    step = 2.0 * numbers.halves[slip.column]
    then = np.round((values[slip.place, slip.column] - slip.by) / step) * step
    change = then - values[slip.place, slip.column]
    values[slip.place, slip.column] = then
    gaps[slip.place] += numbers.slopes[slip.place, :, slip.column] * change
    return replace(numbers, values=values, gaps=gaps)
