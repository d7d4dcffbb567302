"""Relations that hold between the figures of any bicycle, however it is built.

Three lengths that make one triangle, two that make up a third: values that were
read off a bike or printed in a table can contradict one another without any
drawing being asked. A relation that needs a derived figure applies only where
the figure itself is not among the values, so that one contradiction is not
reported twice.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import cast

import numpy as np

from geometry.core import Num, cos, sin

STEP = 1e-30
"""Of complex steps: so small that nothing but the slope is left in the imaginary part."""
_ROUNDS = 30
_CLOSE = 1e-9
_FLAT = 1e-6


@dataclass(frozen=True, kw_only=True, slots=True)
class Relation:
    """One relation between figures.

    Parameters
    ----------
    name : str
        What the figures make up together.
    formula : str
        In the glossary's symbols.
    keys : tuple of str
        The figures it holds between, by their keys.
    gap : callable
        From a mapping of values to how far they are from agreeing [mm].
    instead_of : tuple of str
        Figures that, where known, make this relation needless.
    """

    name: str
    formula: str
    keys: tuple[str, ...]
    gap: Callable[[Mapping[str, Num]], Num]
    instead_of: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Gap:
    """How far some values are from agreeing with one another.

    Parameters
    ----------
    relation : Relation
    size : float [mm]
        Positive or negative; 0 when they agree.
    slopes : mapping of str to float
        Change of ``size`` with each value.
    """

    relation: Relation
    size: float
    slopes: Mapping[str, float]


def _hypotenuse(a: Num, b: Num) -> Num:
    return np.sqrt(a * a + b * b)


def _side(long: Num, b: Num) -> Num:
    """Other side of a right triangle, NaN where there is none."""
    square = long * long - b * b
    return np.sqrt(np.where(np.asarray(square).real > 0, square, np.nan))


def _rear_drop(v: Mapping[str, Num]) -> Num:
    return v["rear_radius"] - v["bb_height"]


def _front_drop(v: Mapping[str, Num]) -> Num:
    return v["front_radius"] - v["bb_height"]


_WHEELS = ("bb_height", "rear_radius")

RELATIONS: tuple[Relation, ...] = (
    Relation(
        name="triangle of chainstay, rear centre and BB drop",
        formula="CS² = RC² + D²",
        keys=("chainstay_length", "rear_centre", "bb_drop"),
        gap=lambda v: v["chainstay_length"] - _hypotenuse(v["rear_centre"], v["bb_drop"]),
    ),
    Relation(
        name="triangle of chainstay, rear centre, wheel radius and BB height",
        formula="CS² = RC² + (Rr − H)²",
        keys=("chainstay_length", "rear_centre", *_WHEELS),
        gap=lambda v: v["chainstay_length"] - _hypotenuse(v["rear_centre"], _rear_drop(v)),
        instead_of=("bb_drop",),
    ),
    Relation(
        name="triangle of the front centres and BB drop",
        formula="FCs² = FC² + Df²",
        keys=("front_centre_straight", "front_centre", "bb_drop_front"),
        gap=lambda v: (
            v["front_centre_straight"] - _hypotenuse(v["front_centre"], v["bb_drop_front"])
        ),
    ),
    Relation(
        name="triangle of the front centres, wheel radius and BB height",
        formula="FCs² = FC² + (Rf − H)²",
        keys=("front_centre_straight", "front_centre", "bb_height", "front_radius"),
        gap=lambda v: v["front_centre_straight"] - _hypotenuse(v["front_centre"], _front_drop(v)),
        instead_of=("bb_drop_front",),
    ),
    Relation(
        name="wheelbase from rear and front centre",
        formula="W = RC + FC",
        keys=("wheelbase", "rear_centre", "front_centre"),
        gap=lambda v: v["wheelbase"] - v["rear_centre"] - v["front_centre"],
    ),
    Relation(
        name="wheelbase from chainstay, BB drop and front centre",
        formula="W = sqrt(CS² − D²) + FC",
        keys=("wheelbase", "chainstay_length", "bb_drop", "front_centre"),
        gap=lambda v: (
            v["wheelbase"] - _side(v["chainstay_length"], v["bb_drop"]) - v["front_centre"]
        ),
        instead_of=("rear_centre",),
    ),
    Relation(
        name="wheelbase from chainstay and straight front centre",
        formula="W = sqrt(CS² − (Rr − H)²) + sqrt(FCs² − (Rf − H)²)",
        keys=("wheelbase", "chainstay_length", "front_centre_straight", *_WHEELS, "front_radius"),
        gap=lambda v: (
            v["wheelbase"]
            - _side(v["chainstay_length"], _rear_drop(v))
            - _side(v["front_centre_straight"], _front_drop(v))
        ),
        instead_of=("rear_centre", "front_centre"),
    ),
    Relation(
        name="BB height, BB drop and rear wheel radius",
        formula="H + D = Rr",
        keys=("bb_height", "bb_drop", "rear_radius"),
        gap=lambda v: v["bb_height"] + v["bb_drop"] - v["rear_radius"],
    ),
    Relation(
        name="BB height, BB drop to the front axle and front wheel radius",
        formula="H + Df = Rf",
        keys=("bb_height", "bb_drop_front", "front_radius"),
        gap=lambda v: v["bb_height"] + v["bb_drop_front"] - v["front_radius"],
    ),
    Relation(
        name="trail from head angle, wheel radius and fork offset",
        formula="T = (Rf cos HA − o) / sin HA",
        keys=("trail", "head_angle", "front_radius", "fork.offset"),
        gap=lambda v: (
            v["trail"]
            - (v["front_radius"] * cos(v["head_angle"]) - v["fork.offset"]) / sin(v["head_angle"])
        ),
    ),
    Relation(
        name="mechanical trail from trail and head angle",
        formula="Tm = T sin HA",
        keys=("mechanical_trail", "trail", "head_angle"),
        gap=lambda v: v["mechanical_trail"] - v["trail"] * sin(v["head_angle"]),
    ),
    Relation(
        name="mechanical trail from head angle, wheel radius and fork offset",
        formula="Tm = Rf cos HA − o",
        keys=("mechanical_trail", "head_angle", "front_radius", "fork.offset"),
        gap=lambda v: (
            v["mechanical_trail"] - v["front_radius"] * cos(v["head_angle"]) + v["fork.offset"]
        ),
        instead_of=("trail",),
    ),
    Relation(
        name="wheel flop from mechanical trail and head angle",
        formula="F = Tm cos HA",
        keys=("wheel_flop", "mechanical_trail", "head_angle"),
        gap=lambda v: v["wheel_flop"] - v["mechanical_trail"] * cos(v["head_angle"]),
    ),
    Relation(
        name="triangle of grips and rear axle",
        formula="GRs² = GR² + (GH − Rr)²",
        keys=("grips_to_rear_axle_straight", "grips_to_rear_axle", "grip_height", "rear_radius"),
        gap=lambda v: (
            v["grips_to_rear_axle_straight"]
            - _hypotenuse(v["grips_to_rear_axle"], v["grip_height"] - v["rear_radius"])
        ),
    ),
    Relation(
        name="wheelbase from rear centre and straight front centre",
        formula="W = RC + sqrt(FCs² − (Rf − H)²)",
        keys=("wheelbase", "rear_centre", "front_centre_straight", "bb_height", "front_radius"),
        gap=lambda v: (
            v["wheelbase"] - v["rear_centre"] - _side(v["front_centre_straight"], _front_drop(v))
        ),
        instead_of=("front_centre",),
    ),
)
"""Relations of plane geometry, each told in millimetres."""


def gaps(values: Mapping[str, float]) -> list[Gap]:
    """How far some values are from agreeing with one another, relation by relation.

    Parameters
    ----------
    values : mapping of str to float [mm, deg]
        Any figures, by their keys in the glossary.

    Returns
    -------
    list of Gap
        Of every relation whose figures are all given; a relation that the
        values make impossible (a chainstay shorter than the drop) has a size
        of infinity and no slopes.

    Notes
    -----
    Slopes by complex step. Source: plane geometry; trail after Moore, Human
    Control of a Bicycle, UC Davis 2012, chapter Physical Parameters.

    Examples
    --------
    >>> found = gaps({"wheelbase": 1175.0, "rear_centre": 415.0, "front_centre": 750.0})
    >>> found[0].relation.formula, found[0].size
    ('W = RC + FC', 10.0)
    """
    return [_gap(relation, values) for relation in RELATIONS if applies(relation, values)]


def applies(relation: Relation, values: Mapping[str, Num]) -> bool:
    """Whether a relation's figures are known, and nothing makes it needless.

    Parameters
    ----------
    relation : Relation
    values : mapping of str to float [mm, deg]
        Figures, by their keys; only which ones there are matters.

    Returns
    -------
    bool

    Examples
    --------
    >>> applies(RELATIONS[4], {"wheelbase": 1175.0, "rear_centre": 425.0})
    False
    """
    known = all(key in values for key in relation.keys)
    return known and not any(key in values for key in relation.instead_of)


def stepped_from(value: Num) -> Num:
    """A number a complex step further on, which formulas take as they take any other.

    Parameters
    ----------
    value : float or array [any unit]

    Returns
    -------
    complex or array of complex [the same unit]

    Examples
    --------
    >>> stepped_from(2.0)
    (2+1e-30j)
    """
    return cast("Num", value + 1j * STEP)


def _gap(relation: Relation, values: Mapping[str, float]) -> Gap:
    size = float(np.asarray(relation.gap(values)).real)
    if not np.isfinite(size):
        return Gap(relation=relation, size=np.inf, slopes=dict.fromkeys(relation.keys, 0.0))
    return Gap(relation=relation, size=size, slopes=slopes(relation, values))


def slopes(relation: Relation, values: Mapping[str, float]) -> dict[str, float]:
    """Change of a relation's gap with each of its values.

    Parameters
    ----------
    relation : Relation
    values : mapping of str to float [mm, deg]

    Returns
    -------
    dict of str to float [mm per mm, mm per degree]

    Examples
    --------
    >>> values = {"wheelbase": 1175.0, "rear_centre": 425.0, "front_centre": 750.0}
    >>> slopes(RELATIONS[4], values)["rear_centre"]
    -1.0
    """
    stepped = ((key, {**values, key: stepped_from(values[key])}) for key in relation.keys)
    return {key: float(np.asarray(relation.gap(twin)).imag) / STEP for key, twin in stepped}


def mended(relation: Relation, values: Mapping[str, float], key: str) -> float | None:
    """The value of one figure that would make it agree with the others.

    Parameters
    ----------
    relation : Relation
    values : mapping of str to float [mm, deg]
    key : str
        The figure to change.

    Returns
    -------
    float or None [mm, deg]
        ``None`` where no value would do.

    Notes
    -----
    Newton's method on the relation, from the value found.

    Examples
    --------
    >>> values = {"wheelbase": 1175.0, "rear_centre": 415.0, "front_centre": 750.0}
    >>> mended(RELATIONS[4], values, "rear_centre")
    425.0
    """
    trial = dict(values)
    for _ in range(_ROUNDS):
        gap = float(np.asarray(relation.gap(trial)).real)
        slope = slopes(relation, trial)[key] if np.isfinite(gap) else 0.0
        if abs(gap) < _CLOSE:
            return trial[key]
        if abs(slope) < _FLAT:
            return None
        trial[key] -= gap / slope
    return None
