"""What would be right where a rule or a check is refused."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from geometry.core import Remedy


@dataclass(frozen=True, kw_only=True)
class RoleAndProperty(Remedy):
    """A role and its property, with a point between."""


@dataclass(frozen=True, kw_only=True)
class ComparableValues(Remedy):
    """Values that the relation can compare."""

    of_parts: ClassVar[bool] = True

    relation: str
    other: str
    part: str


@dataclass(frozen=True, kw_only=True)
class KnownNumber(Remedy):
    """A number; an unknown is stated as unknown."""
