"""Forecasts beside what happened: counts of both, and how far they may differ by chance."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.core import (
    AsManyNumbers,
    ContradictoryInput,
    FloatArray,
)

_Z = 1.2815515655446004
"""A normal number that is exceeded in 10 of 100 cases."""


@dataclass(frozen=True)
class ForecastBin:
    """Forecasts of nearly the same probability, and how often they came true.

    Parameters
    ----------
    low, high : float
        Chances from, and up to but without [1].
    count : int
        Forecasts.
    foretold : float
        Their mean chance [1].
    happened : int
        How many came true.
    likely_low, likely_high : float
        Share that would come true in 80 of 100 cases, by what happened (Wilson 1927) [1].
    """

    low: float
    high: float
    count: int
    foretold: float
    happened: int
    likely_low: float
    likely_high: float

    @property
    def agrees(self) -> bool:
        """Whether what was foretold lies within what is likely."""
        return self.likely_low <= self.foretold <= self.likely_high


def reliability(
    chances: FloatArray, happened: NDArray[np.bool_], *, edges: FloatArray
) -> tuple[ForecastBin, ...]:
    """Hold forecasts against what happened, by bands of their chance.

    Parameters
    ----------
    chances : array, shape (n,)
        ForecastBin [1].
    happened : array of bool, shape (n,)
        Whether it came true.
    edges : array, shape (b,)
        Of the bands, rising; the last one holds a chance of 1 too [1].

    Returns
    -------
    tuple of ForecastBin
        Bands with no forecast left out.

    Raises
    ------
    ContradictoryInput
        As many forecasts as outcomes are needed.

    Examples
    --------
    >>> found = reliability(
    ...     np.array([0.6, 0.7, 0.9]), np.array([True, False, True]),
    ...     edges=np.array([0.5, 0.8, 1.0]))
    >>> [(band.count, band.happened) for band in found]
    [(2, 1), (1, 1)]
    """
    if np.shape(chances) != np.shape(happened):
        remedy = AsManyNumbers(count=len(chances))
        raise ContradictoryInput("happened", np.shape(happened), remedy)
    band = np.minimum(np.searchsorted(edges, chances, side="right") - 1, len(edges) - 2)
    found = []
    for i in range(len(edges) - 1):
        inside = band == i
        count = int(inside.sum())
        if count:
            true = int(happened[inside].sum())
            low, high = wilson(true, count)
            mean = float(chances[inside].mean())
            found.append(
                ForecastBin(float(edges[i]), float(edges[i + 1]), count, mean, true, low, high)
            )
    return tuple(found)


def wilson(happened: int, count: int) -> tuple[float, float]:
    """Interval for a share, right in 80 of 100 cases.

    Parameters
    ----------
    happened, count : int
        How many of how many.

    Returns
    -------
    tuple of float
        [1].

    References
    ----------
    E. B. Wilson, *Probable inference, the law of succession, and statistical inference*,
    J. Am. Stat. Assoc. 22 (1927) 209-212.

    Examples
    --------
    >>> [round(edge, 3) for edge in wilson(5, 10)]
    [0.312, 0.688]
    """
    share, square = happened / count, _Z**2
    middle = (share + square / (2 * count)) / (1 + square / count)
    half = (
        _Z / (1 + square / count) * math.sqrt(share * (1 - share) / count + square / (4 * count**2))
    )
    return max(middle - half, 0.0), min(middle + half, 1.0)
