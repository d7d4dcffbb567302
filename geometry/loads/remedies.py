"""What would be right where masses are refused."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.core import Remedy


@dataclass(frozen=True, kw_only=True)
class PointPerMass(Remedy):
    """One point for each mass."""

    masses: int


@dataclass(frozen=True, kw_only=True)
class MassInAll(Remedy):
    """More than 0 kg in all."""
