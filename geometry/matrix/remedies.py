"""What would be right where a matrix of builds is refused."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from geometry.core import Remedy


@dataclass(frozen=True, kw_only=True)
class ShareOfSlot(Remedy):
    """A share of the slot's length, 0 to 1."""


@dataclass(frozen=True, kw_only=True)
class BothCoordinates(Remedy):
    """Both coordinates of the mass centre, or none."""


@dataclass(frozen=True, kw_only=True)
class BuildThatStands(Remedy):
    """A combination of parts, axle position and state that can stand."""

    of_parts: ClassVar[bool] = True
