"""Whether measurements of one bike agree with each other, and which of them does not."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from geometry.core import FloatArray
from geometry.position.tape import Measured

FALSE_ALARMS = 0.05
"""Share of sets of measurements without a fault in which one is blamed."""

SEEN = 1e-7
"""Redundancy below which the other measurements say nothing about a measurement."""

_SAME = 1e-4  # of the largest residual, in spreads: two such cannot be told apart


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Suspect:
    """A measurement that does not agree with the others.

    Parameters
    ----------
    place : int
        Which, counted from 0.
    kind : str
        Of what kind.
    residual : float [mm]
        Measured minus what the best bike gives.
    size : float
        The residual in standard deviations of what it would be were all right.
    expected : float [mm]
        What the other measurements say it should be.
    """

    place: int
    kind: str
    residual: float
    size: float
    expected: float


def chance_of_more(squares: float, freedom: int) -> float:
    """Chance that chance alone gives a larger sum of squares.

    Parameters
    ----------
    squares : float
        Sum of squared residuals, each over its spread in mm.
    freedom : int
        Measurements more than were needed.

    Returns
    -------
    float [of 1]

    Notes
    -----
    Upper tail of χ². ``Q(1) = erfc(√(x/2))``, ``Q(2) = e^(−x/2)`` and
    ``Q(k+2) = Q(k) + (x/2)^(k/2) e^(−x/2)/Γ(k/2 + 1)``. Source: Abramowitz and
    Stegun, Handbook of Mathematical Functions, 26.4.4 to 26.4.8 [M].

    Examples
    --------
    >>> round(chance_of_more(3.841, 1), 3), round(chance_of_more(11.070, 5), 3)
    (0.05, 0.05)
    """
    half = squares / 2.0
    odd = freedom % 2 == 1
    tail = math.erfc(math.sqrt(half)) if odd else math.exp(-half)
    for degree in range(1 if odd else 2, freedom, 2):
        at = degree / 2.0
        if half > 0:
            tail += math.exp(at * math.log(half) - half - math.lgamma(at + 1.0))
    return tail


def suspects(
    measured: Sequence[Measured], residuals: FloatArray, redundancy: FloatArray
) -> tuple[Suspect, ...]:
    """The measurements that spoil an agreement, when there is none.

    Parameters
    ----------
    measured : sequence of Measured
        m measurements.
    residuals : array (m,) [mm]
        Measured minus what the best bike gives.
    redundancy : array (m,) [of 1]
        Share of each measurement that the others say as well.

    Returns
    -------
    tuple of Suspect
        Empty when all agree; several when they cannot be told apart.

    Notes
    -----
    The set contradicts itself when chance alone would give a larger sum of
    squares in less than `FALSE_ALARMS` of the cases; blamed is the largest
    residual over its standard deviation ``spread·√redundancy``. Source: the
    tests of Baarda (A Testing Procedure for Use in Geodetic Networks, 1968) [M].

    Examples
    --------
    >>> twice = [Measured(kind="wheelbase", value=v) for v in (1180.0, 1200.0)]
    >>> [s.kind for s in suspects(twice, np.array([-10.0, 10.0]), np.array([0.5, 0.5]))]
    ['wheelbase', 'wheelbase']
    """
    spreads = np.array([each.spread for each in measured])
    freedom = round(float(redundancy.sum()))
    squares = float(((residuals / spreads) ** 2).sum())
    if freedom < 1 or chance_of_more(squares, freedom) >= FALSE_ALARMS:
        return ()
    tested = np.flatnonzero(redundancy > SEEN)
    sizes = np.abs(residuals[tested]) / (spreads[tested] * np.sqrt(redundancy[tested]))
    worst = float(sizes.max())
    return tuple(
        Suspect(
            place=i,
            kind=measured[i].kind,
            residual=float(residuals[i]),
            size=float(size),
            expected=float(measured[i].value - residuals[i] / redundancy[i]),
        )
        for i, size in zip(tested.tolist(), sizes, strict=True)
        if size >= worst * (1.0 - _SAME)
    )
