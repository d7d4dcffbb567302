"""Which size: how far each posture on each size and cockpit is from the builder's windows.

For every body and every size the best cockpit is the one with the least distance
from the windows, counted in half-widths (`geometry.rider.windows.Window`): the
weighted mean of squares. A size is acceptable to a body when some cockpit keeps
every weighted figure inside its window and the hard limits hold: straddle room
and the range of the post. The best size is the acceptable one with the least
distance; where none is acceptable, it is none, never the nearest.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from geometry.core import FloatArray
from geometry.rider import Bodies, PostureWindows, Window, linkage
from geometry.sizing.posture_figures import (
    JUDGED,
    CockpitGrid,
    PostureFigures,
    Seating,
    postures,
    seat,
)

OUTSIDE = 10.0
"""Added to the distance of a posture outside a window; any posture inside stays below 1."""

NONE = -1
"""Stands for no size at all where sizes are counted from 0."""


@dataclass(frozen=True, eq=False)
class Judgement:
    """What each of n bodies makes of each of S sizes with C cockpits.

    Parameters
    ----------
    distance : array, shape (S, n)
        Of the best cockpit: 0 is the middle of every window, 1 and more its edges;
        `OUTSIDE` and more where some figure leaves its window [1].
    cockpit : array of int, shape (S, n)
        Which cockpit that is.
    cockpit_distance : array, shape (S, C)
        Mean distance of each cockpit over all bodies [1].
    acceptable : array of bool, shape (S, n)
        Inside every window with the hard limits met.
    best : array of int, shape (n,)
        Best size, counted from 0, or `NONE`.
    """

    distance: FloatArray
    cockpit: NDArray[np.intp]
    cockpit_distance: FloatArray
    acceptable: NDArray[np.bool_]
    best: NDArray[np.intp]

    def shares(self) -> FloatArray:
        """Share of the bodies for which each size is best, then none: (S + 1,) [1]."""
        count = len(self.distance)
        best = np.where(self.best == NONE, count, self.best)
        return np.bincount(best, minlength=count + 1) / len(best)


def judge(bodies: Bodies, grid: CockpitGrid, windows: PostureWindows) -> Judgement:
    """Judge every body on every size and cockpit.

    Parameters
    ----------
    bodies : Bodies
        n bodies.
    grid : CockpitGrid
        S sizes with C cockpits.
    windows : PostureWindows
        The riding style's windows.

    Returns
    -------
    Judgement
        Distances, best cockpits, best sizes.

    Raises
    ------
    NoSolution
        A leg too short for the cranks of some size.

    Notes
    -----
    Seats are found in double precision, postures in single: 0.001° is plenty, and
    it halves the time.

    Examples
    --------
    >>> from geometry.rider import mean_bodies
    >>> from geometry.examples import TRAIL, example_grid
    >>> grid = example_grid()
    >>> [grid.sizes[i] for i in judge(mean_bodies(), grid, TRAIL).best]
    ['L', 'S']
    """
    _keep_freed_memory()
    seating = seat(grid, linkage(bodies), windows)
    single = linkage(bodies, np.float32)
    limits = hard_limits_met(seating, windows)
    distance = np.empty(limits.shape)
    cockpit = np.empty(limits.shape, dtype=np.intp)
    mean = np.empty(grid.grip_x.shape)
    for size in range(len(grid.sizes)):
        found = postures(grid, size, links=single, seating=seating, windows=windows)
        each = posture_distance(found, windows)
        mean[size] = each.mean(axis=1)
        cockpit[size] = each.argmin(axis=0)
        distance[size] = np.take_along_axis(each, cockpit[size][np.newaxis], axis=0)[0]
    acceptable = limits & (distance < OUTSIDE)
    ranked = np.where(acceptable, distance, np.inf)
    best = np.where(acceptable.any(axis=0), ranked.argmin(axis=0), NONE)
    return Judgement(distance, cockpit, mean, acceptable, best)


def _keep_freed_memory() -> None:
    """Let the C library keep freed arrays for the next ones.

    Arrays of a few hundred kilobytes otherwise go back to the system one by one,
    and asking for them again costs several times the arithmetic. Freeing one large,
    untouched block raises the library's threshold for the life of the process;
    where it has no such threshold, this does nothing.
    """
    np.empty(1 << 23, dtype=np.uint8)


def hard_limits_met(seating: Seating, windows: PostureWindows) -> NDArray[np.bool_]:
    """Whether straddle room and post suit each body on each size.

    Parameters
    ----------
    seating : Seating
        From `seat`.
    windows : PostureWindows
        Least straddle room, tolerance of the saddle height.

    Returns
    -------
    array of bool, shape (S, n)

    Examples
    --------
    >>> from geometry.rider import mean_bodies
    >>> from geometry.examples import TRAIL, example_grid
    >>> seating = seat(example_grid(), linkage(mean_bodies()), TRAIL)
    >>> hard_limits_met(seating, TRAIL).sum(axis=1).tolist()
    [2, 2, 2, 1, 1]
    """
    room = seating.straddle_room >= windows.straddle_room_least
    post = np.abs(seating.saddle_miss) <= windows.saddle_tolerance
    met: NDArray[np.bool_] = room & post
    return met


def posture_distance(figures: PostureFigures, windows: PostureWindows) -> Any:
    """Distance of postures from the windows.

    Weighted mean over the windows of ((figure − middle) / half width)², at most
    `OUTSIDE`, plus `OUTSIDE` where a weighted figure is outside or the grips are
    out of reach.

    Parameters
    ----------
    figures : PostureFigures
        Arrays that broadcast together.
    windows : PostureWindows
        The riding style's windows.

    Returns
    -------
    array
        [1].

    Examples
    --------
    >>> from geometry.examples import TRAIL
    >>> ideal = PostureFigures(
    ...     **{name: np.array([getattr(TRAIL, name).middle]) for name in JUDGED},
    ...     reachable=np.array([True]),
    ... )
    >>> posture_distance(ideal, TRAIL).tolist()
    [0.0]
    """
    pairs = list(_weighted(figures, windows))
    whole = sum(window.weight for _, window in pairs)
    total: Any = 0.0
    worst: Any = 0.0
    for figure, window in pairs:
        miss = (figure - window.middle) * (1.0 / window.half)
        miss = miss * miss
        total = total + miss * (window.weight / whole)
        worst = np.maximum(worst, miss)
    outside = (worst > 1.0) | ~figures.reachable
    return np.minimum(total, OUTSIDE) + outside * total.dtype.type(OUTSIDE)


def _weighted(figures: PostureFigures, windows: PostureWindows) -> Iterator[tuple[Any, Window]]:
    """Figures that count, each with its window, fewest values first to spare passes."""
    names = sorted(JUDGED, key=lambda name: np.size(getattr(figures, name)))
    for name in names:
        window: Window = getattr(windows, name)
        if window.weight > 0.0:
            yield getattr(figures, name), window
