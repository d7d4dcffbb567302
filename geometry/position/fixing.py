"""Points of a bike from measurements with a tape: weighted least squares, with what is left open.

The bike is the one that fits all measurements best, each weighed by its own
spread. What they leave open is said to be unknown, not guessed: a direction of
the unknowns that no measurement sees has no value. Measurements that contradict
each other are found by their residuals, each in units of the spread it would
have if all were right.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.core import (
    FloatArray,
    InvalidInput,
    SomethingGiven,
)
from geometry.position.closing import check_closing
from geometry.position.contradictions import SEEN, Suspect, suspects
from geometry.position.tape import KINDS, UNKNOWNS, Measured, expected, moves, place, slopes

_START = np.array([310.0, -190.0, 700.0, 430.0, 690.0, -430.0, 760.0, 365.0, 365.0])
_SPREAD_OF_BIKES = np.array([25.0, 80.0, 90.0, 90.0, 110.0, 25.0, 70.0, 25.0, 25.0])
"""What ordinary bikes measure, and how they differ, in the order of `UNKNOWNS` [mm]: [CP]."""

_STEPS = 60
_OPEN = 1e-7  # share of a unit vector that no measurement sees
_SETTLED = 1e-9  # mm


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Fixed:
    """What a set of measurements says of a bike.

    Parameters
    ----------
    values : array (9,) [mm]
        In the order of `UNKNOWNS`; NaN where the measurements leave it open.
    covariance : array (9, 9) [mm²]
        NaN in rows and columns of what is open.
    checked : int
        How many measurements could have contradicted the others.
    suspects : tuple of Suspect
        Those that do; several cannot be told apart.
    """

    values: FloatArray
    covariance: FloatArray
    checked: int
    suspects: tuple[Suspect, ...]

    def value(self, name: str) -> float:
        """One of `UNKNOWNS` [mm]; NaN where it is open."""
        return float(self.values[UNKNOWNS.index(name)])

    def spread(self, name: str) -> float:
        """Its standard deviation [mm]; NaN where it is open."""
        at = UNKNOWNS.index(name)
        return float(np.sqrt(self.covariance[at, at]))

    def point(self, name: str) -> tuple[tuple[float, float], FloatArray]:
        """A point's (x, y) from the BB centre [mm] and their covariance (2, 2) [mm²].

        ``"saddle"``, ``"grip"``, ``"rear_axle"`` or ``"front_axle"``; NaN where it is open.
        """
        # What a point does not depend on may be open without making it so.
        rows = np.array([moves(name, along) for along in ((1.0, 0.0), (0.0, 1.0))])
        covariance = np.full((2, 2), np.nan)
        for one in range(2):
            for other in range(2):
                first, second = (np.flatnonzero(rows[at]) for at in (one, other))
                part = self.covariance[np.ix_(first, second)]
                covariance[one, other] = rows[one, first] @ part @ rows[other, second]
        return place(name, self.values), covariance


def fix_points(measured: Sequence[Measured]) -> Fixed:
    """The bike that fits a set of measurements best.

    Parameters
    ----------
    measured : sequence of Measured
        m measurements, any kinds, also of one kind more than once.

    Returns
    -------
    Fixed
        Points and radii [mm] with their covariance, and contradictions.

    Raises
    ------
    InvalidInput
        None given.
    ContradictoryInput
        Lengths that no bike can have, such as three that close no triangle.

    Notes
    -----
    Minimises ``Σ ((measured − expected)/spread)²`` by damped Gauss–Newton steps
    from an ordinary bike; among bikes that fit equally the one nearest to it is
    taken to linearise at, and what differs among them is open. With J the slopes
    over the spreads, covariance is ``(JᵀJ)⁻¹`` on what they see, redundancy of a
    measurement ``1 − diag(J (JᵀJ)⁻¹ Jᵀ)``, and its residual over the root of that
    is standard normal when all is right (Baarda's test of a single reading).
    Source: weighted least squares as in any text on adjustment of measurements.

    Examples
    --------
    >>> tape = {"bb_to_saddle": 727.0, "saddle_above_floor": 1010.0, "bb_above_floor": 310.0}
    >>> found = fix_points([Measured(kind=k, value=v) for k, v in tape.items()])
    >>> [round(at) for at in found.point("saddle")[0]], found.value("grip_x")
    ([-196, 700], nan)
    """
    if not measured:
        raise InvalidInput("measured", 0, SomethingGiven())
    check_closing(measured)
    state = _settled(measured)
    weighed = _slopes(measured, state) / _spreads(measured)[:, None]
    covariance, is_open = _covariance(weighed)
    redundancy = 1.0 - np.einsum("ij,jk,ik->i", weighed, covariance, weighed)
    return Fixed(
        values=np.where(is_open, np.nan, state),
        covariance=np.where(is_open[:, None] | is_open[None, :], np.nan, covariance),
        checked=int((redundancy > SEEN).sum()),
        suspects=suspects(measured, _gaps(measured, state), redundancy),
    )


def most_telling(
    measured: Sequence[Measured],
    wanted: Sequence[str] = ("saddle_x", "saddle_y", "grip_x", "grip_y"),
    among: Sequence[str] = tuple(KINDS),
) -> str | None:
    """The one further measurement that would make the wanted points surest.

    Parameters
    ----------
    measured : sequence of Measured
        What has been measured; may be empty.
    wanted : sequence of str
        Names of `UNKNOWNS`.
    among : sequence of str
        The `KINDS` that may be asked for.

    Returns
    -------
    str or None
        One of them; None when all have been taken.

    Notes
    -----
    With the spread of ordinary bikes [CP] standing in for what is open, the
    measurement after which the wanted points' variances sum to the least.

    Examples
    --------
    >>> most_telling([Measured(kind="bb_to_saddle", value=727.0)])
    'grip_above_floor'
    """
    taken = {each.kind for each in measured}
    state = _settled(measured) if measured else _START
    information = np.diag(_SPREAD_OF_BIKES**-2.0)
    for each in measured:
        row = slopes(each.kind, state) / each.spread
        information = information + np.outer(row, row)
    places = [UNKNOWNS.index(name) for name in wanted]
    left = {}
    for kind in among:
        if kind not in taken:
            row = slopes(kind, state) / KINDS[kind].spread
            covariance = np.linalg.inv(information + np.outer(row, row))
            left[kind] = float(covariance[places, places].sum())
    return min(left, key=lambda kind: left[kind]) if left else None


def _spreads(measured: Sequence[Measured]) -> FloatArray:
    return np.array([each.spread for each in measured])


def _slopes(measured: Sequence[Measured], state: FloatArray) -> FloatArray:
    return np.array([slopes(each.kind, state) for each in measured])


def _gaps(measured: Sequence[Measured], state: FloatArray) -> FloatArray:
    """Measured minus what a bike gives [mm]."""
    return np.array([each.value - expected(each.kind, state) for each in measured])


def _settled(measured: Sequence[Measured]) -> FloatArray:
    """Damped Gauss–Newton from an ordinary bike, by steps of least size among equals."""
    spreads = _spreads(measured)
    state, damping = _START.copy(), 1e-6
    gap = _gaps(measured, state) / spreads
    for _ in range(_STEPS):
        weighed = _slopes(measured, state) / spreads[:, None] * _SPREAD_OF_BIKES
        u, s, vt = np.linalg.svd(weighed, full_matrices=False)
        taken = np.where(s > s[0] * 1e-10, s / (s * s + damping * s[0] ** 2), 0.0)
        step = _SPREAD_OF_BIKES * (vt.T @ (taken * (u.T @ gap)))
        tried = _gaps(measured, state + step) / spreads
        if tried @ tried > gap @ gap:
            damping *= 10.0
            continue
        state, gap, damping = state + step, tried, max(damping / 10.0, 1e-15)
        if np.abs(step).max() < _SETTLED:
            break
    return state


def _covariance(weighed: FloatArray) -> tuple[FloatArray, NDArray[np.bool_]]:
    """Covariance on what is seen, and which unknowns lie in what is not."""
    scaled = weighed * _SPREAD_OF_BIKES
    _, s, vt = np.linalg.svd(scaled, full_matrices=True)
    rank = int((s > s[0] * 1e-9).sum())
    seen, unseen = vt[:rank], vt[rank:]
    inner = (seen.T / s[:rank] ** 2) @ seen
    covariance = inner * np.outer(_SPREAD_OF_BIKES, _SPREAD_OF_BIKES)
    is_open = np.asarray((unseen**2).sum(axis=0) > _OPEN, dtype=np.bool_)
    return np.asarray(covariance, dtype=np.float64), is_open
