"""Room around the tyre: between the stays, before the bridge, and in the fork.

The tyre is a torus about its axle, R over the tyre, r half its width; its widest
circle has radius ρ = R − r. A point of the frame at distance q from the axle in
the side view and z from the middle plane is ``√((q − ρ)² + z²) − r`` from it.
The frame stands still as the axle slides, so both gaps follow the slot position::

         stays                 slot
      BB ======================[==o==]
         |  d ->  inner width      axle
         bridge

Stations are stated as a builder measures them: distance behind the BB along the
line from the BB to the axle at slot position 0, and the width between the
stays' inner faces there.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from geometry.bike import (
    LessThanWheelRadius,
    rear_axle,
)
from geometry.clearance.remedies import BeginsAtBridge, RisingStations, WidthPerStation
from geometry.core import (
    ContradictoryInput,
    FloatArray,
    InvalidInput,
    Num,
    OneAtATime,
    checked,
    plain,
    refuse,
)
from geometry.drive import Slot

_BETWEEN_STATIONS = 64  # the error of this spacing is below a hundredth of a millimetre


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class StayRoom:
    """The room a frame's rear end leaves for a tyre.

    Parameters
    ----------
    slot : Slot
        One frame's.
    behind : array, shape (k,) [mm]
        Stations behind the BB, increasing, from the bridge or before it on.
    between : array, shape (k,) [mm]
        Width between the stays' inner faces at each.
    bridge : float [mm]
        Rear face of bridge or yoke behind the BB, on the same line.
    finely : tuple of array [mm]
        ``behind`` and half of ``between`` with many stations put in; not given but worked out.

    Raises
    ------
    InvalidInput
        Fewer than two stations, not increasing, or sizes that are no usable numbers.
    ContradictoryInput
        Arrays of different length, or stations that begin behind the bridge, where
        the narrowest place would go unseen.

    Examples
    --------
    >>> slot = Slot(chainstay_length=420.0, bb_drop=60.0, slot_length=22.0)
    >>> room = StayRoom(slot=slot, behind=[40.0, 160.0], between=[80.0, 110.0], bridge=42.0)
    >>> room.between.tolist()
    [80.0, 110.0]
    """

    slot: Slot
    behind: FloatArray
    between: FloatArray
    bridge: float
    finely: tuple[FloatArray, FloatArray] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        if np.ndim(self.slot.chainstay_length + self.slot.slot_length + self.slot.bb_drop):
            raise InvalidInput("slot", "an array", OneAtATime())
        bridge = float(checked("bridge", self.bridge, "mm", least=0))
        behind = np.atleast_1d(checked("behind", self.behind, "mm", least=0))
        between = np.atleast_1d(checked("between", self.between, "mm", above=0))
        if behind.shape != between.shape or behind.ndim != 1:
            remedy = WidthPerStation(stations=behind.size)
            raise ContradictoryInput("between", between.size, remedy)
        if behind.size < 2 or np.any(np.diff(behind) <= 0):  # noqa: PLR2004  # a line has two ends
            raise InvalidInput("behind", behind.tolist(), RisingStations())
        begins = BeginsAtBridge(bridge=bridge)
        refuse(behind[0] > bridge, ContradictoryInput, "behind", behind[0], begins)
        object.__setattr__(self, "behind", behind)
        object.__setattr__(self, "between", between)
        object.__setattr__(self, "bridge", bridge)
        object.__setattr__(self, "finely", _stations(behind, between))


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Gaps:
    """Gaps to a tyre [mm], negative where it would cut in.

    Parameters
    ----------
    side : float or array [mm]
        To the stays, or to the fork's legs.
    top : float or array [mm]
        To the bridge or yoke, or to the fork's crown or arch.
    """

    side: Num
    top: Num

    @property
    def least(self) -> Num:
        """The smaller of the two [mm]."""
        return plain(np.minimum(self.side, self.top))


def stay_gaps(room: StayRoom, *, slot_position: Num, radius: Num, width: Num) -> Gaps:
    """Gaps between the rear tyre and the frame.

    Parameters
    ----------
    room : StayRoom
        One frame's.
    slot_position : float or array [mm]
        Of the axle; broadcasts with the tyre.
    radius, width : float or array [mm]
        Over the tyre, and of the tyre as measured on its rim.

    Returns
    -------
    Gaps

    Raises
    ------
    InvalidInput
        A number that is not finite or of impossible size.
    ContradictoryInput
        A tyre wider than its wheel is high.

    Notes
    -----
    Between stations the inner faces are taken as straight. Source: distance from
    a point to a torus.

    Examples
    --------
    >>> slot = Slot(chainstay_length=420.0, bb_drop=60.0, slot_length=22.0)
    >>> room = StayRoom(slot=slot, behind=[40.0, 160.0], between=[80.0, 110.0], bridge=42.0)
    >>> gaps = stay_gaps(room, slot_position=10.0, radius=370.0, width=58.0)
    >>> round(gaps.side, 1), round(gaps.top, 1)
    (16.8, 17.9)
    """
    position = checked("slot_position", slot_position, "mm")
    radius, width = _tyre(radius, width)
    circle = radius - width / 2.0
    x, y = rear_axle(
        chainstay_length=room.slot.chainstay_length,
        bb_drop=room.slot.bb_drop,
        slot_angle=room.slot.slot_angle,
        slot_position=position,
    )
    behind, half = room.finely
    away = _from_axle(room, behind, np.asarray(x)[..., None], np.asarray(y)[..., None])
    off = np.sqrt((away - np.asarray(circle)[..., None]) ** 2 + half * half)
    bridge = _from_axle(room, room.bridge, x, y)
    return Gaps(
        side=plain(np.min(off, axis=-1) - width / 2.0),
        top=plain(np.abs(bridge - circle) - width / 2.0),
    )


def _tyre(radius: Num, width: Num) -> tuple[Num, Num]:
    radius = checked("radius", radius, "mm", above=0)
    width = checked("width", width, "mm", above=0)
    wrong = np.asarray(width) >= radius
    refuse(wrong, ContradictoryInput, "width", width, LessThanWheelRadius())
    return radius, width


def _stations(behind: FloatArray, between: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Distances behind the BB and half inner widths, finely enough."""
    steps = np.linspace(0.0, 1.0, _BETWEEN_STATIONS, endpoint=False)
    starts = np.arange(behind.size - 1)[:, None] + steps
    index = np.append(np.ravel(starts), behind.size - 1.0)
    each = np.arange(float(behind.size))
    return np.interp(index, each, behind), np.interp(index, each, between) / 2.0


def _from_axle(room: StayRoom, behind: Num, x: Num, y: Num) -> Num:
    """Distance in the side view from a station on the BB-to-axle line to the axle."""
    start_x, start_y = rear_axle(
        chainstay_length=room.slot.chainstay_length,
        bb_drop=room.slot.bb_drop,
        slot_angle=0.0,
        slot_position=0.0,
    )
    share = behind / room.slot.chainstay_length
    return np.sqrt((x - share * start_x) ** 2 + (y - share * start_y) ** 2)


def fork_gaps(
    *,
    radius: Num,
    width: Num,
    between_legs: Num,
    arch_radius: Num,
    crown_radius: Num,
    travel: Num = 0.0,
) -> Gaps:
    """Gaps between the front tyre and its fork, with all travel used.

    Parameters
    ----------
    radius, width : float or array [mm]
        Over the tyre, and of the tyre as measured on its rim.
    between_legs : float or array [mm]
        Inner width between the legs at the tyre's widest circle.
    arch_radius : float or array [mm]
        From the axle to the underside of the arch that travels with it; for a
        rigid fork that of the crown.
    crown_radius : float or array [mm]
        From the axle to the underside of the crown, fully extended.
    travel : float or array [mm]
        Taken off the crown's radius.

    Returns
    -------
    Gaps

    Raises
    ------
    InvalidInput
        A number that is not finite or of impossible size.
    ContradictoryInput
        A tyre wider than its wheel is high.

    Examples
    --------
    >>> gaps = fork_gaps(radius=370.0, width=58.0, between_legs=81.0, arch_radius=384.0,
    ...                  crown_radius=520.0, travel=125.0)
    >>> gaps.side, gaps.top
    (11.5, 14.0)
    """
    radius, width = _tyre(radius, width)
    legs = checked("between_legs", between_legs, "mm", above=0)
    arch = checked("arch_radius", arch_radius, "mm", above=0)
    crown = checked("crown_radius", crown_radius, "mm", above=0)
    travel = checked("travel", travel, "mm", least=0)
    top = np.minimum(arch, crown - travel) - radius
    return Gaps(side=plain((legs - width) / 2.0), top=plain(top))
