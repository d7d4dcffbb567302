"""Which of some readings that contradict one another is at fault, before any drawing is asked.

Readings of wheelbase, rear centre and front centre make one length; of chainstay,
rear centre and BB drop a triangle. Where two such relations fail and share a
reading, or one fails whose other readings keep a second, the relations alone
point at the reading. Where a single one fails they cannot, and say so.

With g the gaps of all relations and W their slopes by the readings, whose own
errors are Σ, the relations see the readings through ``Wᵀ (W Σ Wᵀ)⁺ W`` in the
place of S⁻¹; sets of misread values are weighed as in `geometry.verify.bench_sets`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from geometry.core import FloatArray
from geometry.verify.bench_plan import Plan
from geometry.verify.bench_readings import relation_row, repeats
from geometry.verify.bench_sets import Weights, best_sets, candidates
from geometry.verify.relations import Gap

_TOGETHER = 2
"""Readings that may be misread together."""


def at_fault(plan: Plan, values: FloatArray, gaps: Sequence[Gap]) -> FloatArray:
    """How likely each reading is misread, by the relations among the readings alone.

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
    See the module. ``⁺`` is the pseudo-inverse: one relation may follow from others.

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
    sets = best_sets(weights, lambda _: True, _TOGETHER)
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
