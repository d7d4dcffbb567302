"""Drawn dimensions that a table leaves out, from those it states: one triangle or the loop."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from geometry.core import cos, degrees, sin

Values = Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Missing:
    """One way to a dimension: which it is, what it takes, and how it follows."""

    key: str
    takes: tuple[str, ...]
    formula: str
    value: Callable[[Values], float]


def _side(long: float, other: float) -> float:
    square = long * long - other * other
    return float(np.sqrt(square)) if square > 0 else np.nan


def _along(v: Values) -> float:
    return v["head_tube_length"] + v["lower_headset_stack"] + v["axle_to_crown"]


def _level(v: Values) -> float:
    """From the head tube's top to the front axle, level."""
    return float(_along(v) * cos(v["head_angle"]) + v["offset"] * sin(v["head_angle"]))


def _upright(v: Values) -> float:
    """From the front axle up to the head tube's top."""
    return float(_along(v) * sin(v["head_angle"]) - v["offset"] * cos(v["head_angle"]))


def _head_angle(v: Values) -> float:
    reach = float(np.hypot(_along(v), v["offset"]))
    share = (v["stack"] - v["bb_drop"]) / reach
    if abs(share) >= 1:
        return np.nan
    return float(degrees(np.arcsin(share) + np.arctan2(v["offset"], _along(v))))


def _seat_angle(v: Values) -> float:
    behind = v["effective_top_tube"] - v["reach"]
    return float(degrees(np.arctan2(v["stack"], behind))) if behind > 0 else np.nan


_FORK = ("lower_headset_stack", "axle_to_crown", "offset")
_FRONT = ("head_angle", "head_tube_length", *_FORK)

WAYS: tuple[Missing, ...] = (
    Missing(
        "bb_drop",
        ("wheel_radius", "bb_height"),
        "BBD = R − BBH",
        lambda v: v["wheel_radius"] - v["bb_height"],
    ),
    Missing(
        "bb_drop",
        ("chainstay_length", "rear_centre"),
        "BBD = √(CS² − RC²)",
        lambda v: _side(v["chainstay_length"], v["rear_centre"]),
    ),
    Missing(
        "rear_centre",
        ("wheelbase", "front_centre"),
        "RC = W − FC",
        lambda v: v["wheelbase"] - v["front_centre"],
    ),
    Missing(
        "chainstay_length",
        ("rear_centre", "bb_drop"),
        "CS = √(RC² + BBD²)",
        lambda v: float(np.hypot(v["rear_centre"], v["bb_drop"])),
    ),
    Missing(
        "rear_centre",
        ("chainstay_length", "bb_drop"),
        "RC = √(CS² − BBD²)",
        lambda v: _side(v["chainstay_length"], v["bb_drop"]),
    ),
    Missing(
        "front_centre",
        ("wheelbase", "rear_centre"),
        "FC = W − RC",
        lambda v: v["wheelbase"] - v["rear_centre"],
    ),
    Missing(
        "stack",
        ("bb_drop", *_FRONT),
        "S = BBD + (HT + LS + AC) sin HA − FO cos HA",
        lambda v: v["bb_drop"] + _upright(v),
    ),
    Missing(
        "head_tube_length",
        ("stack", "bb_drop", "head_angle", *_FORK),
        "HT = (S − BBD + FO cos HA) / sin HA − LS − AC",
        lambda v: (
            float(
                (v["stack"] - v["bb_drop"] + v["offset"] * cos(v["head_angle"]))
                / sin(v["head_angle"])
            )
            - v["lower_headset_stack"]
            - v["axle_to_crown"]
        ),
    ),
    Missing(
        "head_angle",
        ("stack", "bb_drop", "head_tube_length", *_FORK),
        "HA: S − BBD = (HT + LS + AC) sin HA − FO cos HA",
        _head_angle,
    ),
    Missing(
        "reach",
        ("effective_top_tube", "seat_tube_angle", "stack"),
        "R = ETT − S / tan SA",
        lambda v: float(
            v["effective_top_tube"]
            - v["stack"] * cos(v["seat_tube_angle"]) / sin(v["seat_tube_angle"])
        ),
    ),
    Missing(
        "reach",
        ("front_centre", *_FRONT),
        "R = FC − (HT + LS + AC) cos HA − FO sin HA",
        lambda v: v["front_centre"] - _level(v),
    ),
    Missing(
        "seat_tube_angle",
        ("effective_top_tube", "reach", "stack"),
        "SA = atan(S / (ETT − R))",
        _seat_angle,
    ),
)
"""In the order in which they are tried; the seat tube's axis passes through the BB, both wheels
are alike, the axle is as drawn."""


def missing(values: Values) -> dict[str, tuple[float, str]]:
    """Dimensions a size's table does not state, from those it states.

    Parameters
    ----------
    values : mapping of str to float [mm, degrees]
        Drawn and derived values by their plain names, those of the fork and the wheels
        drawn with among them: ``axle_to_crown`` (along the steering axis), ``offset``,
        ``lower_headset_stack``, ``wheel_radius``.

    Returns
    -------
    dict of str to (float, str)
        Each dimension that follows, and its formula in the glossary's symbols.

    Notes
    -----
    A seat tube offset and a slid axle are not known of here; where the table states
    what would have shown them, the table check tells of it.

    Examples
    --------
    >>> found = missing({"chainstay_length": 430.0, "bb_height": 305.0, "wheel_radius": 370.0})
    >>> {key: (round(value, 1), formula) for key, (value, formula) in found.items()}
    {'bb_drop': (65.0, 'BBD = R − BBH'), 'rear_centre': (425.1, 'RC = √(CS² − BBD²)')}
    """
    known, found = dict(values), {}
    for _ in WAYS:
        for way in WAYS:
            if way.key not in known and all(key in known for key in way.takes):
                value = way.value(known)
                if np.isfinite(value):
                    known[way.key] = value
                    found[way.key] = (value, way.formula)
    return found
