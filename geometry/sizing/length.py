"""The length a rider needs, on the run of the sizes.

Every size gives a length: how far its grips are ahead of the BB, with the cockpit as
sold. The length a rider needs is read off the builder's size chart at the rider's
stature, and then moved by a share of what is particular to this body and this build::

    needed = chart's line at the stature
           + style's own millimetres
           + share * (length this body asks for on this build
                      − length the usual body of that stature asks for on the usual build)

The length a body asks for follows from its postures, seated and standing. With f the
figures, m the middles of their windows, w the weights, h the half widths and J = df/dx
what a millimetre of grips does to them, the least sum of w ((f + J x − m) / h)² is at

    x = −Σ worth (f − m),   worth = w J / h² / Σ w (J / h)²   [mm per °]

J is taken on the usual bodies and the mean of the sizes, so that x is a plain weighted
sum of angles. Middles of windows cancel in the difference; what a rider asks
differently (a stiff back, a tired neck) is added to them and does not.

Source: least squares; the division between chart and posture is common practice of the
trade, and the share a setting of the builder.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from geometry.core import FloatArray
from geometry.rider import (
    Bodies,
    BodyModel,
    Linkage,
    PostureWindows,
    Window,
    linkage,
    standard_model,
    to_natural_scale,
)
from geometry.sizing.posture_figures import Postures, postures
from geometry.sizing.rules import FIGURES, FitRules
from geometry.sizing.sold import SizeChart, SoldSizes

NUDGE = 5.0
"""Grips are moved this far to either side to see what it does to a posture [mm]."""

KNOTS = np.arange(1300.0, 2225.0, 25.0)
"""Statures at which the usual body is seated; between them its figures go evenly [mm]."""

SHOULDER_SPREAD, ELBOW_SPREAD, HIP_SPREAD = 8.0, 8.0, 10.0
"""How far shoulder, elbow and hip joint may lie from where the linkage assumes them under
acromion, elbow and trochanterion, one standard deviation [mm], assumed."""


def usual_bodies(stature: FloatArray, model: BodyModel | None = None) -> Bodies:
    """The usual body of each stature, men and women together: a regression on stature.

    A straight line in every landmark, so that the usual body grows evenly.

    Parameters
    ----------
    stature : array, shape (n,)
        [mm].
    model : BodyModel, optional
        `standard_model()` when not given.

    Returns
    -------
    Bodies
        n bodies.

    Examples
    --------
    >>> usual_bodies(np.array([1700.0]))["crotch_height"].round(0).tolist()
    [818.0]
    """
    model = model or standard_model()
    mean = model.means.mean(axis=0)
    apart = model.means - mean
    covariance = model.covariances.mean(axis=0)[0] + (apart[:, :1] * apart).mean(axis=0)
    slope = covariance / covariance[0]
    return to_natural_scale(mean + np.outer(stature - mean[0], slope))


@dataclass(frozen=True, eq=False)
class Run:
    """The run of the sizes for one riding style, on one fork, wheels and axle position.

    Parameters
    ----------
    sold, usually : SoldSizes
        On the parts chosen, and on those the chart was made for.
    given : array, shape (S,)
        Length that each size gives, as the builder usually sells it [mm].
    chart : SizeChart
    windows : PostureWindows
    rules : FitRules
    longer_by : float
        What the style adds to the chart's line [mm].
    effect : mapping of str to float
        What a millimetre of grips forward does to each figure [°/mm].
    worth : mapping of str to float
        Length that one degree of a figure is worth [mm/°].
    usual : array, shape (S, K)
        Length the usual body of each stature of `KNOTS` asks for on each size, usually sold.
    taste_spread : float
        How the lengths differ that riders of one body choose, one standard deviation [mm].
    model_spread : float
        How far the model's joints may mislead, one standard deviation [mm].
    """

    sold: SoldSizes
    usually: SoldSizes
    given: FloatArray
    chart: SizeChart
    windows: PostureWindows
    rules: FitRules
    longer_by: float
    effect: Mapping[str, float]
    worth: Mapping[str, float]
    usual: FloatArray
    taste_spread: float
    model_spread: float

    @property
    def sizes(self) -> tuple[str, ...]:
        """Names of the sizes."""
        return self.sold.sizes

    @property
    def steps(self) -> FloatArray:
        """Steps from each size to the next, (S − 1,) [mm]; of a single size, `LONE_LENGTH`."""
        return np.diff(self.given) if len(self.given) > 1 else np.array([LONE_LENGTH])


LONE_LENGTH = 25.0
"""What counts as a step of length where a model has a single size [mm], common practice."""


def run_of(
    sold: SoldSizes,
    *,
    usually: SoldSizes,
    chart: SizeChart,
    windows: PostureWindows,
    rules: FitRules,
    longer_by: float = 0.0,
) -> Run:
    """Prepare the run of the sizes for comparison with many riders.

    Parameters
    ----------
    sold : SoldSizes
        On the fork, wheels and axle position chosen.
    usually : SoldSizes
        On those the builder's chart was made for.
    chart : SizeChart
    windows : PostureWindows
        The riding style's.
    rules : FitRules
    longer_by : float
        What the style adds to the chart's line [mm].

    Returns
    -------
    Run

    Examples
    --------
    >>> from geometry.examples import example_run
    >>> run = example_run()
    >>> run.given.round(0).tolist()
    [393.0, 418.0, 443.0, 468.0, 493.0]
    >>> round(run.taste_spread), round(run.model_spread)
    (11, 7)
    """
    middles = usual_bodies(chart.middles)
    effect = _effect(usually, linkage(middles), windows)
    worth = _worth(effect, windows)
    knots = postures(usually, linkage(usual_bodies(KNOTS)), windows)
    known = sum((effect[name] / rules.preference[name]) ** 2 for name in FIGURES)
    return Run(
        sold=sold,
        usually=usually,
        given=usually.grip_x,
        chart=chart,
        windows=windows,
        rules=rules,
        longer_by=longer_by,
        effect=effect,
        worth=worth,
        usual=asked_length(knots, worth),
        taste_spread=rules.taste_share / float(np.sqrt(known)),
        model_spread=rules.posture_share * _model_spread(usually, middles, windows, worth),
    )


def _effect(sold: SoldSizes, links: Linkage, windows: PostureWindows) -> dict[str, float]:
    """What a millimetre of grips does to each figure, mean of the sizes on their bodies [°/mm]."""
    out, back = (postures(sold, links, windows, further=way * NUDGE) for way in (1.0, -1.0))
    return {
        name: float(np.diagonal(out.figures[name] - back.figures[name]).mean() / (2.0 * NUDGE))
        for name in FIGURES
    }


def _worth(effect: Mapping[str, float], windows: PostureWindows) -> dict[str, float]:
    """Length that one degree of each figure is worth [mm/°]."""
    kept: dict[str, Window] = {name: getattr(windows, name) for name in FIGURES}
    pull = {name: each.weight * effect[name] / each.half**2 for name, each in kept.items()}
    whole = sum(pull[name] * effect[name] for name in FIGURES)
    return {name: value / whole if whole > 0.0 else 0.0 for name, value in pull.items()}


def asked_length(found: Postures, worth: Mapping[str, float]) -> FloatArray:
    """Length that postures ask for, up to a constant of the windows.

    Parameters
    ----------
    found : Postures
        On S sizes or cockpits.
    worth : mapping of str to float
        Of `Run` [mm/°].

    Returns
    -------
    array, shape (S, n)
        [mm]; only differences between bodies or bikes mean anything.

    Examples
    --------
    >>> from geometry.examples import TRAIL, example_run, example_sizes
    >>> run, riders = example_run(), linkage(usual_bodies(np.array([1700.0])))
    >>> near, far = (
    ...     asked_length(postures(example_sizes(), riders, TRAIL, further=x), run.worth)[2, 0]
    ...     for x in (0.0, 10.0))
    >>> bool(-11.0 < far - near < -9.0)
    True
    """
    parts = (-value * found.figures[name] for name, value in worth.items())
    return np.asarray(sum(parts), dtype=np.float64)


def _model_spread(
    sold: SoldSizes, middles: Bodies, windows: PostureWindows, worth: Mapping[str, float]
) -> float:
    """How much misplaced joints change the length asked for, root of the sum of squares [mm]."""
    links = linkage(middles)
    moved = (
        replace(
            links,
            trunk=links.trunk - SHOULDER_SPREAD,
            upper_arm=links.upper_arm - SHOULDER_SPREAD,
        ),
        replace(links, forearm=links.forearm - ELBOW_SPREAD),
        replace(
            links,
            trunk=links.trunk - HIP_SPREAD,
            thigh=links.thigh + HIP_SPREAD,
            hip_above_crotch=links.hip_above_crotch + HIP_SPREAD,
        ),
    )
    plain = asked_length(postures(sold, links, windows), worth)
    shifts = [asked_length(postures(sold, each, windows), worth) - plain for each in moved]
    return float(np.sqrt(sum(np.diagonal(each).mean() ** 2 for each in shifts)))


@dataclass(frozen=True, eq=False)
class Needs:
    """What n bodies need of S sizes.

    Parameters
    ----------
    length : array, shape (n,)
        Length needed [mm, on the run of the sizes].
    by_chart : array, shape (n,)
        What the chart alone says at the stature [mm].
    by_body : array, shape (n,)
        What body and build add to it, share taken [mm].
    apart : array, shape (n,)
        The same before the share is taken [mm].
    saddle_height, straddle_room : array, shape (S, n)
        As in `Postures` [mm].
    """

    length: FloatArray
    by_chart: FloatArray
    by_body: FloatArray
    apart: FloatArray
    saddle_height: FloatArray
    straddle_room: FloatArray


def needed(run: Run, bodies: Bodies, *, asks: Mapping[str, float] | None = None) -> Needs:
    """The length each body needs, with its saddle heights and straddle rooms.

    Parameters
    ----------
    run : Run
    bodies : Bodies
        n bodies.
    asks : mapping of str to float, optional
        What the rider asks differently from the windows' middles, by figure [°].

    Returns
    -------
    Needs

    Raises
    ------
    NoSolution
        A leg too short for the cranks of some size.

    Examples
    --------
    >>> from geometry.examples import example_run
    >>> found = needed(example_run(), usual_bodies(np.array([1700.0, 1800.0])))
    >>> found.length.round(0).tolist(), found.by_body.round(1).tolist()
    ([435.0, 467.0], [0.0, 0.0])
    """
    links, stature = linkage(bodies), bodies["stature"]
    found = postures(run.sold, links, run.windows)
    place = run.chart.size_for(stature)
    usual = np.array([np.interp(stature, KNOTS, row) for row in run.usual])
    apart = read_at(asked_length(found, run.worth) - usual, place)
    apart = apart + sum(run.worth[name] * degrees for name, degrees in (asks or {}).items())
    by_chart = _length_at(run, place) + run.longer_by
    by_body = run.rules.posture_share * apart
    return Needs(
        length=by_chart + by_body,
        by_chart=by_chart,
        by_body=by_body,
        apart=apart,
        saddle_height=found.saddle_height,
        straddle_room=found.straddle_room,
    )


def read_at(rows: FloatArray, place: FloatArray) -> FloatArray:
    """Rows of the sizes read at a place on their run, held at both ends.

    Parameters
    ----------
    rows : array, shape (S, n)
    place : array, shape (n,)
        0 the smallest size, S − 1 the largest [1].

    Returns
    -------
    array, shape (n,)

    Examples
    --------
    >>> read_at(np.array([[10.0, 10.0], [20.0, 20.0]]), np.array([0.5, 3.0])).tolist()
    [15.0, 20.0]
    """
    last = len(rows) - 1
    held = np.clip(place, 0.0, last)
    low = np.minimum(held.astype(int), max(last - 1, 0))
    share, column = held - low, np.arange(rows.shape[1])
    high = np.minimum(low + 1, last)
    return np.asarray(rows[low, column] * (1.0 - share) + rows[high, column] * share)


def _length_at(run: Run, place: FloatArray) -> FloatArray:
    """Length given at a place on the run of the sizes, going on beyond both ends [mm]."""
    given = run.given
    if len(given) == 1:
        return np.asarray(given[0] + LONE_LENGTH * place)
    marks = np.arange(len(given), dtype=np.float64)
    inside = np.interp(place, marks, given)
    below = np.minimum(place, 0.0) * (given[1] - given[0])
    above = np.maximum(place - marks[-1], 0.0) * (given[-1] - given[-2])
    found: FloatArray = inside + below + above
    return found
