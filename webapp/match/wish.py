"""A wish, and the answers to it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from geometry.search import Bounds, Target
from webapp.builds.evaluation import BuildResult
from webapp.builds.solving.solver_inputs import UNLOADED

PRICE, MASS = "price", "mass"
"""What may be bounded beside the figures of `webapp.match.stances`."""

Point = tuple[float, float]

HANDLING = MappingProxyType({"head_angle": 0.5, "trail": 5.0, "wheelbase": 15.0, "bb_height": 5.0})
"""Figures a rider feels as handling, with the least difference felt: from `webapp.compare` [CP]."""


@dataclass(frozen=True, kw_only=True)
class Wish:
    """A wish.

    Parameters
    ----------
    target : Target
    bounds : mapping of figure, ``"price"`` or ``"mass"`` to (least, most)
        Price in units of the currency, as printed in total; mass in kg.
    fixed : mapping of place to part slug
        Also ``"size"``.
    tolerance : float [mm]
        The distance within which price or number of swaps decide.
    handling : mapping of figure to float
        Of the present bike, among `HANDLING`.
    saddle_down_to : float or None [mm]
        How low the saddle must go, however high it is wished.
    """

    target: Target
    bounds: Bounds
    fixed: Mapping[str, str]
    tolerance: float
    handling: Mapping[str, float]
    saddle_down_to: float | None = None


@dataclass(frozen=True, kw_only=True)
class Answer:
    """One build that answers, and why."""

    kind: str
    distance: float
    result: BuildResult

    @property
    def grip(self) -> Point:
        """Grips from the BB centre, standing unloaded [mm]."""
        x, y = self.result.states[UNLOADED].hands.grips
        return float(x), float(y)

    @property
    def saddle(self) -> Point:
        """Saddle top from the BB centre, standing unloaded [mm]."""
        x, y = self.result.states[UNLOADED].seated.saddle
        return float(x), float(y)


@dataclass(frozen=True, kw_only=True)
class Loosened:
    """A bound that could be loosened, to what, and how near that gets [mm]."""

    name: str
    to: float
    distance: float


@dataclass(frozen=True, kw_only=True)
class Matched:
    """Everything that was found.

    Parameters
    ----------
    combinations : int
        How many were judged.
    failed : mapping of check's code to int
        How many of them fail it.
    answers, trades : tuple of Answer
        The trades nearest first.
    loosen : tuple of Loosened
        Where nothing keeps all bounds.
    """

    combinations: int
    failed: Mapping[str, int]
    answers: tuple[Answer, ...]
    trades: tuple[Answer, ...]
    loosen: tuple[Loosened, ...]
