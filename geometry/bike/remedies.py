"""What would be right where a bike is refused."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from geometry.core import Remedy


@dataclass(frozen=True, kw_only=True)
class LongerThanOffset(Remedy):
    """Measured straight, an axle-to-crown longer than the offset."""

    of_parts: ClassVar[bool] = True


@dataclass(frozen=True, kw_only=True)
class LessThanAxleToCrown(Remedy):
    """A travel shorter than the fork."""


@dataclass(frozen=True, kw_only=True)
class WithinSlot(Remedy):
    """A position within the slot's length."""


@dataclass(frozen=True, kw_only=True)
class BetweenSlotEnds(Remedy):
    """A position from 0 to the slot's length."""

    longest: float


@dataclass(frozen=True, kw_only=True)
class FixedAxle(Remedy):
    """0, since this frame's axle does not slide."""


@dataclass(frozen=True, kw_only=True)
class WiderBar(Remedy):
    """A bar whose half holds the sweep's start and the grip."""

    of_parts: ClassVar[bool] = True


@dataclass(frozen=True, kw_only=True)
class TyreMarking(Remedy):
    """A marking such as 64-622, width and diameter in mm."""


@dataclass(frozen=True, kw_only=True)
class DrawingThatCloses(Remedy):
    """Stack, head tube, fork and wheels that some head angle brings together."""

    of_parts: ClassVar[bool] = True


@dataclass(frozen=True, kw_only=True)
class TopTubeDrawn(Remedy):
    """A drawing of the top tube, without which there is no standover."""


@dataclass(frozen=True, kw_only=True)
class BetweenTubes(Remedy):
    """A place between seat tube and head tube."""


@dataclass(frozen=True, kw_only=True)
class MoreThanSeatOffset(Remedy):
    """A saddle height of more than the seat tube's offset from the BB."""


@dataclass(frozen=True, kw_only=True)
class WithinTravel(Remedy):
    """No more than the fork's travel."""


@dataclass(frozen=True, kw_only=True)
class LessThanWheelRadius(Remedy):
    """Less than the wheel's radius."""


@dataclass(frozen=True, kw_only=True)
class WheelsApart(Remedy):
    """Axles further apart than both wheel radii together."""

    of_parts: ClassVar[bool] = True


@dataclass(frozen=True, kw_only=True)
class FrontAxleAhead(Remedy):
    """A front axle ahead of the rear axle."""

    of_parts: ClassVar[bool] = True


@dataclass(frozen=True, kw_only=True)
class TubeNotLevel(Remedy):
    """A tube that stays between 0 and 180 degrees when the build stands."""


@dataclass(frozen=True, kw_only=True)
class SagOnce(Remedy):
    """The sag either in mm or as a fraction of the travel."""

    of_parts: ClassVar[bool] = True
