"""What the checks of loads say: masses in kg, lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.core import Statement


@dataclass(frozen=True, kw_only=True)
class FrontShare(Statement):
    """What the front wheel carries of bike and rider [%]."""

    percent: float


@dataclass(frozen=True, kw_only=True)
class RiderForward(Statement):
    """The rider further forward, or load moved from the rear to the front."""

    by: float


@dataclass(frozen=True, kw_only=True)
class PermittedNotKnown(Statement):
    """The permissible mass of what is loaded."""

    what: str


@dataclass(frozen=True, kw_only=True)
class Permitted(Statement):
    """A mass, and what is permitted by whom."""

    what: str
    mass: float
    source: str
    limit: float


@dataclass(frozen=True, kw_only=True)
class LoadLess(Statement):
    """So much less, or a frame or part permitted for that mass."""

    less: float
    mass: float


@dataclass(frozen=True, kw_only=True)
class NothingMore(Statement):
    """Nothing more to be loaded."""
