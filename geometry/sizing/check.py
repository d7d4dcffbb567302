"""A builder's sizes tried on many bodies: who they fit, and how stable the result is.

What it counts, over bodies inside the builder's size chart: how many sizes fit each
as sold, how often the size named first is the chart's, and whether that size still
fits when grips or windows move a little. A body that grows must never be named a
smaller size, nor skip one.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from geometry.core import FloatArray
from geometry.rider import (
    Bodies,
    BodyModel,
    PostureWindows,
    Window,
    standard_model,
    to_natural_scale,
)
from geometry.sizing.length import Run, needed, run_of, usual_bodies
from geometry.sizing.rules import FIGURES
from geometry.sizing.size_suitability import NONE, judge_sizes

GRIPS_MOVED = 10.0
"""How far grips are moved to see whether a size still fits [mm]."""

WINDOWS_MOVED = 1.0
"""How far windows are moved for the same [°]."""

GROWTH = np.arange(1480.0, 2051.0, 2.0)
"""Statures that a growing body passes through [mm]."""


@dataclass(frozen=True)
class FitCheck:
    """What a run of sizes does for many bodies.

    Parameters
    ----------
    people : int
        Bodies inside the builder's range.
    fitting : tuple of float, length 4
        Share of them whom none, one, two, and three or more sizes fit as sold [1].
    with_chart : float
        Share of those named a size who are named the chart's [1].
    two_off : float
        Share of them named one two or more sizes off the chart's [1].
    named : tuple of float, length S
        Share of them named each size [1].
    grips_kept, windows_kept : float
        Share of them whose size still fits as sold with grips, and with any window,
        moved either way: the least of all moves [1].
    backward : tuple of float
        Statures at which a growing body is named a smaller size than before, or one is
        skipped [mm]; empty where the sizes follow the body.
    """

    people: int
    fitting: tuple[float, float, float, float]
    with_chart: float
    two_off: float
    named: tuple[float, ...]
    grips_kept: float
    windows_kept: float
    backward: tuple[float, ...]


def check_fit(run: Run, bodies: Bodies) -> FitCheck:
    """Try a run of sizes on many bodies.

    Parameters
    ----------
    run : Run
    bodies : Bodies
        As many as are wanted; those outside the size chart are left aside.

    Returns
    -------
    FitCheck

    Raises
    ------
    NoSolution
        A leg too short for the cranks of some size.

    Examples
    --------
    >>> from geometry.examples import example_run
    >>> from geometry.rider import condition
    >>> bodies = condition([]).draw(2000, np.random.default_rng(1))
    >>> found = check_fit(example_run(), bodies)
    >>> found.fitting[3], found.backward
    (0.0, ())
    >>> 0.6 < found.with_chart < 0.8, found.two_off <= 0.01
    (True, True)
    """
    inside = Bodies(bodies.values[in_range(run, bodies["stature"])])
    judged = judge_sizes(run, needed(run, inside))
    fitting = judged.as_sold.sum(axis=0)
    some = np.flatnonzero(judged.as_sold.any(axis=0))
    named = judged.named[some]
    chart = size_by_chart(run, inside["stature"][some])
    return FitCheck(
        people=len(inside),
        fitting=(
            float((fitting == 0).mean()),
            float((fitting == 1).mean()),
            float((fitting == 2).mean()),  # noqa: PLR2004  # two sizes
            float((fitting > 2).mean()),  # noqa: PLR2004
        ),
        with_chart=float((named == chart).mean()),
        two_off=float((np.abs(named - chart) > 1).mean()),
        named=tuple(float((named == i).mean()) for i in range(len(run.sizes))),
        grips_kept=min(_kept(each, inside, some, named) for each in _other_grips(run)),
        windows_kept=min(_kept(each, inside, some, named) for each in _other_windows(run)),
        backward=backward(run),
    )


def in_range(run: Run, stature: FloatArray) -> NDArray[np.bool_]:
    """Which statures lie inside the builder's size chart.

    Parameters
    ----------
    run : Run
    stature : array, shape (n,)
        [mm].

    Returns
    -------
    array, shape (n,)

    Examples
    --------
    >>> from geometry.examples import example_run
    >>> in_range(example_run(), np.array([1400.0, 1700.0])).tolist()
    [False, True]
    """
    chart = run.chart
    found: NDArray[np.bool_] = (stature >= chart.shortest[0]) & (stature <= chart.tallest[-1])
    return found


def size_by_chart(run: Run, stature: FloatArray) -> NDArray[np.intp]:
    """The size whose middle of the chart is nearest, from 0.

    Parameters
    ----------
    run : Run
    stature : array, shape (n,)
        [mm].

    Returns
    -------
    array, shape (n,)

    Examples
    --------
    >>> from geometry.examples import example_run
    >>> size_by_chart(example_run(), np.array([1400.0, 1725.0])).tolist()
    [0, 2]
    """
    apart = np.abs(stature - run.chart.middles[:, np.newaxis])
    found: NDArray[np.intp] = apart.argmin(axis=0)
    return found


def _kept(run: Run, bodies: Bodies, some: NDArray[np.intp], named: NDArray[np.intp]) -> float:
    """Share of bodies whose size still fits as sold on another run."""
    as_sold = judge_sizes(run, needed(run, bodies)).as_sold
    return float(as_sold[named, some].mean())


def _other_grips(run: Run) -> Iterator[Run]:
    """The run with its grips moved forward and back."""
    for move in (-GRIPS_MOVED, GRIPS_MOVED):
        yield replace(run, sold=replace(run.sold, grip_x=run.sold.grip_x + move))


def _other_windows(run: Run) -> Iterator[Run]:
    """The run with each window moved up and down."""
    for name in FIGURES:
        window: Window = getattr(run.windows, name)
        for move in (-WINDOWS_MOVED, WINDOWS_MOVED):
            moved = replace(window, low=window.low + move, high=window.high + move)
            changed: dict[str, Any] = {name: moved}
            yield _with_windows(run, replace(run.windows, **changed))


def _with_windows(run: Run, windows: PostureWindows) -> Run:
    return run_of(
        run.sold,
        usually=run.usually,
        chart=run.chart,
        windows=windows,
        rules=run.rules,
        longer_by=run.longer_by,
    )


def growing(model: BodyModel | None = None) -> tuple[Bodies, ...]:
    """A man, a woman and the usual body as they would grow through `GROWTH`.

    Every landmark follows the stature by its regression.

    Parameters
    ----------
    model : BodyModel, optional
        `standard_model()` when not given.

    Returns
    -------
    tuple of Bodies
        One for each sex, then for both together.

    Examples
    --------
    >>> [round(float(each["crotch_height"][0])) for each in growing()]
    [684, 695, 698]
    """
    model = model or standard_model()
    pairs = zip(model.means, model.covariances, strict=True)
    each = [
        to_natural_scale(mean + np.outer(GROWTH - mean[0], covariance[0] / covariance[0, 0]))
        for mean, covariance in pairs
    ]
    return (*each, usual_bodies(GROWTH, model))


def backward(run: Run) -> tuple[float, ...]:
    """Statures at which a growing body gets a smaller size than before, or skips one.

    Parameters
    ----------
    run : Run

    Returns
    -------
    tuple of float
        [mm]; a body named no size at first and at last is no fault, one between is.

    Examples
    --------
    >>> from geometry.examples import example_run
    >>> backward(example_run())
    ()
    """
    found: set[float] = set()
    for bodies in growing():
        named = judge_sizes(run, needed(run, bodies)).named
        some = np.flatnonzero(named != NONE)
        change = np.diff(named[some])
        gap = np.diff(some) > 1
        wrong = np.flatnonzero((change < 0) | (change > 1) | gap)
        found |= {float(GROWTH[some[i + 1]]) for i in wrong}
    return tuple(sorted(found))
