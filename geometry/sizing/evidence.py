"""What a position that its rider calls right says about the length they need.

The doubt about a rider's length that a body leaves, taste and model, is normal with the
spread t. A right position is one more reading of the length: what the bike ridden now
gives this body, less what the body is thought to need, is that doubt with an error of the
spread s. Bayes' rule with both normal::

    doubt | reading  ~  N(d t²/(t² + s²),  t² s²/(t² + s²)),   d = reading − needed
    a drawn body's weight  ∝  exp(−d²/(2 (t² + s²)))

so that bodies which would make the position a strange one count for less. Source: the
normal model with known variances, as in any text on Bayesian inference; bodies are drawn
anew by their weights (sampling/importance resampling, Rubin 1988 [M]).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from geometry.core import FloatArray, cos, rotate, sin
from geometry.rider import Linkage
from geometry.sizing.length import Run, asked_length, read_at
from geometry.sizing.posture_figures import postures
from geometry.sizing.sold import SoldSizes

SAYS_RIGHT = 10.0
"""How far a position may lie from the best one and still be called right, one standard
deviation: about one step of stem length, common practice of the trade [CP] [mm]."""


@dataclass(frozen=True, kw_only=True)
class RightPosition:
    """Grips that their rider says are right, from the BB centre, the bike standing unloaded.

    Parameters
    ----------
    grip_x, grip_y : float [mm]
    spread : float [mm]
        How sure the point is along the bike, one standard deviation.
    """

    grip_x: float
    grip_y: float
    spread: float


@dataclass(frozen=True, eq=False)
class Learned:
    """What was learned from a position called right.

    Parameters
    ----------
    lean : array, shape (n,)
        What it adds to the length each body needs [mm].
    doubt : float
        Taste and model together, afterwards, one standard deviation [mm].
    weights : array, shape (n,)
        How likely each body is afterwards, all together 1.
    """

    lean: FloatArray
    doubt: float
    weights: FloatArray

    def drawn_anew(self) -> NDArray[np.intp]:
        """Which bodies to take, each as often as its weight says: (n,)."""
        count = self.weights.size
        marks = (np.arange(count) + 0.5) / count
        return np.minimum(np.searchsorted(np.cumsum(self.weights), marks), count - 1)


def length_given(
    run: Run, position: RightPosition, links: Linkage, place: FloatArray
) -> FloatArray:
    """The length, on the run of the sizes, that a position gives to bodies.

    Parameters
    ----------
    run : Run
    position : RightPosition
    links : Linkage
        n riders.
    place : array, shape (n,)
        Their place on the chart, from `SizeChart.size_for`: on whose seat they are.

    Returns
    -------
    array, shape (n,)
        [mm]: what a size gives, less what its grips and these ask for differently.

    Examples
    --------
    >>> from geometry.examples import example_run
    >>> from geometry.rider import linkage
    >>> from geometry.sizing.length import usual_bodies
    >>> run, rider = example_run(), linkage(usual_bodies(np.array([1700.0])))
    >>> own = RightPosition(grip_x=float(run.usually.grip_x[2]),
    ...     grip_y=float(run.usually.grip_y[2]), spread=3.0)
    >>> bool(abs(length_given(run, own, rider, np.array([2.0]))[0] - run.given[2]) < 15.0)
    True
    """
    sold = run.usually
    turned = rotate(position.grip_x, position.grip_y, cosine=cos(sold.sunk), sine=sin(sold.sunk))
    own: dict[str, Any] = {name: getattr(sold, name) for name in SoldSizes.__dataclass_fields__}
    there = SoldSizes(**{**own, "grip_x": np.asarray(turned[0]), "grip_y": np.asarray(turned[1])})
    before, now = (
        asked_length(postures(sizes, links, run.windows), run.worth) for sizes in (sold, there)
    )
    return read_at(run.given[:, np.newaxis] + before - now, place)


def learn(run: Run, *, needed: FloatArray, given: FloatArray, spread: float) -> Learned:
    """What a right position says about bodies and about the uncertainty of their length.

    Parameters
    ----------
    run : Run
    needed, given : array, shape (n,)
        Length that each body is thought to need, and that the position gives it [mm].
    spread : float
        How sure the position is, one standard deviation [mm].

    Returns
    -------
    Learned

    Examples
    --------
    >>> from geometry.examples import example_run
    >>> found = learn(example_run(), needed=np.array([440.0]), given=np.array([460.0]), spread=5.0)
    >>> bool(0.0 < found.lean[0] < 20.0), bool(found.doubt < 11.2)
    (True, True)
    """
    before = run.taste_spread**2 + run.model_spread**2
    error = spread**2 + SAYS_RIGHT**2
    apart = given - needed
    likely = -(apart**2) / (2.0 * (before + error))
    weights = np.exp(likely - likely.max())
    return Learned(
        lean=np.asarray(apart * before / (before + error)),
        doubt=float(np.sqrt(before * error / (before + error))),
        weights=np.asarray(weights / weights.sum()),
    )
