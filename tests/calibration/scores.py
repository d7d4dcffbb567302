"""Scores of a forecast against what came true."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.core import FloatArray

DECILES = 10

LEAST = 1e-3
"""No forecast is held to be surer than this of anything [1]."""


@dataclass(frozen=True)
class Scores:
    """Scores of a forecast against the truth.

    Parameters
    ----------
    accuracy : float
        Share of people whose likeliest class came true [1].
    brier : float
        Mean sum of squares of chance minus outcome over the classes [1].
    log_loss : float
        Mean of −ln of the chance of what came true, floored at `LEAST`.
    top_error : float
        Calibration error: mean distance between chance and frequency by decile of
        the likeliest class's chance, weighted by numbers [1].
    sampling : float
        The top error that perfect chances would show with so many people [1].
    """

    accuracy: float
    brier: float
    log_loss: float
    top_error: float
    sampling: float


def score(chances: FloatArray, chosen: NDArray[np.intp]) -> Scores:
    """Score chances (n, classes) against what came true (n,)."""
    outcome = np.eye(chances.shape[1])[chosen]
    top = chances.argmax(axis=1)
    rows = reliability(chances.max(axis=1), (top == chosen).astype(float))
    floored = np.maximum(chances, LEAST)
    floored /= floored.sum(axis=1, keepdims=True)
    return Scores(
        accuracy=float((top == chosen).mean()),
        brier=float(((chances - outcome) ** 2).sum(axis=1).mean()),
        log_loss=float(-np.log((floored * outcome).sum(axis=1)).mean()),
        top_error=calibration_error(rows),
        sampling=sampling_error(rows),
    )


def reliability(chance: FloatArray, happened: FloatArray) -> tuple[tuple[int, float, float], ...]:
    """Rows of number, mean chance and frequency by tenths of the chance."""
    group = np.minimum((chance * DECILES).astype(int), DECILES - 1)
    kept = (group == i for i in range(DECILES))
    return tuple(
        (int(k.sum()), float(chance[k].mean()), float(happened[k].mean())) for k in kept if k.any()
    )


def calibration_error(rows: Sequence[tuple[int, float, float]]) -> float:
    """Mean distance between chance and frequency, weighted by numbers [1]."""
    total = sum(count for count, _, _ in rows)
    return sum(count * abs(chance - frequency) for count, chance, frequency in rows) / total


def sampling_error(rows: Sequence[tuple[int, float, float]]) -> float:
    """Calibration error expected of perfect chances: mean of a folded normal a row [1]."""
    total = sum(count for count, _, _ in rows)
    spreads = (np.sqrt(count * chance * (1.0 - chance)) for count, chance, _ in rows)
    return float(np.sqrt(2.0 / np.pi) * sum(spreads) / total)
