"""People on whom sizes are evaluated: bodies with their sex and weight."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.core import (
    AsManyNumbers,
    AtLeast,
    ContradictoryInput,
    FloatArray,
    InvalidInput,
    NumberBetween,
)
from geometry.population.remedies import WeightsOfOne
from geometry.rider import Bodies, BodyModel, Sex, condition

PEOPLE = 4000
"""Bodies drawn, half of them men: a share is then good to about 1 in 100."""

PEOPLE_SEED = 20121108
"""The same sizes always get the same answer."""


@dataclass(frozen=True, eq=False)
class People:
    """Bodies of men and women, each with its weight in every share that is counted.

    Parameters
    ----------
    bodies : Bodies
        n bodies.
    men : array of bool, shape (n,)
        Whose body is a man's.
    weights : array, shape (n,)
        What each counts [1]; they add up to 1.

    Raises
    ------
    ContradictoryInput
        Numbers of bodies, sexes and weights that differ, or weights that do not add up to 1.
    """

    bodies: Bodies
    men: NDArray[np.bool_]
    weights: FloatArray

    def __post_init__(self) -> None:
        shape = (len(self.bodies),)
        for name in ("men", "weights"):
            if np.shape(getattr(self, name)) != shape:
                remedy = AsManyNumbers(count=len(self.bodies))
                raise ContradictoryInput(name, np.shape(getattr(self, name)), remedy)
        total = float(self.weights.sum())
        if not (np.isclose(total, 1.0) and (self.weights >= 0.0).all()):
            raise ContradictoryInput("weights", total, WeightsOfOne())

    def share(self, among: NDArray[np.bool_]) -> float:
        """Share of the people for whom something holds [1]."""
        return float(self.weights[among].sum())


def draw_people(
    *,
    share_of_men: float = 0.5,
    count: int = PEOPLE,
    seed: int = PEOPLE_SEED,
    model: BodyModel | None = None,
) -> People:
    """Adults drawn from the body model: half of the draws men, weighted to their share.

    The bodies stay the same whatever the share, so that a change of it moves nothing
    else. No other weighting is done: age and weight are those of the survey behind the
    model, whose people are soldiers.

    Parameters
    ----------
    share_of_men : float
        Share of men among those to be served [1].
    count : int
        Bodies drawn, n; an odd one is rounded down.
    seed : int
        Of the draws.
    model : BodyModel, optional
        `standard_model()` when not given.

    Returns
    -------
    People
        Men first.

    Raises
    ------
    InvalidInput
        A share outside 0 to 1, or fewer than 2 bodies.

    Examples
    --------
    >>> people = draw_people(share_of_men=0.25, count=1000)
    >>> len(people.bodies), round(people.share(people.men), 6)
    (1000, 0.25)
    """
    if not 0.0 <= share_of_men <= 1.0:
        raise InvalidInput(
            "share_of_men", share_of_men, NumberBetween(lowest=0.0, highest=1.0, unit="")
        )
    if count < 2:  # noqa: PLR2004  # one of each sex
        raise InvalidInput("count", count, AtLeast(bound=2.0, unit=""))
    half, rng = count // 2, np.random.default_rng(seed)
    sexes: tuple[Sex, ...] = ("man", "woman")
    drawn = [condition([], sex=sex, model=model).draw(half, rng).values for sex in sexes]
    men = np.arange(2 * half) < half
    weights = np.where(men, share_of_men, 1.0 - share_of_men) / half
    return People(Bodies(np.concatenate(drawn)), men, weights)
