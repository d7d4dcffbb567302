"""What would be right where a search is refused."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.core import Remedy


@dataclass(frozen=True, kw_only=True)
class StancesBySeats(Remedy):
    """An array of stances and so many seats."""

    seats: int


@dataclass(frozen=True, kw_only=True)
class LeastBelowMost(Remedy):
    """A least that does not exceed the most."""
