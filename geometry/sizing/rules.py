"""How a builder judges a fit: what is trusted, what is near enough, how riders differ.

All of it is data of a catalogue; nothing here has a default.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields

from geometry.core import (
    InvalidInput,
    MoreThan,
    NumberBetween,
)

FIGURES = (
    "trunk_angle",
    "elbow_flexion",
    "shoulder_angle",
    "standing_trunk_angle",
    "standing_elbow_flexion",
)
"""Figures of a posture that ask for a length, each with a window of the same name [°]."""


@dataclass(frozen=True)
class FitRules:
    """The builder's rules of fit.

    Parameters
    ----------
    posture_share : float
        How far the posture of this very body is trusted against the size chart [1]:
        0 is the chart alone.
    within : float
        A size fits as sold when it misses the rider's length by no more than this
        share of the step to its neighbour [1]; below 1, so that never three fit.
    beyond : float
        The same past the smallest and the largest size, where no neighbour is nearer [1].
    preference : mapping of str to float
        How riders of one body differ in each figure of `FIGURES`, one standard
        deviation [°].
    knee_preference : float
        The same of the knee's flexion at the lowest pedal [°].
    taste_share : float
        Share of such a difference that a rider settles by the size of the frame; the
        rest goes to stem, spacers, saddle and habit [1].

    Raises
    ------
    InvalidInput
        A share outside its range, or a spread that is not positive.

    Examples
    --------
    >>> from geometry.examples import RULES
    >>> RULES.posture_share
    0.5
    """

    posture_share: float
    within: float
    beyond: float
    preference: Mapping[str, float]
    knee_preference: float
    taste_share: float

    def __post_init__(self) -> None:
        limits = {"posture_share": 1.0, "within": 1.0, "beyond": 3.0, "taste_share": 1.0}
        for field in fields(self):
            value = getattr(self, field.name)
            most = limits.get(field.name, math.inf)
            if isinstance(value, float) and not (0.0 <= value <= most and math.isfinite(value)):
                remedy = NumberBetween(lowest=0.0, highest=most, unit="")
                raise InvalidInput(field.name, value, remedy)
        for name in FIGURES:
            spread = self.preference.get(name, 0.0)
            if not (spread > 0.0 and math.isfinite(spread)):
                raise InvalidInput(
                    f"preference.{name}", spread, MoreThan(bound=0.0, unit="degrees")
                )
