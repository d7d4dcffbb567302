"""How far grips and saddle of a build are from where they are wanted.

Seen from the headset's top along and square to the steering axis, every front
is a fixed point and the target moves from stance to stance; seen along the seat
tube's axis, every seat is a line on which the saddle is set.
"""

from __future__ import annotations

import numpy as np

from geometry.core import FloatArray, cos, sin
from geometry.search.parts import Fronts, Rows, Seats, Stances

Point = tuple[float, float]


def seen_from_headset(stances: Stances, grip: Point) -> tuple[FloatArray, FloatArray]:
    """Where the wanted grips lie from each headset's top.

    Parameters
    ----------
    stances : Stances
        N of them.
    grip : (x, y) [mm]
        From the BB centre.

    Returns
    -------
    up, forward : array (N,) [mm]

    Notes
    -----
    The inverse of `geometry.bike.hands`. Source: plane geometry.

    Examples
    --------
    >>> one = {name: np.array([value]) for name, value in {
    ...     "reach": 450.0, "stack": 630.0, "head_angle": 90.0, "lift": 10.0,
    ...     "seat_tube_angle": 75.0, "seat_tube_offset": 0.0}.items()}
    >>> up, forward = seen_from_headset(Stances(**one, figures={}), (500.0, 700.0))
    >>> round(float(up[0])), round(float(forward[0]))
    (60, 50)
    """
    sine, cosine = np.asarray(sin(stances.head_angle)), np.asarray(cos(stances.head_angle))
    x, y = grip[0] - stances.reach, grip[1] - stances.stack
    return y * sine - x * cosine - stances.lift, x * sine + y * cosine


def least_grip_gaps(fronts: Fronts, up: FloatArray, forward: FloatArray) -> FloatArray:
    """A bound from below on how near any front comes, by the range of each coordinate.

    Parameters
    ----------
    fronts : Fronts
    up, forward : array (N,) [mm]
        The wanted grips from each headset's top.

    Returns
    -------
    array (N,) [mm²]
        No front's squared distance is less.

    Examples
    --------
    >>> box = Fronts(up=np.array([0.0, 40.0]), forward=np.array([30.0, 50.0]))
    >>> least_grip_gaps(box, np.array([44.0, 20.0]), np.array([53.0, 40.0]))
    array([25.,  0.])
    """
    gaps = []
    for wanted, there in ((up, fronts.up), (forward, fronts.forward)):
        gaps.append(np.maximum(np.maximum(there.min() - wanted, wanted - there.max()), 0.0))
    return np.asarray(gaps[0] ** 2 + gaps[1] ** 2)


def saddle_gaps(
    stances: Stances, seats: Seats, rows: Rows, saddle: Point
) -> tuple[FloatArray, FloatArray]:
    """How near the saddle comes on some stances with every seat, and at what height.

    Parameters
    ----------
    stances : Stances
    seats : Seats
    rows : array (n,) of int
        Which stances.
    saddle : (x, y) [mm]
        Wanted, from the BB centre.

    Returns
    -------
    gaps : array (n, K) [mm²]
        Squared distance; infinite where the post has no whole millimetre.
    heights : array (n, K) [mm]
        The saddle height that comes nearest, a whole millimetre.

    Notes
    -----
    The saddle lies at ``offset (sin a, cos a) + up (−cos a, sin a)`` and ahead of that by
    ``stack cot a − setback/sin a + rail``, with ``up = √(height² − offset²)``: the point of
    `geometry.bike.seated`. The foot of the wanted point on that line, or the end of the
    range next to it, is nearest; of the whole millimetres around it the better is taken.
    """
    sine = np.asarray(sin(stances.seat_tube_angle))[rows, None]
    cosine = np.asarray(cos(stances.seat_tube_angle))[rows, None]
    offset = stances.seat_tube_offset[rows, None]
    x = saddle[0] - (seats.saddle_stack * cosine - seats.setback) / sine - seats.rail
    along, square = saddle[1] * sine - x * cosine, x * sine + saddle[1] * cosine
    lowest, highest = np.ceil(seats.lowest[rows]), np.floor(seats.highest[rows])
    wanted = np.where(along > 0, np.hypot(along, offset), 0.0)
    best, heights = np.full(along.shape, np.inf), np.full(along.shape, np.nan)
    for candidate in (np.floor(wanted), np.ceil(wanted)):
        height = np.clip(candidate, lowest, np.maximum(lowest, highest))
        up = np.sqrt(np.maximum(height**2 - offset**2, 0.0))
        gap = (up - along) ** 2 + (square - offset) ** 2
        better = (gap < best) & (lowest <= highest)
        best, heights = np.where(better, gap, best), np.where(better, height, heights)
    return best, heights
