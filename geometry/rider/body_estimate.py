"""Estimate of a rider's whole body from the few numbers given.

Conditioning the body model (`geometry.rider.body`) on the numbers, each with its error,
yields every other landmark with its covariance. Where sex is not given, both
models are kept, weighted by how well each explains the numbers. Numbers outside
the data, or that people rarely show together, bring a caution.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from geometry.core import FloatArray
from geometry.rider.body import (
    LANDMARKS,
    Bodies,
    BodyModel,
    Landmark,
    Measurement,
    Sex,
    standard_model,
    to_natural_scale,
)

UNUSUAL = {2: 13.82, 3: 16.27, 4: 18.47, 5: 20.52, 6: 22.46, 7: 24.32, 8: 26.12}
"""0.999 quantile of chi-square by degrees of freedom (any statistical table)."""

CautionCode = Literal["beyond_data", "unusual_together"]


@dataclass(frozen=True)
class BodyCaution:
    """A doubt about the estimate: beyond the data, or numbers that rarely go together.

    Parameters
    ----------
    code : {'beyond_data', 'unusual_together'}
        What the doubt is.
    landmark : Landmark or None
        The number in doubt, `None` when it is about all of them together.
    value : float
        That number [mm, kg], or the squared Mahalanobis distance of them all [1].
    limit : float
        The edge of the data that it passed, in the same unit.
    """

    code: CautionCode
    landmark: Landmark | None
    value: float
    limit: float


@dataclass(frozen=True, eq=False)
class BodyBelief:
    """The estimate of one rider's body: a mixture of normal distributions.

    Parameters
    ----------
    sexes : tuple of Sex, length k
        Components.
    weights : array, shape (k,)
        Probability of each component [1].
    means, covariances : arrays, shapes (k, landmarks), (k, landmarks, landmarks)
        On the model's scale [mm, ln kg].
    cautions : tuple of BodyCaution
        Where the estimate leaves the data.
    """

    sexes: tuple[Sex, ...]
    weights: FloatArray
    means: FloatArray
    covariances: FloatArray
    cautions: tuple[BodyCaution, ...]

    def draw(self, count: int, rng: np.random.Generator) -> Bodies:
        """Draw bodies at random; men first, in proportion to their weight.

        Shares are rounded rather than drawn: the same seed then gives nearly the
        same bodies for nearly the same numbers, and answers do not jump about.

        Parameters
        ----------
        count : int
            How many bodies, n.
        rng : numpy.random.Generator
            Source of randomness.

        Returns
        -------
        Bodies
            n bodies.
        """
        normal = rng.standard_normal((count, self.means.shape[1]))
        edges = np.rint(np.cumsum(self.weights) * count).astype(int)
        parts = np.split(normal, edges[:-1])
        roots = np.linalg.cholesky(self.covariances)
        drawn = [m + z @ root.T for m, root, z in zip(self.means, roots, parts, strict=True)]
        return to_natural_scale(np.concatenate(drawn))

    def estimate(self, landmark: Landmark) -> tuple[float, float]:
        """Mean and standard deviation of a landmark [mm; weight ln kg]."""
        i = LANDMARKS.index(landmark)
        mean = float(self.weights @ self.means[:, i])
        within = self.weights @ self.covariances[:, i, i]
        between = self.weights @ (self.means[:, i] - mean) ** 2
        return mean, float(np.sqrt(within + between))

    def mean_body(self) -> Bodies:
        """The believed mean body, as one row."""
        return to_natural_scale((self.weights @ self.means)[np.newaxis])


def condition(
    measurements: Iterable[Measurement],
    *,
    sex: Sex | None = None,
    share_of_men: float = 0.5,
    model: BodyModel | None = None,
) -> BodyBelief:
    """Estimate the whole body from the few numbers a rider gives.

    For each component with mean m and covariance S, numbers z read through H with
    bias b and error covariance R: K = S Hᵀ (H S Hᵀ + R)⁻¹, mean m + K (z − H m − b),
    covariance S − K H S; the component's weight grows with the density of z.

    Parameters
    ----------
    measurements : iterable of Measurement
        What is given; may be empty.
    sex : {'man', 'woman'}, optional
        Keeps one component; without it both stay.
    share_of_men : float
        Probability of a man before anything is given [1].
    model : BodyModel, optional
        `standard_model()` when not given.

    Returns
    -------
    BodyBelief
        Every landmark with its covariance, and cautions.

    References
    ----------
    Conditioning of the normal distribution: any textbook, e.g. Anderson,
    *An Introduction to Multivariate Statistical Analysis*, section 2.5.

    Examples
    --------
    >>> known = condition([Measurement("stature", 1780.0, "measured")], sex="man")
    >>> [round(n) for n in known.estimate("crotch_height")]
    [860, 24]
    """
    model = model or standard_model()
    given = tuple(measurements)
    prior = {"man": share_of_men, "woman": 1.0 - share_of_men}
    kept = [k for k, s in enumerate(model.sexes) if sex in (None, s)]
    solved = [_condition_one(model, k, given) for k in kept]
    logs = np.array([np.log(prior[model.sexes[k]]) if sex is None else 0.0 for k in kept])
    logs += [density for _, _, density, _ in solved]
    weights = np.exp(logs - logs.max())
    weights /= weights.sum()
    likely = solved[int(np.argmax(weights))][3]
    return BodyBelief(
        sexes=tuple(model.sexes[k] for k in kept),
        weights=weights,
        means=np.array([mean for mean, _, _, _ in solved]),
        covariances=np.array([covariance for _, covariance, _, _ in solved]),
        cautions=(*_beyond(model, kept, given), *_together(given, likely)),
    )


def _condition_one(
    model: BodyModel, k: int, given: Sequence[Measurement]
) -> tuple[FloatArray, FloatArray, float, float]:
    """Mean, covariance, log density of the numbers and their squared Mahalanobis distance."""
    mean, covariance = model.means[k], model.covariances[k]
    rows = [LANDMARKS.index(m.landmark) for m in given]
    bias = np.array([m.bias(model.sexes[k]) for m in given])
    noise = np.diag([m.error() ** 2 for m in given]) if given else np.zeros((0, 0))
    surprise = np.array([m.on_model_scale() for m in given]) - bias - mean[rows]
    spread = covariance[np.ix_(rows, rows)] + noise
    gain = np.linalg.solve(spread, covariance[rows]).T
    distance = float(surprise @ np.linalg.solve(spread, surprise))
    density = -0.5 * (distance + float(np.linalg.slogdet(2.0 * np.pi * spread)[1]))
    narrowed = covariance - gain @ covariance[rows]
    return mean + gain @ surprise, 0.5 * (narrowed + narrowed.T), density, distance


def _beyond(
    model: BodyModel, kept: Sequence[int], given: Sequence[Measurement]
) -> list[BodyCaution]:
    """Numbers outside the range of every component kept, allowing for their error."""
    found = []
    for m in given:
        i, z = LANDMARKS.index(m.landmark), m.on_model_scale()
        bias = max(m.bias(model.sexes[k]) for k in kept)
        low, high = float(model.low[kept, i].min()), float(model.high[kept, i].max()) + bias
        if not low <= z <= high:
            limit = low if z < low else high
            natural = float(np.exp(limit)) if m.landmark == "weight" else limit
            found.append(BodyCaution("beyond_data", m.landmark, m.value, natural))
    return found


def _together(given: Sequence[Measurement], distance: float) -> list[BodyCaution]:
    """Numbers that one person in a thousand would show together, or fewer."""
    limit = UNUSUAL.get(len(given), UNUSUAL[max(UNUSUAL)])
    if len(given) > 1 and distance > limit:
        return [BodyCaution("unusual_together", None, distance, limit)]
    return []
