"""Sets of causes fitted to readings on the exact geometry, bikes side by side.

What a set is and how it is weighed is told in `geometry.verify.bench_sets`; here the
best of them are fitted again with the solver itself (Gauss and Newton on the misfit
and the priors together), and weighed by Laplace's integral about the fit. What cannot
be is left out: an axle outside its slot, a fork longer than unloaded, an input farther
off than `FARTHEST` times its usual size.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from geometry.bike import Bike, moved, numbers
from geometry.core import FloatArray
from geometry.verify.bench_plan import Plan, observed
from geometry.verify.bench_sets import (
    MOST_CAUSES,
    Candidate,
    IndexArray,
    Weights,
    best_sets,
)

FARTHEST = 5.0
"""An input farther off than so many times its usual size is no explanation [CP]: a fork
that is usually 10 mm off when it is off is not 150 mm longer."""

_ROUNDS = 5
_SLACK = 2.0  # σ by which an estimate may lie beyond what can be

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


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Fitted:
    """A set of causes fitted together on the exact geometry.

    Parameters
    ----------
    causes : tuple of Candidate
    changes : array (n,) [mm, deg]
        How far off each is: what was added to the reading, or to the input.
    spreads : array (n,) [mm, deg]
        Standard deviations of the changes.
    left : float
        The readings' disagreement (a chi-square) that it leaves.
    evidence : float
        Logarithm of how likely the set is, up to a constant of all sets.
    """

    causes: tuple[Candidate, ...]
    changes: FloatArray
    spreads: FloatArray
    left: float
    evidence: float


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class _Bench:
    """The readings and their bike."""

    bike: Bike
    plan: Plan
    readings: FloatArray
    weights: Weights


def fitted(
    bike: Bike,
    plan: Plan,
    readings: FloatArray,
    accepts: Callable[[Sequence[Candidate]], bool] = lambda _: True,
    most: int = MOST_CAUSES,
) -> list[Fitted]:
    """The sets of causes that explain some readings best, fitted on the exact geometry.

    Parameters
    ----------
    bike : Bike
        As it should have been built.
    plan : Plan
        What the readings can tell.
    readings : array (m,) [mm, deg]
    accepts : callable
        Whether a set is to be looked at; all are if not given.
    most : int
        Causes in a set, at most.

    Returns
    -------
    list of Fitted
        Most likely first; without those that cannot be (an axle outside its
        slot, a fork longer than unloaded, an input farther off than
        `FARTHEST` times its usual size).

    Notes
    -----
    Weights as in `geometry.verify.bench_sets`; see the module.

    Examples
    --------
    >>> from geometry.verify import Gauge
    >>> from geometry.verify.bench_plan import plan
    >>> from geometry.examples import trail_build
    >>> bike = Bike(build=trail_build())
    >>> keys = ("front_radius", "rear_radius", "bb_height", "wheelbase", "head_angle")
    >>> made = plan(bike, [Gauge(key=key, spread=1.0) for key in keys], {})
    >>> read = observed(moved(bike, {"build.front_radius": -9.0, "build.rear_radius": 8.0}))
    >>> best = fitted(bike, made, np.array([read[key] for key in keys]))[0]
    >>> [(one.key, round(float(change))) for one, change in zip(best.causes, best.changes)]
    [('build.front_radius', -9), ('build.rear_radius', 8)]
    """
    weights = Weights.of(plan, readings - plan.predicted)
    bench = _Bench(bike=bike, plan=plan, readings=readings, weights=weights)
    found: list[Fitted] = []
    for sets in best_sets(weights, accepts, most):
        found += _exactly(bench, sets)
    return _merged(found)


def _exactly(bench: _Bench, sets: IndexArray) -> list[Fitted]:
    """Sets fitted on the exact geometry, side by side."""
    plan, weights = bench.plan, bench.weights
    precision = weights.precision(sets)
    spreads = np.sqrt(np.diagonal(np.linalg.inv(precision), axis1=1, axis2=2))
    least, most = _bounds(bench.bike, weights.every)
    least, most, scales = least[sets], most[sets], weights.scales[sets]
    wanted = change = np.zeros(sets.shape)
    for _ in range(_ROUNDS):
        left = _left(bench, sets, change)
        slope = _pulled(plan, weights, sets, left) - change / scales**2
        wanted = change + np.linalg.solve(precision, slope[:, :, None])[:, :, 0]
        change = np.clip(wanted, least, most)
    left = _left(bench, sets, change)
    chi = np.einsum("hi,ij,hj->h", left, plan.inverse, left)
    before = bench.readings - plan.predicted
    gain = 0.5 * (
        float(before @ plan.inverse @ before) - chi - ((change / scales) ** 2).sum(axis=1)
    )
    evidence = gain - weights.price(sets, precision)
    possible = (np.abs(wanted - change) <= _SLACK * spreads).all(axis=1) & np.isfinite(evidence)
    possible &= (change != 0.0).all(axis=1)  # held at 0: the set without it is fitted separately
    return [
        Fitted(
            causes=tuple(weights.every[i] for i in sets[h]),
            changes=change[h],
            spreads=spreads[h],
            left=float(chi[h]),
            evidence=float(evidence[h]),
        )
        for h in np.flatnonzero(possible)
    ]


def _pulled(plan: Plan, weights: Weights, sets: IndexArray, left: FloatArray) -> FloatArray:
    """Aᵀ S⁻¹ of what is left, of every set (h, n)."""
    all_of_them = left @ plan.inverse @ weights.slopes
    return np.asarray(np.take_along_axis(all_of_them, sets, axis=1))


def _left(bench: _Bench, sets: IndexArray, change: FloatArray) -> FloatArray:
    """Differences (h, m) that every set leaves, on the exact geometry."""
    gauges = bench.plan.gauges
    misread = np.zeros((len(sets), len(gauges)))
    inputs: dict[str, FloatArray] = {}
    for column in range(sets.shape[1]):
        for i in np.unique(sets[:, column]):
            one, rows = bench.weights.every[i], np.flatnonzero(sets[:, column] == i)
            if one.kind == "misread":
                misread[rows, one.place] += change[rows, column]
            else:
                inputs.setdefault(one.key, np.zeros(len(sets)))[rows] += change[rows, column]
    with np.errstate(invalid="ignore"):  # a bike that cannot stand gives NaN, and is left out
        values = observed(moved(bench.bike, dict(inputs)))
    read = [np.broadcast_to(np.asarray(values[g.key]), len(sets)) for g in gauges]
    return np.asarray(bench.readings - misread - np.stack(read, axis=1))


def _bounds(bike: Bike, every: Sequence[Candidate]) -> tuple[FloatArray, FloatArray]:
    """Least and most each may be off: the slot's ends, no negative length where there can be
    none, and nothing absurd."""
    has, slot = numbers(bike), float(bike.build.frame.slot_length)
    least = np.full(len(every), -np.inf)
    most = np.full(len(every), np.inf)
    for i, one in enumerate(every):
        if one.kind == "misread":
            continue
        value = float(has[one.key])
        least[i], most[i] = -FARTHEST * one.scale, FARTHEST * one.scale
        if one.key in _NEVER_NEGATIVE:
            least[i] = max(least[i], -value)
        if one.key == "build.slot_position":
            least[i], most[i] = max(least[i], -value), min(most[i], slot - value)
    return least, most


def _merged(found: Sequence[Fitted]) -> list[Fitted]:
    """One entry for every set of causes, however large each was taken to be; most likely first."""
    together: dict[frozenset[tuple[str, int]], list[Fitted]] = {}
    for one in found:
        together.setdefault(frozenset(c.name for c in one.causes), []).append(one)
    merged = []
    for same in together.values():
        best = max(same, key=lambda one: one.evidence)
        total = float(np.logaddexp.reduce([one.evidence for one in same]))
        merged.append(replace(best, evidence=total))
    return sorted(merged, key=lambda one: -one.evidence)
