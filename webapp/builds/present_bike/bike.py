"""The present bike as one value: where it puts its rider, and how it stands, as far as known."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from urllib.parse import urlencode

import numpy as np

from geometry.core import FloatArray
from geometry.position import Suspect
from geometry.search import Bounds, Target
from webapp.builds.present_bike.fields import NAMES, Way
from webapp.common.errors import Problem
from webapp.drawing.outline import Outline

Point = tuple[float, float]

STEPS: Mapping[str, float] = MappingProxyType({"trail": 5.0, "wheelbase": 15.0})
"""Figures that are larger on a bike that feels calmer, and the least difference felt [CP]."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Spot:
    """A contact point from the BB centre [mm], and how sure it is [mm²]."""

    at: Point
    covariance: FloatArray

    @property
    def known(self) -> bool:
        """Whether both its coordinates are."""
        return bool(np.isfinite(self.at).all())

    @property
    def half_width(self) -> float:
        """Its uncertainty: two standard deviations in its worse direction [mm]."""
        if not np.isfinite(self.covariance).all():
            return math.nan
        return 2.0 * float(np.sqrt(max(np.linalg.eigvalsh(self.covariance)[-1], 0.0)))


@dataclass(frozen=True, kw_only=True)
class Known:
    """A figure with its uncertainty, two standard deviations."""

    value: float
    half_width: float


@dataclass(frozen=True, kw_only=True, eq=False)
class Measured:
    """What one of the three ways says of a bike.

    Parameters
    ----------
    grip, saddle : Spot
    figures : mapping of key to Known
        By the glossary's keys [mm, deg]; what is not known is left out.
    outline : Outline
        What is known of it, to be drawn.
    problems : tuple of Problem
        At their fields.
    suspects : tuple of Suspect
        Measurements that the others contradict.
    measure_next : str
        The field that would help most; empty when both points are known.
    """

    grip: Spot
    saddle: Spot
    figures: Mapping[str, Known]
    outline: Outline
    problems: tuple[Problem, ...] = ()
    suspects: tuple[Suspect, ...] = ()
    measure_next: str = ""


@dataclass(frozen=True, kw_only=True, eq=False)
class PresentBike:
    """What the rider said of the bike ridden now, and wishes of the next.

    Parameters
    ----------
    way : {"tape", "numbers", "build"}
    typed : mapping of field to str
        As typed; empty for what was not.
    measured : Measured
    problems : tuple of Problem
        At their fields, those of the wishes among them.
    moves : mapping of str to float
        What should be different [mm]: ``closer``, ``higher``, ``saddle_back``, ``saddle_up``
        and, where it was typed, ``saddle_down``.
    """

    way: Way
    typed: Mapping[str, str]
    measured: Measured
    problems: tuple[Problem, ...]
    moves: Mapping[str, float]

    @property
    def text(self) -> str:
        """The bike as other pages' addresses carry it; empty where nothing was told."""
        pairs = [(name, self.typed[name]) for name in NAMES if self.typed.get(name)]
        return urlencode(pairs) if any(name != "way" for name, _ in pairs) else ""

    @property
    def position(self) -> Target | None:
        """Grips and saddle as they are, when both are known and nothing contradicts."""
        now = self.measured
        if self.problems or now.suspects or not (now.grip.known and now.saddle.known):
            return None
        return Target(grip=now.grip.at, saddle=now.saddle.at)

    @property
    def target(self) -> Target | None:
        """Grips and saddle as they are wished."""
        now = self.position
        if now is None:
            return None
        by = self.moves
        return Target(
            grip=(now.grip[0] - by["closer"], now.grip[1] + by["higher"]),
            saddle=(now.saddle[0] - by["saddle_back"], now.saddle[1] + by["saddle_up"]),
        )

    @property
    def is_right(self) -> bool:
        """Whether the rider says that the position wished is right."""
        return self.typed.get("right") == "yes" and self.target is not None

    @property
    def saddle_down_to(self) -> float | None:
        """How low the saddle must go, BB centre to its top [mm]; None where nothing is said."""
        if self.target is None or "saddle_down" not in self.moves:
            return None
        return math.hypot(*self.target.saddle) - self.moves["saddle_down"]

    @property
    def handling(self) -> dict[str, float]:
        """What is known of how it handles, by figure."""
        return {key: known.value for key, known in self.measured.figures.items()}

    @property
    def feel_bounds(self) -> Bounds:
        """Bounds that calmer or livelier asks for, as far as the present bike is known."""
        feel, found = self.typed.get("feel", ""), {}
        for key, step in STEPS.items() if feel else ():
            known = self.measured.figures.get(key)
            if known is not None:
                calmer = (known.value + step, math.inf)
                found[key] = calmer if feel == "calmer" else (-math.inf, known.value - step)
        return found
