"""A plain multinomial regression on the told measurements, the other rule to beat."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from geometry.core import FloatArray

RIDGE = 1e-3
"""Pull of the weights towards zero, so that sizes nobody took stay finite [1]."""


@dataclass(frozen=True, eq=False)
class Regression:
    """Weights on standardised measurements.

    Parameters
    ----------
    mean, spread : array, shape (k,)
        Of the training's measurements [mm].
    weights : array, shape (k + 1, classes)
        The last row is the constant.
    """

    mean: FloatArray
    spread: FloatArray
    weights: FloatArray

    def probabilities(self, readings: FloatArray) -> FloatArray:
        """Chance of each class for each row of readings (n, k): (n, classes) [1]."""
        scaled = (readings - self.mean) / self.spread
        return _softmax(_with_constant(scaled) @ self.weights)


def fit_regression(readings: FloatArray, chosen: NDArray[np.intp], *, classes: int) -> Regression:
    """The regression of the greatest likelihood in training.

    Parameters
    ----------
    readings : array, shape (n, k)
        Measurements as their riders gave them [mm].
    chosen : array of int, shape (n,)
        What each chose.
    classes : int
        How many classes there are.

    Returns
    -------
    Regression
    """
    mean, spread = readings.mean(axis=0), np.maximum(readings.std(axis=0), 1e-9)
    design = _with_constant((readings - mean) / spread)
    outcome = np.eye(classes)[chosen]
    shape = (design.shape[1], classes)

    def loss(flat: FloatArray) -> tuple[float, FloatArray]:
        weights = flat.reshape(shape)
        chance = _softmax(design @ weights)
        told = -np.log(np.maximum((chance * outcome).sum(axis=1), 1e-300)).mean()
        slope = design.T @ (chance - outcome) / len(design) + 2.0 * RIDGE * weights
        return float(told + RIDGE * (weights**2).sum()), slope.ravel()

    found = minimize(loss, np.zeros(shape).ravel(), jac=True, method="L-BFGS-B")
    return Regression(mean, spread, found.x.reshape(shape))


def _with_constant(scaled: FloatArray) -> FloatArray:
    return np.column_stack([scaled, np.ones(len(scaled))])


def _softmax(score: FloatArray) -> FloatArray:
    raised = np.exp(score - score.max(axis=1, keepdims=True))
    return np.asarray(raised / raised.sum(axis=1, keepdims=True))
