"""Bodies: what is known of a rider, and what follows from it with its spread.

The model is one multivariate normal distribution of body landmarks a sex, from
measured people (`geometry.rider.body_data`). A rider gives a few numbers, each with the
error of the way it was found; `geometry.rider.body_estimate` conditions the model on them.

Heights are from the floor, standing barefoot; lengths [mm], weight [kg]. Inside
the model weight is a natural logarithm, which is nearer to normal.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal, get_args

import numpy as np

from geometry.core import FloatArray, InvalidInput
from geometry.rider import body_data
from geometry.rider.remedies import HumanMeasure

Landmark = Literal[
    "stature",
    "crotch_height",
    "trochanterion_height",
    "knee_height",
    "ankle_height",
    "acromial_height",
    "sternal_notch_height",
    "upper_arm_length",
    "forearm_length",
    "elbow_to_grip_length",
    "span",
    "sitting_height",
    "biacromial_breadth",
    "foot_length",
    "ball_of_foot_length",
    "weight",
]
"""Landmarks of the model. Crotch height is what riders call inseam; knee height
is that of the lateral femoral epicondyle, ankle height of the lateral malleolus;
the upper arm runs from acromion to radiale, the forearm from radiale to stylion,
elbow to grip from the back of the bent elbow to the centre of a gripped bar."""

Sex = Literal["man", "woman"]
Way = Literal["trousers", "told", "self_measured", "measured"]
"""How a number was found: off a pair of trousers, from memory, by the rider alone, or by
a second person."""

LANDMARKS: tuple[Landmark, ...] = get_args(Landmark)
WEIGHT = LANDMARKS.index("weight")

ERRORS: dict[Way, dict[Landmark, float]] = {
    "trousers": {"crotch_height": 18.0},
    "told": {"stature": 19.0, "crotch_height": 15.0, "span": 25.0, "weight": 0.03},
    "self_measured": {
        "stature": 8.0,
        "crotch_height": 10.0,
        "sternal_notch_height": 10.0,
        "span": 12.0,
        "sitting_height": 12.0,
        "foot_length": 4.0,
        "weight": 0.015,
    },
    "measured": {
        "stature": 4.0,
        "crotch_height": 6.0,
        "span": 8.0,
        "foot_length": 3.0,
        "weight": 0.01,
    },
}
"""Standard deviation of the error of a number by the way it was found [mm; weight
as a share]. Told stature: self-reports in ANSUR II; self-measured crotch height:
assumption of ±10 mm; the rest are assumptions of the same kind."""

DEFAULT_ERROR: dict[Way, float] = {
    "trousers": 30.0, "told": 20.0, "self_measured": 12.0, "measured": 8.0
}  # fmt: skip
"""Error of a landmark not in `ERRORS` [mm], assumed."""

TOLD_STATURE_BIAS: dict[Sex, float] = {"man": 22.0, "woman": 12.0}
"""Told stature minus measured stature, mean [mm]: self-reports in ANSUR II."""

TROUSERS_BELOW = 45.0
"""Inseam of trousers less crotch height is minus this, mean [mm]: 30 to 60 mm, from memory;
trousers end above the floor and hang below the crotch."""

POSSIBLE_SHARE = (0.4, 1.5)
"""A length beyond these shares of the mean is a slip of unit, not a body [1]."""

POSSIBLE_WEIGHT = (10.0, 350.0)
"""A weight beyond these is a slip of unit [kg]."""


@dataclass(frozen=True)
class Measurement:
    """One number a rider gives.

    Parameters
    ----------
    landmark : Landmark
        What was measured.
    value : float
        The number as given [mm, weight kg].
    way : {'trousers', 'told', 'self_measured', 'measured'}
        How it was found; sets its error and, for told stature and trousers, its bias.

    Raises
    ------
    InvalidInput
        Not a finite number, or so far from any body that the unit must be wrong.

    Examples
    --------
    >>> Measurement("stature", 1780.0, "told").error()
    19.0
    """

    landmark: Landmark
    value: float
    way: Way = "self_measured"

    def __post_init__(self) -> None:
        low, high = possible_range(self.landmark)
        if not low <= self.value <= high:
            unit = "kilograms" if self.landmark == "weight" else "millimetres"
            remedy = HumanMeasure(lowest=low, highest=high, unit=unit)
            raise InvalidInput(self.landmark, self.value, remedy)

    def error(self) -> float:
        """Standard deviation of the measuring error [mm; weight as a share]."""
        return measuring_error(self.landmark, self.way)

    def bias(self, sex: Sex) -> float:
        """By how much such a number is too high on average, for a man or a woman [mm]."""
        if self.way == "trousers" and self.landmark == "crotch_height":
            return -TROUSERS_BELOW
        told_stature = self.landmark == "stature" and self.way == "told"
        return TOLD_STATURE_BIAS[sex] if told_stature else 0.0

    def on_model_scale(self) -> float:
        """The value as the model holds it: [mm], weight as ln(kg)."""
        return float(np.log(self.value)) if self.landmark == "weight" else self.value


def measuring_error(landmark: Landmark, way: Way) -> float:
    """Standard deviation of the error of a landmark found in some way.

    Parameters
    ----------
    landmark : Landmark
        What is measured.
    way : {'trousers', 'told', 'self_measured', 'measured'}
        How.

    Returns
    -------
    float
        [mm; weight as a share].

    Examples
    --------
    >>> measuring_error("crotch_height", "self_measured")
    10.0
    """
    return ERRORS[way].get(landmark, DEFAULT_ERROR[way])


def to_model_scale(bodies: FloatArray) -> FloatArray:
    """Bodies with the logarithm of weight, as the model needs them.

    Parameters
    ----------
    bodies : array, shape (..., landmarks)
        [mm], weight [kg].

    Returns
    -------
    array, shape (..., landmarks)
        [mm], weight [ln kg].

    Examples
    --------
    >>> body = np.full((1, 16), 100.0)
    >>> round(float(to_model_scale(body)[0, 15]), 4)
    4.6052
    """
    scaled = np.array(bodies, dtype=np.float64)
    scaled[..., WEIGHT] = np.log(scaled[..., WEIGHT])
    return scaled


@dataclass(frozen=True, eq=False)
class Bodies:
    """A number of bodies; `bodies["stature"]` is an array of shape (n,).

    Parameters
    ----------
    values : array, shape (n, landmarks)
        In the order of `LANDMARKS` [mm, weight kg].

    Examples
    --------
    >>> mean_bodies()["stature"].round(0).tolist()
    [1756.0, 1628.0]
    """

    values: FloatArray

    def __len__(self) -> int:
        return len(self.values)

    def __getitem__(self, landmark: Landmark) -> FloatArray:
        column: FloatArray = self.values[:, LANDMARKS.index(landmark)]
        return column


@dataclass(frozen=True, eq=False)
class BodyModel:
    """Normal distributions of landmarks, one a sex, on the model's scale.

    Parameters
    ----------
    sexes : tuple of Sex, length k
        What each component stands for.
    means : array, shape (k, landmarks)
        [mm, ln kg].
    covariances : array, shape (k, landmarks, landmarks)
        [mm², mixed for weight].
    low, high : array, shape (k, landmarks)
        0.5th and 99.5th percentile of the data; beyond them is extrapolation.
    """

    sexes: tuple[Sex, ...]
    means: FloatArray
    covariances: FloatArray
    low: FloatArray
    high: FloatArray


def fit_body_model(survey: Mapping[Sex, FloatArray]) -> BodyModel:
    """Fit the model to measured bodies.

    Parameters
    ----------
    survey : mapping of Sex to array, shape (people, landmarks)
        In the order of `LANDMARKS` [mm, weight kg].

    Returns
    -------
    BodyModel
        Sample means, covariances and ranges.

    Examples
    --------
    >>> rng = np.random.default_rng(1)
    >>> model = fit_body_model({"man": rng.normal(500.0, 5.0, (400, 16))})
    >>> model.means.shape, model.covariances.shape
    ((1, 16), (1, 16, 16))
    """
    scaled = [to_model_scale(bodies) for bodies in survey.values()]
    ranges = np.array([np.percentile(bodies, [0.5, 99.5], axis=0) for bodies in scaled])
    return BodyModel(
        sexes=tuple(survey),
        means=np.array([bodies.mean(axis=0) for bodies in scaled]),
        covariances=np.array([np.cov(bodies, rowvar=False) for bodies in scaled]),
        low=ranges[:, 0],
        high=ranges[:, 1],
    )


def _covariance(sd: FloatArray, triangle: str) -> FloatArray:
    """Covariance matrix from spreads and the lower triangle of correlations."""
    correlation = np.eye(len(sd))
    for i, line in enumerate(triangle.split("\n")[1:-1], start=1):
        correlation[i, :i] = [int(word) * 1e-4 for word in line.split()]
        correlation[:i, i] = correlation[i, :i]
    covariance: FloatArray = correlation * np.outer(sd, sd)
    return covariance


@cache
def standard_model() -> BodyModel:
    """The model of `geometry.rider.body_data`: adults of the ANSUR II survey.

    Returns
    -------
    BodyModel
        Components `man` and `woman`.

    Examples
    --------
    >>> standard_model().sexes
    ('man', 'woman')
    """
    sexes: tuple[Sex, ...] = get_args(Sex)
    lines = (body_data.MOMENTS[sex].strip().split("\n") for sex in sexes)
    table = np.array([[line.split()[1:] for line in block] for block in lines], dtype=np.float64)
    pairs = zip(sexes, table[:, :, 1], strict=True)
    return BodyModel(
        sexes=sexes,
        means=table[:, :, 0],
        covariances=np.array([_covariance(sd, body_data.CORRELATIONS[sex]) for sex, sd in pairs]),
        low=table[:, :, 2],
        high=table[:, :, 3],
    )


def mean_bodies(model: BodyModel | None = None) -> Bodies:
    """The mean body of each sex, in the order of the model's components.

    >>> len(mean_bodies())
    2
    """
    return to_natural_scale((model or standard_model()).means)


def to_natural_scale(scaled: FloatArray) -> Bodies:
    """Bodies from rows on the model's scale, the inverse of `to_model_scale`.

    Parameters
    ----------
    scaled : array, shape (n, landmarks)
        [mm], weight [ln kg].

    Returns
    -------
    Bodies
        [mm], weight [kg].

    Examples
    --------
    >>> round(float(to_natural_scale(np.full((1, 16), 4.0))["weight"][0]), 3)
    54.598
    """
    values = scaled.copy()
    values[:, WEIGHT] = np.exp(values[:, WEIGHT])
    return Bodies(values)


@cache
def possible_range(landmark: Landmark) -> tuple[float, float]:
    """Least and greatest value accepted for a landmark [mm, weight kg].

    Wide enough for any child or giant; there only to catch slips of unit.

    >>> possible_range("weight")
    (10.0, 350.0)
    """
    if landmark == "weight":
        return POSSIBLE_WEIGHT
    mean = float(standard_model().means[:, LANDMARKS.index(landmark)].mean())
    return POSSIBLE_SHARE[0] * mean, POSSIBLE_SHARE[1] * mean
