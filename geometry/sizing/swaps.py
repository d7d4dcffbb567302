"""How another cockpit on the same size changes a rider's length, and how much effort it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.core import ContradictoryInput, FloatArray
from geometry.rider import Linkage, linkage
from geometry.sizing.length import Run, asked_length, usual_bodies
from geometry.sizing.posture_figures import postures
from geometry.sizing.remedies import OneNumberEach
from geometry.sizing.sold import SoldSizes


@dataclass(frozen=True, eq=False)
class Cockpits:
    """The cockpits that one size may carry.

    Parameters
    ----------
    rows : SoldSizes
        The size once a cockpit, C in all.
    effort : array, shape (C,)
        In a mechanic's steps from the cockpit as sold, which itself is 0 [1].

    Raises
    ------
    ContradictoryInput
        As many efforts as cockpits are needed, and one of them 0.
    """

    rows: SoldSizes
    effort: FloatArray

    def __post_init__(self) -> None:
        if np.shape(self.effort) != (len(self.rows.sizes),) or 0.0 not in self.effort:
            remedy = OneNumberEach(count=len(self.rows.sizes))
            raise ContradictoryInput("effort", np.shape(self.effort), remedy)

    @property
    def sold(self) -> int:
        """Which cockpit is the one as sold."""
        return int(np.argmin(self.effort))


def gains(run: Run, cockpits: Sequence[Cockpits], links: Linkage) -> list[FloatArray]:
    """How much longer each cockpit makes each size for a rider.

    Parameters
    ----------
    run : Run
        For its windows and what a degree is worth.
    cockpits : sequence of Cockpits
        Of every size; all are worked out as one array.
    links : Linkage
        One rider, arrays of shape (1,).

    Returns
    -------
    list of array, shape (C,)
        For each size [mm]; higher grips and those nearer make it shorter.

    Examples
    --------
    >>> from geometry.examples import example_cockpits, example_run
    >>> from geometry.rider import linkage
    >>> from geometry.sizing.length import usual_bodies
    >>> rider = linkage(usual_bodies(np.array([1720.0])))
    >>> found = gains(example_run(), example_cockpits(), rider)[2]
    >>> round(found.min()), round(found.max())
    (-37, 19)
    """
    rows = SoldSizes.together([each.rows for each in cockpits])
    asked = asked_length(postures(rows, links, run.windows), run.worth)[:, 0]
    ends = np.cumsum([len(each.effort) for each in cockpits])[:-1]
    return [
        part[each.sold] - part for each, part in zip(cockpits, np.split(asked, ends), strict=True)
    ]


def _gains(run: Run, cockpits: Cockpits, links: Linkage) -> FloatArray:
    """The same of one size for n riders: (C, n) [mm]."""
    asked = asked_length(postures(cockpits.rows, links, run.windows), run.worth)
    return np.asarray(asked[cockpits.sold] - asked)


LOOKED_AT = np.arange(1450.0, 2051.0, 100.0)
"""Statures whose usual bodies say which cockpits are the shortest and the longest [mm]."""


def farthest(run: Run, cockpits: Cockpits, links: Linkage) -> tuple[FloatArray, FloatArray]:
    """How far the cockpits of a size can shorten and lengthen it, for many riders.

    Which of them go farthest is looked up for the usual bodies of `LOOKED_AT`; only those
    are then tried on every rider.

    Parameters
    ----------
    run : Run
    cockpits : Cockpits
        Of one size.
    links : Linkage
        n riders.

    Returns
    -------
    tuple of array, shape (n,)
        Shortest (0 or negative) and longest (0 or positive) [mm].

    Examples
    --------
    >>> from geometry.examples import example_cockpits, example_run
    >>> from geometry.rider import linkage
    >>> riders = linkage(usual_bodies(np.array([1650.0, 1800.0])))
    >>> shorter, longer = farthest(example_run(), example_cockpits()[2], riders)
    >>> shorter.round().tolist(), longer.round().tolist()
    ([-36.0, -37.0], [20.0, 18.0])
    """
    tried = _gains(run, cockpits, linkage(usual_bodies(LOOKED_AT)))
    ends = [tried.argmin(axis=0), tried.argmax(axis=0), np.array([cockpits.sold])]
    found = _gains(run, _some(cockpits, np.unique(np.concatenate(ends))), links)
    return found.min(axis=0), found.max(axis=0)


def _some(cockpits: Cockpits, kept: NDArray[np.intp]) -> Cockpits:
    """Only some of the cockpits, the one as sold among them."""
    return Cockpits(rows=cockpits.rows.only(kept), effort=cockpits.effort[kept])


def least_swap(
    cockpits: Cockpits, gained: FloatArray, *, too_long: float, low: float, high: float
) -> int | None:
    """The cockpit that makes a size fit well enough with the least effort.

    Parameters
    ----------
    cockpits : Cockpits
        Of one size.
    gained : array, shape (C,)
        From `gains` [mm].
    too_long : float
        How much too long the size is as sold, negative where too short [mm].
    low, high : float
        Between these a miss is near enough [mm].

    Returns
    -------
    int or None
        Which cockpit, from 0; `None` where none of them is enough.

    Examples
    --------
    >>> from geometry.examples import example_cockpits
    >>> cockpits = example_cockpits()[2]
    >>> shift = np.where(cockpits.effort > 0.0, -15.0, 0.0)
    >>> swap = least_swap(cockpits, shift, too_long=20.0, low=-12.0, high=12.0)
    >>> float(cockpits.effort[swap])
    2.0
    """
    left = too_long + gained
    enough = (left >= low) & (left <= high)
    if not enough.any():
        return None
    effort = np.where(enough, cockpits.effort, np.inf)
    ties = effort <= effort.min() + 1e-9
    return int(np.argmin(np.where(ties, np.abs(left), np.inf)))
