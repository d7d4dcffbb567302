"""What would be right where measurements with a tape contradict each other."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from geometry.core import Remedy


@dataclass(frozen=True, kw_only=True)
class ClosesTriangle(Remedy):
    """Not longer than two other distances together."""

    of_parts: ClassVar[bool] = True

    one: str
    other: str
    together: float


@dataclass(frozen=True, kw_only=True)
class CoversHeights(Remedy):
    """At least the difference of two heights."""

    of_parts: ClassVar[bool] = True

    one: str
    other: str
    apart: float


@dataclass(frozen=True, kw_only=True)
class LessThanStraight(Remedy):
    """Less than the straight way between the same points."""

    of_parts: ClassVar[bool] = True

    straight: str
    length: float


@dataclass(frozen=True, kw_only=True)
class AboveAxle(Remedy):
    """Higher than an axle, which lies its radius above the floor."""

    of_parts: ClassVar[bool] = True

    wheel: str
    radius: float


@dataclass(frozen=True, kw_only=True)
class MoreThanBbDrop(Remedy):
    """More than the BB's drop below the axles."""

    drop: float


@dataclass(frozen=True, kw_only=True)
class BelowSaddle(Remedy):
    """Less than the saddle's height."""

    height: float
