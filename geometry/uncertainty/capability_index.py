"""Whether what is made keeps its tolerance: capability of a dimension over several bikes.

From n bikes' offsets from the drawing, their mean m and standard deviation s, and
a tolerance of ± t,

    Cp = t / 3s,    Cpk = (t − |m|) / 3s.

Cp says what the spread allows if the mean were set right, Cpk what is made now: 1
means that three standard deviations reach just to the limit. Where the stated ± is
met by 95 of 100, Cpk is about 0.65. Few bikes say little: the limits tell how
little, and under `FEWEST` bikes nothing is said.

Sources: NIST/SEMATECH e-Handbook of Statistical Methods, section 6.1.6 (Cp, Cpk, which
also says that about 50 values are wanted) [R]; limits of Cp by chi-square [E]; of Cpk
by Bissell's approximation, Applied Statistics 39 (1990) 331 [M], its coverage checked by
simulation.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.core import FloatArray

FEWEST = 10
"""With fewer bikes no capability is stated."""

_ALIKE = 1e-9
"""Offsets [mm, deg] no farther apart differ by the rounding of the arithmetic alone."""

_SIDE = 1.959963984540054
"""97.5 % point of the standard normal distribution."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Capability:
    """How well a dimension is kept, over several bikes.

    Parameters
    ----------
    count : int
    mean : float [mm, deg]
        Of what was read less what was drawn.
    spread : float or None [mm, deg]
        Standard deviation of one bike; None for a single one, 0 where all are alike.
    cp, cpk : float or None [ratio]
        None where there are too few bikes, or no tolerance or spread.
    cp_limits, cpk_limits : (float, float) or None [ratio]
        Between which the true value lies in 95 of 100 cases.
    """

    count: int
    mean: float
    spread: float | None
    cp: float | None
    cpk: float | None
    cp_limits: tuple[float, float] | None
    cpk_limits: tuple[float, float] | None


def capability(offsets: FloatArray, tolerance: float | None) -> Capability:
    """Mean, spread and capability of some bikes' offsets from their drawing.

    Parameters
    ----------
    offsets : array (n,) [mm, deg]
        Of each bike what was read less what was drawn.
    tolerance : float or None [mm, deg]
        ± of the drawing; None where none is stated.

    Returns
    -------
    Capability

    Notes
    -----
    ``Cp limits = Cp sqrt(χ²(0.025 or 0.975, n − 1) / (n − 1))``;
    ``Cpk ± 1.96 sqrt(1 / 9n + Cpk² / 2(n − 1))``. Sources: see the module.

    Examples
    --------
    >>> made = capability(np.array([0.5, -0.5] * 10), 2.0)
    >>> round(made.cp, 2), round(made.cpk, 2), made.count
    (1.3, 1.3, 20)
    >>> capability(np.array([0.5, -0.5]), 2.0).cp is None
    True
    """
    count, mean = len(offsets), float(np.mean(offsets))
    spread = float(np.std(offsets, ddof=1)) if count > 1 else None
    if spread and np.ptp(offsets) <= _ALIKE:
        spread = 0.0
    if count < FEWEST or not spread or not tolerance:
        return Capability(
            count=count,
            mean=mean,
            spread=spread,
            cp=None,
            cpk=None,
            cp_limits=None,
            cpk_limits=None,
        )
    cp, cpk = tolerance / (3.0 * spread), (tolerance - abs(mean)) / (3.0 * spread)
    free = count - 1
    low, high = (float(np.sqrt(_chi_square(z, free) / free)) for z in (-_SIDE, _SIDE))
    wide = _SIDE * float(np.sqrt(1.0 / (9.0 * count) + cpk**2 / (2.0 * free)))
    return Capability(
        count=count,
        mean=mean,
        spread=spread,
        cp=cp,
        cpk=cpk,
        cp_limits=(cp * low, cp * high),
        cpk_limits=(cpk - wide, cpk + wide),
    )


def _chi_square(z: float, degrees: int) -> float:
    """Chi-square's quantile by Wilson and Hilferty's cube, within 1 % from 9 degrees on."""
    part = 2.0 / (9.0 * degrees)
    return float(degrees * (1.0 - part + z * np.sqrt(part)) ** 3)
