"""Sets of causes weighed by how likely they make the readings, on the slopes.

A cause is a reading that was misread or an input of the bike that is not as
stated. A set of one to `MOST_CAUSES` of them is judged by how likely it makes
the readings, averaged over how far off each may be. With r the differences
between readings and predictions, S their covariance where nothing is wrong, A
the slopes of the set's causes and T the squares of how far off each usually is,

    ln evidence = ½ rᵀ S⁻¹ A P⁻¹ Aᵀ S⁻¹ r − ½ ln det(P T),   P = T⁻¹ + Aᵀ S⁻¹ A,

to which the logarithm of how often such a set is met is added. The second term
is the price of a cause: one that could explain anything explains nothing well.
All sets are weighed on the slopes; the best are fitted again on the exact
geometry, bikes side by side (Gauss and Newton; the integral by Laplace).

Sources: MacKay, Information Theory, Inference, and Learning Algorithms,
Cambridge 2003, chapter 28 (evidence, and the price of a cause) [M]; Gauss and
Markov's estimate with prior information, as in any text on adjustment.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from geometry.core import FloatArray
from geometry.verify.bench_plan import Plan
from geometry.verify.bench_readings import relation_row, repeats
from geometry.verify.relations import Gap

MOST_CAUSES = 3
"""Causes that are looked for together, at most."""

PRESENT = 0.03
"""How often any one cause is met on a bike that raised the alarm [CP]: a second one must
make the readings about thirty times as likely before it is believed."""

TOGETHER = frozenset({"build.front_radius", "build.rear_radius"})
"""Inputs that are off together as often as one cause alone is met [CP]: whoever fits other
tyres mostly fits them at both ends."""

MISREADING = (10.0, 100.0)
"""How far off a misread value is when it is, in the reading's own σ (one standard
deviation): a slip by a few lines of the tape, or by a digit. Common practice."""

_BEAM = 60  # sets of one size from which larger ones are grown
_KEPT = 240  # sets of one size that are kept
_LIMIT = 1e-12
_ODDS = float(np.log(PRESENT / (1.0 - PRESENT)))

IndexArray = NDArray[np.intp]


@dataclass(frozen=True, kw_only=True, slots=True)
class Candidate:
    """One thing that may be wrong.

    Parameters
    ----------
    kind : {"misread", "off"}
    key : str
        Reading or input, by its key in the glossary.
    place : int
        Among the plan's gauges, or its suspects.
    scale : float [mm, deg]
        How far off it usually is when it is (one standard deviation).
    present : float
        How often it is met, 0 to 1.
    """

    kind: Literal["misread", "off"]
    key: str
    place: int
    scale: float
    present: float

    @property
    def name(self) -> tuple[str, int]:
        """What it is, however large."""
        return self.kind, self.place


def candidates(plan: Plan) -> tuple[Candidate, ...]:
    """Everything that may be wrong, one by one.

    Parameters
    ----------
    plan : Plan

    Returns
    -------
    tuple of Candidate
        Each reading twice, misread by a little and by a lot, then the suspects.

    Notes
    -----
    Common practice; see `MISREADING` and `PRESENT`.

    Examples
    --------
    >>> from geometry.verify import Gauge
    >>> from geometry.verify.bench_plan import plan
    >>> from geometry.bike import Bike
    >>> from geometry.examples import trail_build
    >>> made = plan(Bike(build=trail_build()), [Gauge(key="trail", spread=2.0)], {})
    >>> [(one.key, one.scale) for one in candidates(made)[:2]]
    [('trail', 20.0), ('trail', 200.0)]
    """
    read = [
        Candidate(
            kind="misread",
            key=gauge.key,
            place=i,
            scale=times * gauge.spread,
            present=PRESENT / len(MISREADING),
        )
        for i, gauge in enumerate(plan.gauges)
        for times in MISREADING
    ]
    off = [
        Candidate(kind="off", key=key, place=i, scale=float(scale), present=PRESENT)
        for i, (key, scale) in enumerate(zip(plan.suspects, plan.scales, strict=True))
        if float(plan.effects[:, i] @ plan.inverse @ plan.effects[:, i]) > _LIMIT
    ]
    return (*read, *off)


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Weights:
    """What every set of causes is weighed by, on the slopes alone.

    Parameters
    ----------
    every : tuple of Candidate
        n causes.
    slopes : array (m, n) [mm or deg per unit]
        Of the readings by each.
    information : array (n, n)
        ``Aᵀ S⁻¹ A``.
    pull : array (n,)
        ``Aᵀ S⁻¹ r``.
    scales : array (n,) [mm, deg]
        How far off each usually is.
    present : array (n,)
        Logarithm of the odds that it is there.
    together : array (n,)
        1 for those of `TOGETHER`, 0 for the others.
    """

    every: tuple[Candidate, ...]
    slopes: FloatArray
    information: FloatArray
    pull: FloatArray
    scales: FloatArray
    present: FloatArray
    together: FloatArray

    @classmethod
    def of(cls, plan: Plan, differences: FloatArray) -> Weights:
        """Of readings' differences (m,) from their predictions."""
        return cls.by(plan, candidates(plan), plan.inverse, plan.inverse @ differences)

    @classmethod
    def by(
        cls, plan: Plan, every: tuple[Candidate, ...], inverse: FloatArray, pull: FloatArray
    ) -> Weights:
        """Of some causes, by any S⁻¹ (m, m) and S⁻¹ r (m,)."""
        slopes = np.zeros((len(plan.gauges), len(every)))
        for i, one in enumerate(every):
            if one.kind == "misread":
                slopes[one.place, i] = 1.0
            else:
                slopes[:, i] = plan.effects[:, one.place]
        met = np.array([one.present for one in every])
        return cls(
            every=every,
            slopes=slopes,
            information=slopes.T @ inverse @ slopes,
            pull=slopes.T @ pull,
            scales=np.array([one.scale for one in every]),
            present=np.log(met / (1.0 - met)),
            together=np.array([float(one.key in TOGETHER) for one in every]),
        )

    def precision(self, sets: IndexArray) -> FloatArray:
        """P of every set (h, n, n)."""
        found = self.information[sets[:, :, None], sets[:, None, :]].copy()
        size = sets.shape[1]
        found[:, range(size), range(size)] += self.scales[sets] ** -2.0
        return found

    def price(self, sets: IndexArray, precision: FloatArray) -> FloatArray:
        """What a set's causes cost (h,): ``½ ln det(P T)``, less how often they are met."""
        logarithm = np.linalg.slogdet(precision)[1] + 2.0 * np.log(self.scales[sets]).sum(axis=1)
        once_only = np.maximum(self.together[sets].sum(axis=1) - 1.0, 0.0) * _ODDS
        return np.asarray(0.5 * logarithm - self.present[sets].sum(axis=1) + once_only)

    def evidence(self, sets: IndexArray) -> FloatArray:
        """Logarithm of how likely every set (h, n) is, on the slopes."""
        precision, pull = self.precision(sets), self.pull[sets]
        change = np.linalg.solve(precision, pull[:, :, None])[:, :, 0]
        return np.asarray(0.5 * (pull * change).sum(axis=1) - self.price(sets, precision))


def best_sets(
    weights: Weights, accepts: Callable[[Sequence[Candidate]], bool], most: int
) -> list[IndexArray]:
    """The best sets of causes on the slopes.

    Parameters
    ----------
    weights : Weights
    accepts : callable
        Whether a set is to be looked at.
    most : int
        Causes in a set, at most.

    Returns
    -------
    list of array (h, n)
        For every size n places among ``weights.every``, best first; all pairs are
        weighed, larger sets grown from the best pairs.
    """
    count = len(weights.every)
    grown = np.arange(count)[:, None]
    kept = []
    for size in range(1, most + 1):
        if size == 2:  # noqa: PLR2004  # all pairs: two causes may each look like nothing alone
            grown = np.array(list(combinations(range(count), 2)), dtype=np.intp)
        elif size > 2:  # noqa: PLR2004
            grown = np.unique(np.sort(_grown(grown[:_BEAM], count), axis=1), axis=0)
        grown = grown[_apart(weights, grown)]
        if not len(grown):
            break
        grown = grown[np.argsort(-weights.evidence(grown), kind="stable")]
        taken = [row for row in grown if accepts([weights.every[i] for i in row])]
        if taken:
            kept.append(np.array(taken[:_KEPT]))
    return kept


def _grown(sets: IndexArray, count: int) -> IndexArray:
    """Every set with every further cause."""
    with_one = [np.append(row, i) for row in sets for i in range(count) if i not in row]
    return np.array(with_one, dtype=np.intp).reshape(-1, sets.shape[1] + 1)


def _apart(weights: Weights, sets: IndexArray) -> NDArray[np.bool_]:
    """Which sets name no cause twice."""
    names = {one.name: i for i, one in enumerate(weights.every)}
    of = np.array([names[one.name] for one in weights.every])[sets]
    ordered = np.sort(of, axis=1)
    return np.asarray((np.diff(ordered, axis=1) != 0).all(axis=1))


_READINGS_TOGETHER = 2
"""Readings that may be misread together."""


def at_fault(plan: Plan, values: FloatArray, gaps: Sequence[Gap]) -> FloatArray:
    """How likely each reading is misread, by the relations among the readings alone.

    Two relations that fail and share a reading point at it, and so does one that
    fails whose other readings keep a second; a single one cannot tell, and says so.

    Parameters
    ----------
    plan : Plan
    values : array (m,) [mm, deg]
        The readings.
    gaps : sequence of Gap
        Of every relation among them.

    Returns
    -------
    array (m,)
        0 to 1, on the assumption that one or two of them are; all 0 where no
        relation holds between them.

    Notes
    -----
    With g the gaps of all relations and W their slopes by the readings, whose own
    errors are Σ, the relations see the readings through ``Wᵀ (W Σ Wᵀ)⁺ W`` in the
    place of S⁻¹; sets of misread values are weighed as all others. ``⁺`` is the
    pseudo-inverse: one relation may follow from others.

    Examples
    --------
    The rear centre stands in both relations that fail.

    >>> import numpy as np
    >>> from geometry.bike import Bike
    >>> from geometry.examples import trail_build
    >>> from geometry.verify import Gauge
    >>> from geometry.verify.bench_plan import plan
    >>> from geometry.verify.relations import gaps
    >>> keys = ("chainstay_length", "bb_drop", "rear_centre", "front_centre", "wheelbase")
    >>> made = plan(Bike(build=trail_build()), [Gauge(key=key, spread=1.0) for key in keys], {})
    >>> values = made.predicted + [0.0, 0.0, 9.0, 0.0, 0.0]
    >>> found = at_fault(made, values, gaps(dict(zip(keys, values))))
    >>> keys[int(found.argmax())], bool(found.max() > 0.9)
    ('rear_centre', True)
    """
    rows, sizes = _rows(plan, values, gaps)
    found = np.zeros(len(plan.gauges))
    if not len(rows):
        return found
    covariance = rows @ np.diag(plan.spreads**2) @ rows.T
    seen = rows.T @ np.linalg.pinv(covariance, hermitian=True)
    misread = tuple(one for one in candidates(plan) if one.kind == "misread")
    weights = Weights.by(plan, misread, seen @ rows, seen @ sizes)
    sets = best_sets(weights, lambda _: True, _READINGS_TOGETHER)
    evidence = [weights.evidence(some) for some in sets]
    highest = max(float(some.max()) for some in evidence)
    total = 0.0
    for some, known in zip(sets, evidence, strict=True):
        shares = np.exp(known - highest)
        total += float(shares.sum())
        for row, share in zip(some, shares, strict=True):
            for i in row:
                found[misread[i].place] += share
    return found / total


def _rows(plan: Plan, values: FloatArray, gaps: Sequence[Gap]) -> tuple[FloatArray, FloatArray]:
    """Slopes (q, m) and sizes (q,) of all that the readings can contradict one another in."""
    possible = [gap for gap in gaps if np.isfinite(gap.size)]
    rows = [relation_row(plan.figures, gap.slopes) for gap in possible]
    sizes = [gap.size for gap in possible]
    for _, row in repeats(plan.figures):
        rows.append(row)
        sizes.append(float(row @ values))
    return np.array(rows).reshape(-1, len(plan.gauges)), np.array(sizes)


def blamed(plan: Plan, keys: Sequence[str], found: FloatArray) -> Mapping[str, float]:
    """How likely each figure of a contradiction is misread, likeliest first.

    Parameters
    ----------
    plan : Plan
    keys : sequence of str
        The figures of the contradiction.
    found : array (m,) [ratio, 0 to 1]
        As `at_fault`.

    Returns
    -------
    mapping of str to float [ratio, 0 to 1]
        Of a figure read more than once, the likeliest of its readings.

    Notes
    -----
    Taken from `at_fault`.

    Examples
    --------
    >>> from geometry.bike import Bike
    >>> from geometry.examples import trail_build
    >>> from geometry.verify import Gauge
    >>> from geometry.verify.bench_plan import plan
    >>> twice = [Gauge(key=key, spread=1.0) for key in ("trail", "reach", "trail")]
    >>> made = plan(Bike(build=trail_build()), twice, {})
    >>> blamed(made, ("reach", "trail"), np.array([0.2, 0.1, 0.7]))
    {'trail': 0.7, 'reach': 0.1}
    """
    of = {
        key: max(float(found[i]) for i, gauge in enumerate(plan.figures) if gauge.key == key)
        for key in keys
    }
    return dict(sorted(of.items(), key=lambda one: -one[1]))
