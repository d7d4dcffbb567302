"""A size chart, the rule to beat: bands of one measurement, fitted as well as can be."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.core.angles import FloatArray

STEP = 10.0
"""Charts are drawn in steps of this [mm]."""


@dataclass(frozen=True, eq=False)
class Chart:
    """Bands of a measurement and what each says.

    Parameters
    ----------
    edges : array, shape (b - 1,)
        Between the bands [mm].
    shares : array, shape (b, classes)
        How often each class was right in a band, in training [1].
    """

    edges: FloatArray
    shares: FloatArray

    def probabilities(self, readings: FloatArray) -> FloatArray:
        """Share of each class in the band of each reading, (n, classes) [1]."""
        return self.shares[np.searchsorted(self.edges, readings, side="right")]


def fit_chart(readings: FloatArray, best: NDArray[np.intp], *, classes: int, bands: int) -> Chart:
    """The chart of at most `bands` bands that is right most often in training.

    Exact, by dynamic programming over edges on whole steps: the most that b bands
    get right up to some edge is the best over where the last band begins.

    Parameters
    ----------
    readings : array, shape (n,)
        Measurement as its rider gave it [mm].
    best : array of int, shape (n,)
        Best size by all landmarks.
    classes : int
        How many classes there are.
    bands : int
        Bands allowed.

    Returns
    -------
    Chart
    """
    low = STEP * np.floor(readings.min() / STEP)
    bins = ((readings - low) // STEP).astype(int)
    count = int(bins.max()) + 1
    counts = np.zeros((count + 1, classes))
    np.add.at(counts[1:], (bins, best), 1.0)
    upto = counts.cumsum(axis=0)
    right = (upto[np.newaxis] - upto[:, np.newaxis]).max(axis=2)
    right[np.tril_indices(count + 1, -1)] = -np.inf
    score, starts = right[0], []
    for _ in range(bands - 1):
        choices = score[:, np.newaxis] + right
        starts.append(choices.argmax(axis=0))
        score = choices.max(axis=0)
    cuts, end = set(), count
    for start in reversed(starts):
        end = int(start[end])
        cuts.add(end)
    inner = sorted(cut for cut in cuts if 0 < cut < count)
    groups = np.diff(upto[[0, *inner, count]], axis=0)
    shares = groups / groups.sum(axis=1, keepdims=True)
    return Chart(edges=low + STEP * np.array(inner, dtype=float), shares=shares)
