"""Readings of a bike with their spreads, and the weights of repeated readings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from geometry.core import Checked, FloatArray, Num, number


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Gauge(Checked):
    """A figure or dimension that is to be read off a bike, and how well.

    Parameters
    ----------
    key : str
        A figure (``"wheelbase"``) or an input that can be measured by itself
        (``"fork.axle_to_crown"``), by its key in the glossary.
    spread : float [mm, deg]
        Standard deviation (1 σ) of the reading's error.
    """

    key: str
    spread: float = number("the figure's unit", above=0)


_FREE_WHEELS = {"build.front_radius": "front_radius", "build.rear_radius": "rear_radius"}
_SAME = 1e-9


def as_figures(gauges: Sequence[Gauge], values: Mapping[str, Num]) -> tuple[Gauge, ...]:
    """The readings, each by the figure that it is part of a relation as.

    Parameters
    ----------
    gauges : sequence of Gauge
    values : mapping of str to float [mm, deg]
        What can be read off the bike.

    Returns
    -------
    tuple of Gauge
        A wheel's free radius is its radius above the ground where no tyre is
        pressed in.

    Examples
    --------
    >>> radius = Gauge(key="build.rear_radius", spread=1.0)
    >>> same = {"build.rear_radius": 370.0, "rear_radius": 370.0}
    >>> as_figures([radius], same)[0].key
    'rear_radius'
    >>> as_figures([radius], {**same, "rear_radius": 362.0})[0].key
    'build.rear_radius'
    """
    return tuple(
        replace(gauge, key=figure)
        if figure is not None and abs(float(values[figure]) - float(values[gauge.key])) < _SAME
        else gauge
        for gauge in gauges
        for figure in [_FREE_WHEELS.get(gauge.key)]
    )


def relation_row(gauges: Sequence[Gauge], by: Mapping[str, float]) -> FloatArray:
    """A relation's slopes on the readings; repeated ones share it by their weights.

    Parameters
    ----------
    gauges : sequence of Gauge
        m readings.
    by : mapping of str to float [mm per unit]
        The relation's slopes by its figures.

    Returns
    -------
    array (m,) [mm per unit]

    Examples
    --------
    >>> twice = [Gauge(key="wheelbase", spread=2.0)] * 2
    >>> [float(slope) for slope in relation_row(twice, {"wheelbase": 1.0})]
    [0.5, 0.5]
    """
    row = np.zeros(len(gauges))
    for key, slope in by.items():
        row += slope * means(gauges, key)
    return row


def means(gauges: Sequence[Gauge], key: str) -> FloatArray:
    """Weights of the best mean of all readings of one figure.

    Parameters
    ----------
    gauges : sequence of Gauge
        m readings.
    key : str
        The figure; at least one of them must be of it.

    Returns
    -------
    array (m,)
        By the inverse squares of their spreads; 0 for other figures.

    Examples
    --------
    >>> coarse, fine = Gauge(key="trail", spread=2.0), Gauge(key="trail", spread=1.0)
    >>> [float(weight) for weight in means([coarse, fine], "trail")]
    [0.2, 0.8]
    """
    weights = np.array([gauge.spread**-2.0 if gauge.key == key else 0.0 for gauge in gauges])
    return np.asarray(weights / weights.sum(), dtype=np.float64)


def repeats(gauges: Sequence[Gauge]) -> list[tuple[int, FloatArray]]:
    """Every reading of a figure read more than once, against the mean of the others.

    Parameters
    ----------
    gauges : sequence of Gauge
        m readings.

    Returns
    -------
    list of (int, array (m,))
        The reading's place, and the weights whose sum over the readings
        [mm, deg] is how far it is from the mean of the others.

    Examples
    --------
    >>> twice = [Gauge(key="wheelbase", spread=2.0), Gauge(key="wheelbase", spread=2.0)]
    >>> [(place, row.tolist()) for place, row in repeats(twice)]
    [(0, [1.0, -1.0]), (1, [-1.0, 1.0])]
    """
    rows = []
    for i, gauge in enumerate(gauges):
        same = np.array([j != i and g.key == gauge.key for j, g in enumerate(gauges)])
        if same.any():
            weights = np.array([g.spread**-2.0 for g in gauges]) * same
            row = -weights / weights.sum()
            row[i] = 1.0
            rows.append((i, row))
    return rows
