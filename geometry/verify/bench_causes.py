"""What may be wrong with a bike or its readings, ranked; and when it cannot be told.

Each cause is fitted alone: by how much would it have to be off, and how much of
the disagreement would that explain. A misread value explains one reading; a
tyre radius, a fork length or an axle position moves several readings in
proportions that the geometry fixes. Causes are weighed by how likely the
readings are under each, given how far off such things usually are; where the
best is less than `DECISIVE` times as likely as another, the data do not tell
them apart, and the report says so.

The combined fit lets every suspect be off at once, each held by how far off it
usually is. It says how much the readings know of each, not which one it was.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from geometry.bike import Bike, moved, numbers
from geometry.core import FloatArray, GeometryError
from geometry.verify.bench_plan import Plan, observed

DECISIVE = 20.0
"""How many times as likely one cause must make the readings to be told from another."""

MISREADING = 10.0
"""How far off a misread value is when it is, in the reading's own σ (one standard
deviation). Common practice: a slipped digit or line is many times the usual error."""

_NEVER_NEGATIVE = frozenset(
    {
        "state.fork_compression",
        "state.front_deflection",
        "state.rear_deflection",
        "build.lower_headset_stack",
        "cockpit.spacers",
        "stem.length",
    }
)

_ROUNDS = 4
_LIMIT = 1e-12


@dataclass(frozen=True, kw_only=True, slots=True)
class Cause:
    """One thing that may be wrong, fitted alone.

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
    explains : float
        How much of the readings' disagreement (a chi-square) it takes away.
    odds : float
        Its share, 0 to 1, of how likely the readings are under all the causes.
    """

    kind: Literal["misread", "off"]
    key: str
    reading: int | None
    now: float
    then: float
    change: float
    spread: float
    explains: float
    odds: float


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


@dataclass(frozen=True, kw_only=True, slots=True)
class _Fit:
    """A cause before it is weighed against the others."""

    kind: Literal["misread", "off"]
    key: str
    reading: int | None
    now: float
    change: float
    information: float
    explains: float
    scale: float

    @property
    def evidence(self) -> float:
        """Logarithm of how likely the readings are, averaged over how far off it may be.

        ``½ w² g − ½ ln(1 + τ² I)`` with ``g = τ² I / (1 + τ² I)``, the normal
        integral over a change of standard deviation τ.
        """
        gain = self.scale**2 * self.information
        return 0.5 * self.explains * gain / (1.0 + gain) - 0.5 * float(np.log1p(gain))


def causes(bike: Bike, plan: Plan, readings: FloatArray) -> list[Cause]:
    """Everything that could explain the readings alone, most likely first.

    Parameters
    ----------
    bike : Bike
        As it should have been built.
    plan : Plan
        What the readings can tell.
    readings : array (m,) [mm, deg]

    Returns
    -------
    list of Cause
        Impossible ones (an axle outside its slot, a fork longer than unloaded)
        are left out.

    Notes
    -----
    Weighted least squares with one unknown: ``t = aᵀ S⁻¹ r / aᵀ S⁻¹ a``, which
    takes ``(aᵀ S⁻¹ r)² / aᵀ S⁻¹ a`` off the chi-square; for inputs repeated on
    the exact geometry (Gauss and Newton).

    Examples
    --------
    >>> from geometry.verify import Gauge
    >>> from geometry.verify.bench_plan import plan
    >>> from geometry.examples import trail_build
    >>> keys = ("bb_height", "wheelbase", "chainstay_length", "trail", "front_centre")
    >>> bike = Bike(build=trail_build())
    >>> made = plan(bike, [Gauge(key=key, spread=1.0) for key in keys], {})
    >>> wrong = made.predicted + [0.0, 10.0, 0.0, 0.0, 0.0]
    >>> best = causes(bike, made, wrong)[0]
    >>> best.kind, best.key, round(best.change)
    ('misread', 'wheelbase', -10)
    """
    differences = readings - plan.predicted
    fits = [_misread(plan, readings, differences, i) for i in range(len(plan.gauges))]
    for i in range(len(plan.suspects)):
        fit = _off(bike, plan, readings, i)
        if fit is not None:
            fits.append(fit)
    return _weighed(fits)


def _misread(plan: Plan, readings: FloatArray, differences: FloatArray, i: int) -> _Fit:
    """One misread value: the reading itself is free."""
    information = float(plan.inverse[i, i])
    pull = float(plan.inverse[i] @ differences)
    return _Fit(
        kind="misread",
        key=plan.gauges[i].key,
        reading=i,
        now=float(readings[i]),
        change=-pull / information,
        information=information,
        explains=pull**2 / information,
        scale=MISREADING * plan.gauges[i].spread,
    )


def _off(bike: Bike, plan: Plan, readings: FloatArray, i: int) -> _Fit | None:
    """One input off, fitted on the exact geometry; ``None`` where it cannot be."""
    key, effect = plan.suspects[i], plan.effects[:, i]
    information = float(effect @ plan.inverse @ effect)
    if information < _LIMIT:
        return None
    change = _change(bike, plan, readings, i, information)
    if change is None or not _possible(bike, key, change):
        return None
    before = readings - plan.predicted
    after = readings - _readings(moved(bike, {key: change}), plan)
    return _Fit(
        kind="off",
        key=key,
        reading=None,
        now=float(numbers(bike)[key]),
        change=change,
        information=information,
        explains=chi_square(plan, before) - chi_square(plan, after),
        scale=float(plan.scales[i]),
    )


def _change(
    bike: Bike, plan: Plan, readings: FloatArray, i: int, information: float
) -> float | None:
    """How far off an input would be, by Gauss and Newton; ``None`` where no such bike stands."""
    key, weights = plan.suspects[i], plan.effects[:, i] @ plan.inverse
    change = 0.0
    try:
        with np.errstate(invalid="ignore"):  # a bike that cannot be gives NaN, see below
            for _ in range(_ROUNDS):
                left = readings - _readings(moved(bike, {key: change}), plan)
                change += float(weights @ left) / information
    except GeometryError:
        return None
    return change if np.isfinite(change) else None


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


def _readings(bike: Bike, plan: Plan) -> FloatArray:
    """What a bike would read on the plan's gauges."""
    values = observed(bike)
    return np.array([values[gauge.key] for gauge in plan.gauges], dtype=np.float64)


def _possible(bike: Bike, key: str, change: float) -> bool:
    """Whether an input may be what a fit makes of it: the slot's ends, no negative
    length where there can be none, and a bike that still stands."""
    value = float(numbers(bike)[key]) + change
    slot = float(bike.build.frame.slot_length)
    if key in _NEVER_NEGATIVE and value < 0.0:
        return False
    if key == "build.slot_position" and not 0.0 <= value <= slot:
        return False
    twin = moved(bike, {key: change})
    try:
        Bike(build=twin.build, state=twin.state)
    except GeometryError:
        return False
    return True


def _weighed(fits: Sequence[_Fit]) -> list[Cause]:
    """Causes with their odds, most likely first."""
    evidence = np.array([fit.evidence for fit in fits])
    shares = np.exp(evidence - evidence.max())
    shares /= shares.sum()
    found = [
        Cause(
            kind=fit.kind,
            key=fit.key,
            reading=fit.reading,
            now=fit.now,
            then=fit.now + fit.change,
            change=fit.change,
            spread=fit.information**-0.5,
            explains=fit.explains,
            odds=float(share),
        )
        for fit, share in zip(fits, shares, strict=True)
    ]
    return sorted(found, key=lambda cause: -cause.odds)


def rivals(ranked: Sequence[Cause]) -> tuple[Cause, ...]:
    """Causes that the readings do not tell from the first of a ranking.

    Parameters
    ----------
    ranked : sequence of Cause
        Most likely first.

    Returns
    -------
    tuple of Cause
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
    >>> len(rivals(causes(bike, made, made.predicted + 8.0))) > 1
    True
    """
    best = ranked[0].odds
    return tuple(cause for cause in ranked[1:] if cause.odds * DECISIVE > best)


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
