"""Reads the inputs of the clearance checks off a drawn frame and a standing build.

The checks take plain numbers, so that they can be asked of anything; these few
functions read those numbers off the frame as drawn and the bike as it stands.
"""

from __future__ import annotations

from geometry.bike import Frame, Standing
from geometry.clearance.pedals import Wheel
from geometry.clearance.post import SeatTube
from geometry.core import Num
from geometry.drive import Slot


def slot_of(frame: Frame) -> Slot:
    """The axle slot of a frame.

    Parameters
    ----------
    frame : Frame
        One size, or arrays of sizes.

    Returns
    -------
    Slot

    Examples
    --------
    >>> from geometry.examples import trail_hardtail
    >>> slot_of(trail_hardtail()).slot_length
    16.0
    """
    return Slot(
        chainstay_length=frame.chainstay_length,
        bb_drop=frame.bb_drop,
        slot_length=frame.slot_length,
        slot_angle=frame.slot_angle,
    )


def seat_tube_of(frame: Frame, *, depth: Num) -> SeatTube:
    """The seat tube as a post sees it.

    Parameters
    ----------
    frame : Frame
        One size, or arrays of sizes.
    depth : float or array [mm]
        Straight, free bore below the seat tube's top.

    Returns
    -------
    SeatTube

    Raises
    ------
    InvalidInput
        As for `SeatTube`.

    Examples
    --------
    >>> from geometry.examples import trail_hardtail
    >>> seat_tube_of(trail_hardtail(), depth=250.0).length
    430.0
    """
    return SeatTube(length=frame.seat_tube_length, depth=depth, offset=frame.seat_tube_offset)


def wheels_of(standing: Standing, *, rear_width: Num, front_width: Num) -> tuple[Wheel, Wheel]:
    """Both wheels as they stand, loaded, for the pedal's clearance of the ground.

    Parameters
    ----------
    standing : Standing
        The build in the state asked about.
    rear_width, front_width : float or array [mm]
        Of the tyres, as measured on their rims.

    Returns
    -------
    rear, front : Wheel

    Raises
    ------
    InvalidInput, ContradictoryInput
        As for `Wheel`.

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> from geometry.bike import stand
    >>> rear, front = wheels_of(stand(trail_build()), rear_width=58.0, front_width=60.0)
    >>> rear.radius, front.width
    (370.0, 60.0)
    """
    rear_x, rear_y = standing.rear_axle
    front_x, front_y = standing.front_axle
    rear = Wheel(x=rear_x, y=rear_y, radius=standing.rear_radius, width=rear_width)
    return rear, Wheel(x=front_x, y=front_y, radius=standing.front_radius, width=front_width)
