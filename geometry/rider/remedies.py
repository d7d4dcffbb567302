"""What would be accepted where a rider's data are refused."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from geometry.core import Remedy


@dataclass(frozen=True, kw_only=True)
class HumanMeasure(Remedy):
    """A measure that a body can have."""

    lowest: float
    highest: float
    unit: str


@dataclass(frozen=True, kw_only=True)
class MoreThanLowEdge(Remedy):
    """More than the lower edge of the window."""

    low: float


@dataclass(frozen=True, kw_only=True)
class AtLeastLeastRoom(Remedy):
    """At least the least room."""

    least: float


@dataclass(frozen=True, kw_only=True)
class ShorterCranks(Remedy):
    """Cranks short enough for the leg to reach the pedal."""

    of_parts: ClassVar[bool] = True
