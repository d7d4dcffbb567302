"""What would be right where questions about many riders are refused."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.core import Remedy


@dataclass(frozen=True, kw_only=True)
class MoreThanLowLimit(Remedy):
    """More than the low limit."""


@dataclass(frozen=True, kw_only=True)
class WeightsOfOne(Remedy):
    """Weights of 0 or more that add up to 1."""


@dataclass(frozen=True, kw_only=True)
class SamePeople(Remedy):
    """The very same people before and after."""
