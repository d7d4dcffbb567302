"""What the checks of the drive say: lengths in mm, rings and sprockets in teeth."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.core import Statement


@dataclass(frozen=True, kw_only=True)
class AxleSetAt(Statement):
    """Where the axle is set, and the nearest position at which the loop closes."""

    position: float
    pitches: float
    closes_at: float


@dataclass(frozen=True, kw_only=True)
class SetAxleAt(Statement):
    """Set the axle where a loop of that many pitches closes."""

    position: float
    pitches: float


@dataclass(frozen=True, kw_only=True)
class NoCountCloses(Statement):
    """No count of pitches closes with the axle inside the slot."""


@dataclass(frozen=True, kw_only=True)
class ChooseAnotherPair(Statement):
    """Another ring or sprocket, a half link or a tensioner."""


@dataclass(frozen=True, kw_only=True)
class PairNeverCloses(Statement):
    """The same of one ring and sprocket."""

    ring: float
    sprocket: float


@dataclass(frozen=True, kw_only=True)
class PairCloses(Statement):
    """With how many pitches, where, and how much lengthening the slot takes up [%]."""

    ring: float
    sprocket: float
    pitches: float
    position: float
    takes_up: float


@dataclass(frozen=True, kw_only=True)
class HalfLink(Statement):
    """Accept a half link."""


@dataclass(frozen=True, kw_only=True)
class OtherPair(Statement):
    """Another ring and sprocket, with a loop of that many pitches."""

    ring: float
    sprocket: float
    pitches: float


@dataclass(frozen=True, kw_only=True)
class TensionerOrLongerSlot(Statement):
    """A tensioner, or a frame whose axle slides further."""


@dataclass(frozen=True, kw_only=True)
class SmallestRatioNotKnown(Statement):
    """The smallest ratio a geared hub allows."""


@dataclass(frozen=True, kw_only=True)
class HubRatio(Statement):
    """A pair's ratio and the smallest this hub allows."""

    ring: int
    sprocket: int
    ratio: float
    least: float


@dataclass(frozen=True, kw_only=True)
class KeepHubRatio(Statement):
    """The smallest ring or the largest sprocket that keep a hub's limit."""

    ring: float
    sprocket: float


@dataclass(frozen=True, kw_only=True)
class FixingNotKnown(Statement):
    """Whether the frame has a fixing for the coaster brake's reaction arm."""


@dataclass(frozen=True, kw_only=True)
class ArmFixed(Statement):
    """What the reaction arm is fixed to."""

    fixing: str


@dataclass(frozen=True, kw_only=True)
class ArmLoose(Statement):
    """The frame has nothing to fix the reaction arm to."""


@dataclass(frozen=True, kw_only=True)
class FrameWithFixing(Statement):
    """A frame with a fixing, or a hub without this brake."""


@dataclass(frozen=True, kw_only=True)
class LargestRingNotKnown(Statement):
    """The largest ring the stays allow."""


@dataclass(frozen=True, kw_only=True)
class RingBesideStay(Statement):
    """A ring, and the most teeth the stays allow."""

    ring: int
    most: float


@dataclass(frozen=True, kw_only=True)
class RingAtMost(Statement):
    """A smaller ring."""

    most: float
