"""What would be accepted where sizes or rules of sizing are refused."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.core import Remedy


@dataclass(frozen=True, kw_only=True)
class OneNumberEach(Remedy):
    """One number for each of a given count."""

    count: int


@dataclass(frozen=True, kw_only=True)
class MoreThanShortest(Remedy):
    """More than the shortest stature."""


@dataclass(frozen=True, kw_only=True)
class RisingStatures(Remedy):
    """Statures that rise from size to size."""
