"""Which sizes fit many bodies as sold, which with changes, and which one each would choose."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.core import FloatArray
from geometry.sizing.length import Needs, Run

NONE = -1
"""Stands for no size at all where sizes are counted from 0."""

Marks = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class SizeSuitability:
    """How S sizes suit n bodies.

    Parameters
    ----------
    miss : array, shape (S, n)
        How much too long each size is, negative where too short [mm].
    room, post, any_post : array of bool, shape (S, n)
        Straddle room and toe room, the posts sold, and some post offered suit the body.
    as_sold : array of bool, shape (S, n)
        The size fits as sold.
    possible : array of bool, shape (S, n)
        It fits as sold or with changes.
    named : array of int, shape (n,)
        The nearest size that fits as sold; where none does, the nearest possible one;
        else `NONE`.
    """

    miss: FloatArray
    room: Marks
    post: Marks
    any_post: Marks
    as_sold: Marks
    possible: Marks
    named: NDArray[np.intp]

    def choices(self) -> FloatArray:
        """Which size each body is advised, the last row for none: (S + 1, n), 1 or 0."""
        count = len(self.miss)
        named = np.where(self.named == NONE, count, self.named)
        return np.asarray(named == np.arange(count + 1)[:, np.newaxis], dtype=np.float64)


def near_enough(run: Run) -> tuple[FloatArray, FloatArray]:
    """Least and greatest miss with which each size fits as sold.

    A share of the step to the neighbour that would be nearer: the smaller size where
    this one is too long.

    Parameters
    ----------
    run : Run

    Returns
    -------
    tuple of array, shape (S,)
        [mm].

    Examples
    --------
    >>> from geometry.examples import example_run
    >>> low, high = near_enough(example_run())
    >>> low.round(1).tolist(), high.round(1).tolist()
    ([-18.8, -18.8, -18.8, -18.8, -31.2], [31.2, 18.8, 18.8, 18.8, 18.8])
    """
    steps, rules = run.steps, run.rules
    inner = rules.within * np.diff(run.given)
    high = np.concatenate([[rules.beyond * steps[0]], inner])
    low = -np.concatenate([inner, [rules.beyond * steps[-1]]])
    return low, high


def judge_sizes(
    run: Run,
    needs: Needs,
    *,
    lean: FloatArray | float = 0.0,
    shorter: FloatArray | float = 0.0,
    longer: FloatArray | float = 0.0,
) -> SizeSuitability:
    """Compare what bodies need with what the sizes give.

    Parameters
    ----------
    run : Run
    needs : Needs
        Of n bodies.
    lean : array, shape (n,), or float
        Added to the length needed: taste, or a doubt that was drawn [mm].
    shorter, longer : array, shape (S,) or (S, n), or float
        How much changes of the cockpit can shorten (negative) and lengthen a size [mm].

    Returns
    -------
    SizeSuitability

    Examples
    --------
    >>> from geometry.examples import example_run
    >>> from geometry.sizing.length import needed, usual_bodies
    >>> run = example_run()
    >>> found = judge_sizes(run, needed(run, usual_bodies(np.array([1725.0, 1765.0]))))
    >>> found.as_sold.sum(axis=0).tolist(), [run.sizes[i] for i in found.named]
    ([1, 2], ['M', 'L'])
    """
    miss = run.given[:, np.newaxis] - (needs.length + lean)
    sold, least = run.sold, run.windows.straddle_room_least
    slack = run.windows.saddle_tolerance
    toes = sold.toe_room >= sold.toe_least
    room = (needs.straddle_room >= least) & toes[:, np.newaxis]
    height = needs.saddle_height
    post = _between(height, sold.saddle_lowest - slack, sold.saddle_highest + slack)
    any_post = _between(height, sold.any_lowest - slack, sold.any_highest + slack)
    low, high = near_enough(run)
    as_sold = room & post & _between(miss, low, high)
    mended = (miss >= _rows(low) - _rows(longer)) & (miss <= _rows(high) - _rows(shorter))
    possible = as_sold | (room & any_post & mended)
    return SizeSuitability(
        miss, room, post, any_post, as_sold, possible, _named(miss, as_sold, possible)
    )


def _rows(value: FloatArray | float) -> FloatArray:
    """One number a size as a column beside its bodies; one a size and body as it is."""
    found = np.asarray(value, dtype=np.float64)
    return found[:, np.newaxis] if found.ndim == 1 else found


def _between(value: FloatArray, low: FloatArray, high: FloatArray) -> Marks:
    found: Marks = (value >= _rows(low)) & (value <= _rows(high))
    return found


def _named(miss: FloatArray, as_sold: Marks, possible: Marks) -> NDArray[np.intp]:
    """Nearest size as sold, else nearest possible, else `NONE`."""
    wanted = np.where(as_sold.any(axis=0), as_sold, possible)
    nearest = np.where(wanted, np.abs(miss), np.inf).argmin(axis=0)
    return np.where(wanted.any(axis=0), nearest, NONE)
