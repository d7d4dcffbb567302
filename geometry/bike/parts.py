"""Typed, frozen inputs: what a frame, fork, wheel and cockpit are to the solver.

Every number is a float or an array; arrays broadcast against each other, so one
object can describe one build or a hundred thousand. Inputs are checked once,
here, when they are made: a value that is not finite or has an impossible sign
raises `InvalidInput`, with the row for arrays; values that cannot belong
together raise `ContradictoryInput`. Nothing is ever clamped.

Lengths are millimetres, angles degrees, in the frame's drawn attitude: side
view from the drive side, x forward, y up, origin at the BB centre.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from geometry.bike.remedies import (
    BetweenSlotEnds,
    FixedAxle,
    LessThanAxleToCrown,
    LongerThanOffset,
    WithinSlot,
)
from geometry.core import (
    Checked,
    ContradictoryInput,
    InvalidInput,
    LessThanChainstay,
    Num,
    OneOf,
    check_shapes,
    checked,
    number,
    refuse,
)

Measured = Literal["along", "straight"]
"""How an axle-to-crown length is quoted: along the steering axis, or straight
from the axle to the crown race seat."""


def along_axis(axle_to_crown: Num, offset: Num, measured: Measured) -> Num:
    """Axle-to-crown length along the steering axis.

    Parameters
    ----------
    axle_to_crown : float or array [mm]
        As quoted.
    offset : float or array [mm]
        Distance of the axle from the steering axis, square to it.
    measured : {"along", "straight"}
        How the length is quoted.

    Returns
    -------
    float or array [mm]
        ``axle_to_crown`` itself, or ``sqrt(axle_to_crown² − offset²)``.

    Notes
    -----
    Source: right triangle of axle, its foot on the steering axis and the crown.

    Examples
    --------
    At 530 mm and 44 mm offset the two conventions differ by 1.8 mm.

    >>> round(float(530.0 - along_axis(530.0, 44.0, "straight")), 1)
    1.8
    """
    if measured == "along":
        return axle_to_crown
    return np.sqrt(axle_to_crown * axle_to_crown - offset * offset)


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Fork(Checked):
    """A fork, rigid or with suspension.

    Parameters
    ----------
    axle_to_crown : float or array [mm]
        From the axle to the crown race seat, fully extended.
    offset : float or array [mm]
        Distance of the axle in front of the steering axis, square to it. A fork
        turned round has a negative one.
    travel : float or array [mm]
        Suspension travel along the steering axis; 0 for a rigid fork.
    axle_to_crown_measured : {"along", "straight"}
        How ``axle_to_crown`` is quoted.

    Raises
    ------
    ContradictoryInput
        A straight axle-to-crown not longer than the offset, or a travel that
        would push the axle into the crown.

    Examples
    --------
    >>> Fork(axle_to_crown=530.0, offset=48.0, travel=125.0).along
    530.0
    """

    axle_to_crown: Num = number("mm", above=0)
    offset: Num = number("mm")
    travel: Num = number("mm", least=0, default=0.0)
    axle_to_crown_measured: Measured = "along"

    def __post_init__(self) -> None:
        Checked.__post_init__(self)
        if self.axle_to_crown_measured not in ("along", "straight"):
            remedy = OneOf(choices=("along", "straight"))
            raise InvalidInput("axle_to_crown_measured", self.axle_to_crown_measured, remedy)
        if self.axle_to_crown_measured == "straight":
            wrong = self.axle_to_crown <= np.abs(self.offset)
            longer = LongerThanOffset()
            refuse(wrong, ContradictoryInput, "axle_to_crown", self.axle_to_crown, longer)
        beyond = self.travel >= self.along
        refuse(beyond, ContradictoryInput, "travel", self.travel, LessThanAxleToCrown())

    @property
    def along(self) -> Num:
        """Axle-to-crown along the steering axis [mm]."""
        value: Num = along_axis(self.axle_to_crown, self.offset, self.axle_to_crown_measured)
        return value


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class DrawnWith(Checked):
    """The fork, headset and wheels a frame size is drawn with.

    Parameters
    ----------
    fork : Fork
        The fork of the drawing, unloaded.
    lower_headset_stack : float or array [mm]
        From the head tube's bottom to the crown race seat, along the axis.
    front_radius, rear_radius : float or array [mm]
        Wheel radii over the tyre.
    slot_position : float or array [mm]
        Where in its slot the rear axle is drawn.
    """

    fork: Fork
    lower_headset_stack: Num = number("mm", least=0)
    front_radius: Num = number("mm", above=0)
    rear_radius: Num = number("mm", above=0)
    slot_position: Num = number("mm", least=0, default=0.0)


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class TopTube(Checked):
    """Where the top tube's centreline lies, and how thick it is.

    Parameters
    ----------
    below_head_tube_top : float or array [mm]
        From the head tube's top down its axis to where the centreline meets it.
    along_seat_tube : float or array [mm]
        From the BB centre's foot on the seat tube axis up to where the
        centreline meets that axis.
    diameter : float or array [mm]
        Outside diameter.
    """

    below_head_tube_top: Num = number("mm", least=0)
    along_seat_tube: Num = number("mm", above=0)
    diameter: Num = number("mm", above=0)


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Frame(Checked):
    """One frame size as drawn, in the attitude of its drawing.

    Parameters
    ----------
    reach, stack : float or array [mm]
        From the BB centre forward and up to the centre of the head tube's top.
    head_angle : float or array [deg]
        Steering axis from the level.
    head_tube_length : float or array [mm]
        Along the steering axis.
    seat_tube_angle : float or array [deg]
        Seat tube axis from the level.
    seat_tube_offset : float or array [mm]
        Distance of the seat tube's axis from the BB centre, square to it;
        positive when the axis passes in front.
    seat_tube_length : float or array [mm]
        From the BB centre's foot on the axis to the tube's top, along the axis.
    chainstay_length, bb_drop : float or array [mm]
        BB centre to rear axle, and how far the BB lies below it, with the axle
        at slot position 0.
    slot_length : float or array [mm]
        How far the axle slides back; 0 for a fixed axle.
    slot_angle : float or array [deg]
        Slope of the slot: 0 level in the drawn attitude, positive rises to the rear.
    drawn_with : DrawnWith
        Fork, headset and wheels of the drawing.
    top_tube : TopTube, optional
        Needed for standover only.

    Raises
    ------
    InvalidInput
        A number that is not finite or has an impossible sign or size.
    ContradictoryInput
        A BB drop as long as the chainstay, or a drawn slot position outside
        the slot.
    """

    reach: Num = number("mm")
    stack: Num = number("mm", above=0)
    head_angle: Num = number("degrees", least=30, most=100)
    head_tube_length: Num = number("mm", above=0)
    seat_tube_angle: Num = number("degrees", least=30, most=100)
    seat_tube_offset: Num = number("mm", default=0.0)
    seat_tube_length: Num = number("mm", above=0)
    chainstay_length: Num = number("mm", above=0)
    bb_drop: Num = number("mm")
    slot_length: Num = number("mm", least=0, default=0.0)
    slot_angle: Num = number("degrees", least=-90, most=90, default=0.0)
    drawn_with: DrawnWith
    top_tube: TopTube | None = None

    def __post_init__(self) -> None:
        Checked.__post_init__(self)
        too_deep = np.abs(self.bb_drop) >= self.chainstay_length
        refuse(too_deep, ContradictoryInput, "bb_drop", self.bb_drop, LessThanChainstay())
        position = self.drawn_with.slot_position
        check_shapes({"slot_length": self.slot_length, "drawn_with.slot_position": position})
        outside, field = position > self.slot_length, "drawn_with.slot_position"
        refuse(outside, ContradictoryInput, field, position, WithinSlot())


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Build(Checked):
    """One frame size with the fork, headset, wheels and axle position fitted.

    Parameters
    ----------
    frame : Frame
        The size as drawn.
    fork : Fork
        The fork fitted.
    lower_headset_stack : float or array [mm]
        Of the headset fitted.
    front_radius, rear_radius : float or array [mm]
        Free wheel radii over the tyres fitted.
    slot_position : float or array [mm]
        Rear axle from the slot's front end, along the slot.

    Raises
    ------
    InvalidInput
        Among others, a slot position outside the slot.
    """

    frame: Frame
    fork: Fork
    lower_headset_stack: Num = number("mm", least=0)
    front_radius: Num = number("mm", above=0)
    rear_radius: Num = number("mm", above=0)
    slot_position: Num = number("mm", default=0.0)

    def __post_init__(self) -> None:
        Checked.__post_init__(self)
        slot = self.frame.slot_length
        check_shapes({"frame.slot_length": slot, "slot_position": self.slot_position})
        wrong = (self.slot_position < 0) | (self.slot_position > slot)
        longest = float(np.max(slot))
        remedy = BetweenSlotEnds(longest=longest) if longest > 0 else FixedAxle()
        refuse(wrong, InvalidInput, "slot_position", self.slot_position, remedy)


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class State(Checked):
    """How far fork and tyres are pressed in.

    Parameters
    ----------
    fork_compression : float or array [mm]
        Travel used, along the steering axis.
    front_deflection, rear_deflection : float or array [mm]
        Free minus loaded tyre radius.

    Examples
    --------
    >>> State.sagged(Fork(axle_to_crown=530.0, offset=48.0, travel=125.0), fraction=0.2)
    State(fork_compression=25.0, front_deflection=0.0, rear_deflection=0.0)
    """

    fork_compression: Num = number("mm", least=0, default=0.0)
    front_deflection: Num = number("mm", least=0, default=0.0)
    rear_deflection: Num = number("mm", least=0, default=0.0)

    @classmethod
    def unloaded(cls) -> State:
        """Nothing pressed in."""
        return _UNLOADED

    @classmethod
    def sagged(cls, fork: Fork, *, fraction: Num) -> State:
        """Fork pressed in by ``fraction`` [of travel, 0 to 1] of its travel."""
        share = checked("sag_fraction", fraction, "of travel", least=0, most=1)
        return cls(fork_compression=share * fork.travel)


_UNLOADED = State()
