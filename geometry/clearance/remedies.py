"""What would be right where a question of clearance is refused."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from geometry.core import Remedy


@dataclass(frozen=True, kw_only=True)
class AtLeastPedalCentre(Remedy):
    """At least as far out as the pedal's centre."""


@dataclass(frozen=True, kw_only=True)
class AheadOfRearAxle(Remedy):
    """A front axle ahead of the rear axle."""

    of_parts: ClassVar[bool] = True


@dataclass(frozen=True, kw_only=True)
class WidthPerStation(Remedy):
    """One width for each station."""

    stations: int


@dataclass(frozen=True, kw_only=True)
class RisingStations(Remedy):
    """Two stations or more, from front to rear."""


@dataclass(frozen=True, kw_only=True)
class BeginsAtBridge(Remedy):
    """Stations that begin at the bridge or before it."""

    bridge: float


@dataclass(frozen=True, kw_only=True)
class WithinLargestTyre(Remedy):
    """Not wider than the largest tyre that goes in."""

    largest: float


@dataclass(frozen=True, kw_only=True)
class HeldByHead(Remedy):
    """A travel not longer than the head, which holds it."""
