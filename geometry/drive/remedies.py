"""What would be right where a drive is refused."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.core import Remedy


@dataclass(frozen=True, kw_only=True)
class WheelsOfDriveApart(Remedy):
    """A longer distance: ring and sprocket overlap."""


@dataclass(frozen=True, kw_only=True)
class LongerLoop(Remedy):
    """More pitches, to go round both wheels."""


@dataclass(frozen=True, kw_only=True)
class ReachesSlotLine(Remedy):
    """A longer distance, to reach the slot's line."""


@dataclass(frozen=True, kw_only=True)
class BeltLengthsSold(Remedy):
    """The belt lengths to be had, in teeth."""
