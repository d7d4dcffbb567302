"""Ranks what may be wrong with a bike or its readings; says so when causes cannot be told apart.

An explanation is one cause, or two or three together: a misread value, a tyre
radius, a fork length, an axle position. Each is fitted to the readings, held by
how far off such things usually are, and weighed by how likely it makes them
(`geometry.verify.bench_sets`). Readings that contradict one another are held
against each other first: no part of a bike can make its wheelbase differ from
rear and front centre, so an explanation must say which reading of every such
contradiction was misread. Where the best is less than `DECISIVE` times as
likely as another, the data do not tell them apart, and the report says so. One
further possibility is always weighed: that none of these is right, and all
readings scatter more than was said.

The combined fit lets every suspect be off at once, each held by how far off it
usually is. It says how much the readings know of each, not which one it was.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from geometry.bike import Bike, numbers
from geometry.core import FloatArray, Num
from geometry.verify.bench_fit import Fitted, fitted
from geometry.verify.bench_plan import Plan
from geometry.verify.bench_sets import MOST_CAUSES, Candidate

DECISIVE = 20.0
"""How many times as likely one explanation must make the readings to be told from another."""

NONE_OF_THESE = 0.01
"""How often a bike that raised the alarm has nothing that is looked for, but readings that
scatter more than was said [CP]."""

_SCATTER = np.array([2.0, 4.0, 8.0, 16.0, 32.0, 64.0, 128.0])


@dataclass(frozen=True, kw_only=True, slots=True)
class Cause:
    """One thing that may be wrong, as fitted in the likeliest explanation that holds it.

    Parameters
    ----------
    kind : {"misread", "off"}
        A reading that is wrong, or an input of the bike that is not as stated.
    key : str
        Reading or input, by its key in the glossary.
    reading : int or None
        Index of the misread reading.
    now, then : float [mm, deg]
        The value read or stated, and the value that would explain the readings.
    change : float [mm, deg]
        ``then − now``.
    spread : float [mm, deg]
        Standard deviation of ``change``.
    odds : float
        How likely it is part of what is wrong, 0 to 1.
    """

    kind: Literal["misread", "off"]
    key: str
    reading: int | None
    now: float
    then: float
    change: float
    spread: float
    odds: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Explanation:
    """One cause or several together that would explain the readings.

    Parameters
    ----------
    causes : tuple of Cause
    odds : float
        Its share, 0 to 1, of how likely the readings are under all explanations;
        those that add something to it, and are less likely, are counted with it.
    left : float
        How much of the readings' disagreement (a chi-square) it leaves.
    """

    causes: tuple[Cause, ...]
    odds: float
    left: float

    @property
    def names(self) -> frozenset[tuple[str, str, int | None]]:
        """The names of its causes, however large."""
        return frozenset((one.kind, one.key, one.reading) for one in self.causes)


@dataclass(frozen=True, kw_only=True, slots=True)
class Ranking:
    """All explanations, most likely first.

    Parameters
    ----------
    explanations : tuple of Explanation
        None of them only adds something to one before it.
    causes : tuple of Cause
        Every cause by itself, most likely first.
    none_of_these : float
        How likely it is that no explanation is right, 0 to 1; with the odds of
        the explanations it adds up to 1.
    """

    explanations: tuple[Explanation, ...]
    causes: tuple[Cause, ...]
    none_of_these: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Estimate:
    """One suspect in the combined fit.

    Parameters
    ----------
    key : str
        Input, by its key in the glossary.
    change : float [mm, deg]
        Best estimate of how far it is off.
    spread : float [mm, deg]
        Standard deviation of that estimate.
    usual : float [mm, deg]
        How far off it usually is when it is (standard deviation).
    known : float
        How much the readings say about it: 0 nothing, 1 all.
    """

    key: str
    change: float
    spread: float
    usual: float
    known: float


def ranking(
    bike: Bike,
    plan: Plan,
    readings: FloatArray,
    contradictory: Sequence[frozenset[int]] = (),
    most: int = MOST_CAUSES,
) -> Ranking:
    """Everything that could explain the readings, most likely first.

    Parameters
    ----------
    bike : Bike
        As it should have been built.
    plan : Plan
        What the readings can tell.
    readings : array (m,) [mm, deg]
    contradictory : sequence of frozenset of int
        Places of the readings in each contradiction that chance does not explain:
        at least one of every set must be held to be misread.
    most : int
        Causes in an explanation, at most.

    Returns
    -------
    Ranking
        Impossible explanations (an axle outside its slot, a fork longer than
        unloaded or 150 mm too long) are left out.

    Notes
    -----
    See `geometry.verify.bench_sets`. That none of these is right is weighed as
    readings whose spreads are all 2 to 128 times what was said.

    Examples
    --------
    >>> from geometry.verify import Gauge
    >>> from geometry.verify.bench_plan import plan
    >>> from geometry.examples import trail_build
    >>> keys = ("bb_height", "wheelbase", "chainstay_length", "trail", "front_centre")
    >>> bike = Bike(build=trail_build())
    >>> made = plan(bike, [Gauge(key=key, spread=1.0) for key in keys], {})
    >>> wrong = made.predicted + [0.0, 10.0, 0.0, 0.0, 0.0]
    >>> (best,) = ranking(bike, made, wrong).explanations[0].causes
    >>> best.kind, best.key, round(best.change)
    ('misread', 'wheelbase', -10)
    """

    def accepts(some: Sequence[Candidate]) -> bool:
        misread = {one.place for one in some if one.kind == "misread"}
        return all(misread & places for places in contradictory)

    found = fitted(bike, plan, readings, accepts, most)
    differences = readings - plan.predicted
    evidence = [*(one.evidence for one in found), _none_of_these(plan, differences)]
    shares = np.exp(np.array(evidence) - max(evidence))
    shares /= shares.sum()
    return _explained(bike, readings, found, [float(share) for share in shares])


def _none_of_these(plan: Plan, differences: FloatArray) -> float:
    """Logarithm of how likely the readings are if they all scatter more than was said."""
    disagreement, count = chi_square(plan, differences), len(plan.gauges)
    of_each = 0.5 * disagreement * (1.0 - _SCATTER**-2.0) - count * np.log(_SCATTER)
    mean = np.logaddexp.reduce(of_each) - np.log(len(_SCATTER))
    return float(mean + np.log(NONE_OF_THESE / (1.0 - NONE_OF_THESE)))


def _explained(
    bike: Bike, readings: FloatArray, found: Sequence[Fitted], shares: list[float]
) -> Ranking:
    """The fits as explanations, each with those that only add something to it."""
    alone: dict[tuple[str, int], float] = {}
    for one, share in zip(found, shares, strict=False):
        for cause in one.causes:
            alone[cause.name] = alone.get(cause.name, 0.0) + share
    stated = numbers(bike)
    every: dict[tuple[str, int], Cause] = {}
    kept: list[tuple[Explanation, float]] = []
    for one, share in zip(found, shares, strict=False):
        said = tuple(
            _cause(stated, readings, one, i, alone[cause.name])
            for i, cause in enumerate(one.causes)
        )
        for candidate, told in zip(one.causes, said, strict=True):
            every.setdefault(candidate.name, told)
        explanation = Explanation(causes=said, odds=share, left=one.left)
        _counted(kept, explanation, share)
    counted = [Explanation(causes=e.causes, odds=odds, left=e.left) for e, odds in kept]
    return Ranking(
        explanations=tuple(sorted(counted, key=lambda one: -one.odds)),
        causes=tuple(sorted(every.values(), key=lambda cause: -cause.odds)),
        none_of_these=shares[-1],
    )


def _counted(kept: list[tuple[Explanation, float]], new: Explanation, share: float) -> None:
    """Count an explanation with the likeliest one that it only adds to, or by itself."""
    for i, (before, odds) in enumerate(kept):
        if before.names <= new.names:
            kept[i] = (before, odds + share)
            return
    kept.append((new, share))


def _cause(
    stated: Mapping[str, Num], readings: FloatArray, one: Fitted, i: int, odds: float
) -> Cause:
    """One cause of a fit: a misread value is told by what it should read."""
    candidate, change = one.causes[i], float(one.changes[i])
    misread = candidate.kind == "misread"
    now = float(readings[candidate.place]) if misread else float(stated[candidate.key])
    change = -change if misread else change
    return Cause(
        kind=candidate.kind,
        key=candidate.key,
        reading=candidate.place if misread else None,
        now=now,
        then=now + change,
        change=change,
        spread=float(one.spreads[i]),
        odds=odds,
    )


def chi_square(plan: Plan, differences: FloatArray) -> float:
    """How much readings disagree with predictions, weighted: ``rᵀ S⁻¹ r``.

    Parameters
    ----------
    plan : Plan
    differences : array (m,) [mm, deg]
        Readings less predictions.

    Returns
    -------
    float
        m on average where nothing is wrong.

    Notes
    -----
    Source: generalised least squares, as in any text on adjustment of observations.

    Examples
    --------
    >>> from geometry.verify import Gauge
    >>> from geometry.verify.bench_plan import plan
    >>> from geometry.examples import trail_build
    >>> made = plan(Bike(build=trail_build()), [Gauge(key="trail", spread=2.0)], {})
    >>> chi_square(made, np.array([4.0]))
    4.0
    """
    return float(differences @ plan.inverse @ differences)


def rivals(ranked: Sequence[Explanation]) -> tuple[Explanation, ...]:
    """Explanations that the readings do not tell from the first of a ranking.

    Parameters
    ----------
    ranked : sequence of Explanation
        Most likely first.

    Returns
    -------
    tuple of Explanation
        Those with odds of more than 1 in `DECISIVE` against the first; empty
        when it stands alone.

    Examples
    --------
    One reading alone: a tyre, a fork or the reading itself may be to blame.

    >>> from geometry.verify import Gauge
    >>> from geometry.verify.bench_plan import plan
    >>> from geometry.examples import trail_build
    >>> bike = Bike(build=trail_build())
    >>> made = plan(bike, [Gauge(key="bb_height", spread=2.0)], {})
    >>> len(rivals(ranking(bike, made, made.predicted + 8.0).explanations)) > 1
    True
    """
    best = ranked[0].odds
    return tuple(one for one in ranked[1:] if one.odds * DECISIVE > best)


def combined(plan: Plan, differences: FloatArray) -> tuple[Estimate, ...]:
    """How far off every suspect would be if all may be off at once.

    Parameters
    ----------
    plan : Plan
    differences : array (m,) [mm, deg]
        Readings less predictions.

    Returns
    -------
    tuple of Estimate
        In the plan's order.

    Notes
    -----
    Weighted least squares with priors, T the squares of how far off each
    usually is, A the slopes: ``t = T Aᵀ (S + A T Aᵀ)⁻¹ r``, with covariance
    ``T − T Aᵀ (S + A T Aᵀ)⁻¹ A T``. Source: Gauss and Markov's estimate with
    prior information, as in any text on adjustment of observations.

    Examples
    --------
    >>> from geometry.verify import Gauge
    >>> from geometry.verify.bench_plan import plan
    >>> from geometry.examples import trail_build
    >>> bike = Bike(build=trail_build())
    >>> made = plan(bike, [Gauge(key="rear_radius", spread=0.5)], {}, {"build.rear_radius": 5.0})
    >>> found = combined(made, np.array([4.0]))[0]
    >>> round(found.change, 2), round(found.known, 2)
    (3.96, 0.99)
    """
    prior = np.diag(np.square(plan.scales))
    spread = plan.covariance + plan.effects @ prior @ plan.effects.T
    gain = prior @ plan.effects.T @ np.linalg.inv(spread)
    change = gain @ differences
    left = np.diag(prior - gain @ plan.effects @ prior)
    return tuple(
        Estimate(
            key=key,
            change=float(change[i]),
            spread=float(np.sqrt(max(left[i], 0.0))),
            usual=float(plan.scales[i]),
            known=float(1.0 - left[i] / plan.scales[i] ** 2),
        )
        for i, key in enumerate(plan.suspects)
    )
