"""What the checks of clearance say: lengths in mm, angles in degrees."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from geometry.core import Statement


class Place(StrEnum):
    """What a tyre comes nearest to."""

    STAYS = "stays"
    BRIDGE = "bridge"
    FORK_LEGS = "fork_legs"
    CROWN_OR_ARCH = "crown_or_arch"


class Beside(StrEnum):
    """What turns before the toe."""

    TYRE = "tyre"
    MUDGUARD = "mudguard"


class Loaded(StrEnum):
    """How far the suspension has gone in."""

    UNLOADED = "unloaded"
    SAGGED = "sagged"


@dataclass(frozen=True, kw_only=True)
class MountRoomNotKnown(Statement):
    """The room at a bottle's mount."""


@dataclass(frozen=True, kw_only=True)
class BottleOnMount(Statement):
    """A bottle's size and the room of the mount."""

    bottle: str
    length: float
    diameter: float
    mount: str
    room_length: float
    room_diameter: float


@dataclass(frozen=True, kw_only=True)
class OtherBottle(Statement):
    """The longest bottle that fits."""

    bottle: str


@dataclass(frozen=True, kw_only=True)
class NoBottleOnMount(Statement):
    """Leave this mount without a bottle."""

    mount: str


@dataclass(frozen=True, kw_only=True)
class BossNotKnown(Statement):
    """How deep the upper bottle boss lies."""


@dataclass(frozen=True, kw_only=True)
class PostBesideBottle(Statement):
    """How deep the post goes, and what the bottle's bolt leaves."""

    needed: float
    left: float


@dataclass(frozen=True, kw_only=True)
class NoBottleOnSeatTube(Statement):
    """Leave the seat tube without a bottle."""


@dataclass(frozen=True, kw_only=True)
class DropperAtMost(Statement):
    """A dropper of less travel."""

    travel: float


@dataclass(frozen=True, kw_only=True)
class SaddleOnPost(Statement):
    """Where the saddle is to be, and what the post reaches."""

    height: float
    lowest: float
    highest: float


@dataclass(frozen=True, kw_only=True)
class DeeperSeatTube(Statement):
    """A seat tube deeper by that much, or another post."""

    by: float


@dataclass(frozen=True, kw_only=True)
class LongerPost(Statement):
    """A longer post."""

    by: float


@dataclass(frozen=True, kw_only=True)
class ShorterPost(Statement):
    """A post shorter above the collar, or a deeper or shorter seat tube."""

    by: float


@dataclass(frozen=True, kw_only=True)
class TyreWidthNotKnown(Statement):
    """The widest tyre for this rim size and axle position."""


@dataclass(frozen=True, kw_only=True)
class TyreWidth(Statement):
    """A tyre's width, the width recommended and the largest that goes in."""

    width: float
    recommended: float
    largest: float


@dataclass(frozen=True, kw_only=True)
class TyreAtMost(Statement):
    """A narrower tyre."""

    width: float


@dataclass(frozen=True, kw_only=True)
class AxleFurtherBack(Statement):
    """The axle there or further back."""

    position: float


@dataclass(frozen=True, kw_only=True)
class Gap(Statement):
    """The least gap between the tyre and what is beside or above it."""

    gap: float
    place: Place


@dataclass(frozen=True, kw_only=True)
class GapBelowLaw(Statement):
    """The same, below the legal floor."""

    gap: float
    place: Place
    floor: float


@dataclass(frozen=True, kw_only=True)
class NarrowerOrLowerTyre(Statement):
    """A narrower or lower tyre."""


@dataclass(frozen=True, kw_only=True)
class AxleAt(Statement):
    """The axle at a position that is enough."""

    position: float


@dataclass(frozen=True, kw_only=True)
class ThisTyre(Statement):
    """A tyre that is enough."""

    tyre: str


@dataclass(frozen=True, kw_only=True)
class NothingIsEnough(Statement):
    """No axle position or tyre to be had is enough."""


@dataclass(frozen=True, kw_only=True)
class ToeAhead(Statement):
    """From the pedal's centre forward, the wheel turned so far."""

    what: Beside
    clearance: float
    turned: float


@dataclass(frozen=True, kw_only=True)
class NeverAbreast(Statement):
    """What turns never comes abreast of the pedal."""

    what: Beside


@dataclass(frozen=True, kw_only=True)
class MoreToeRoom(Statement):
    """So much more room: shorter cranks, a smaller wheel, a longer front centre."""

    by: float


@dataclass(frozen=True, kw_only=True)
class PedalLeaning(Statement):
    """How high the lowest pedal is at a lean."""

    lean: float
    state: Loaded
    height: float


@dataclass(frozen=True, kw_only=True)
class CranksAtMost(Statement):
    """Shorter cranks, larger wheels or less BB drop."""

    length: float
