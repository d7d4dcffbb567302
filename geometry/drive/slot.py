"""A sliding rear axle: its distance from the BB along the slot, and back.

In the drawn attitude, origin at the BB centre, the axle at slot position s is at
``(−√(cs² − drop²) − s cos a, drop + s sin a)``, so its distance from the BB is
closed-form in s, and s is the root of a quadratic in that distance::

         s = slot length          0
            [======== o ========]---- chainstay ---- BB
            rear end            front end, slot position 0
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.core import (
    Checked,
    ContradictoryInput,
    LessThanChainstay,
    NoSolution,
    Num,
    checked,
    cos,
    number,
    plain,
    refuse,
    sin,
)
from geometry.drive.remedies import ReachesSlotLine


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Slot(Checked):
    """A frame's axle slot as drawn, and what its BB sees of it.

    Parameters
    ----------
    chainstay_length, bb_drop : float or array [mm]
        At slot position 0.
    slot_length : float or array [mm]
        0 for an axle that does not slide.
    slot_angle : float or array [deg]
        0 level in the drawn attitude, positive rises to the rear.

    Raises
    ------
    InvalidInput
        Not finite, a chainstay not above 0, a negative slot length.
    ContradictoryInput
        A BB drop as long as the chainstay.
    """

    chainstay_length: Num = number("mm", above=0)
    bb_drop: Num = number("mm")
    slot_length: Num = number("mm", least=0, default=0.0)
    slot_angle: Num = number("degrees", least=-90, most=90, default=0.0)

    def __post_init__(self) -> None:
        Checked.__post_init__(self)
        wrong = np.abs(self.bb_drop) >= self.chainstay_length
        refuse(wrong, ContradictoryInput, "bb_drop", self.bb_drop, LessThanChainstay())


def _along(slot: Slot) -> Num:
    """How far the slot's front end lies along the slot's own direction from the BB."""
    level = np.sqrt(slot.chainstay_length**2 - slot.bb_drop**2)
    along: Num = level * cos(slot.slot_angle) + slot.bb_drop * sin(slot.slot_angle)
    return along


def centre_at(slot: Slot, position: Num) -> Num:
    """Distance from BB centre to rear axle at a slot position: the chainstay length there.

    Parameters
    ----------
    slot : Slot
        The frame's.
    position : float or array [mm]
        Along the slot from its front end; may lie outside it.

    Returns
    -------
    float or array [mm]
        ``√(cs² + 2 b s + s²)`` with ``b = √(cs²−drop²) cos a + drop sin a``.

    Raises
    ------
    InvalidInput
        A position that is not finite.

    Examples
    --------
    >>> slot = Slot(chainstay_length=425.0, bb_drop=60.0, slot_length=22.0)
    >>> round(centre_at(slot, 10.0), 2)
    434.9
    """
    position = checked("slot_position", position, "mm")
    return plain(np.sqrt(slot.chainstay_length**2 + (2.0 * _along(slot) + position) * position))


def position_at(slot: Slot, centre: Num) -> Num:
    """Slot position at which the axle is so far from the BB; may lie outside the slot.

    Parameters
    ----------
    slot : Slot
        The frame's.
    centre : float or array [mm]
        BB centre to rear axle.

    Returns
    -------
    float or array [mm]
        ``√(b² + C² − cs²) − b``, the inverse of `centre_at` towards the rear.

    Raises
    ------
    InvalidInput
        A centre distance that is not above 0.
    NoSolution
        A centre distance shorter than from the BB to the slot's own line.

    Examples
    --------
    >>> slot = Slot(chainstay_length=425.0, bb_drop=60.0, slot_length=22.0)
    >>> round(position_at(slot, 425.0), 9)
    0.0
    """
    centre = checked("centre", centre, "mm", above=0)
    along = _along(slot)
    square = along**2 + centre**2 - slot.chainstay_length**2
    refuse(square < 0, NoSolution, "centre", centre, ReachesSlotLine())
    return plain(np.sqrt(square) - along)


def free_play_shift(play: Num, *, centre: Num) -> Num:
    """How far forward of taut an axle sits to give a chain its free play.

    Parameters
    ----------
    play : float or array [mm]
        Whole up-and-down movement of the slack run at its middle.
    centre : float or array [mm]
        Centre distance, taken for the run's length.

    Returns
    -------
    float or array [mm]
        ``√((C/2)² + (v/2)²) − C/2``.

    Raises
    ------
    InvalidInput
        Negative play, a centre distance not above 0.

    Notes
    -----
    One run is straight and the other makes two sides of a triangle whose height
    is half the play; the loop's surplus is shared by both runs, so the axle
    gives half of it. Source: plane geometry.

    Examples
    --------
    A fifth of a millimetre of axle is a good centimetre of chain.

    >>> round(free_play_shift(18.0, centre=420.0), 2)
    0.19
    """
    play = checked("play", play, "mm", least=0)
    half = checked("centre", centre, "mm", above=0) / 2.0
    return plain(np.sqrt(half * half + play * play / 4.0) - half)
