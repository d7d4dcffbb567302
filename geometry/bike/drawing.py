"""The frame as drawn: its points, and whether its drawing closes.

All points are in the drawn attitude, millimetres from the BB centre, x forward
and y up. A steerable front hangs on the head tube::

      T  head tube's top = (reach, stack)
       \\
        B  T + head tube length · down
         \\
          C  B + lower headset stack · down        (crown race seat)
           \\
            S  C + axle-to-crown along · down
             '-- F  S + offset · forward           (front axle)

    down    = (cos HA, −sin HA)
    forward = (sin HA,  cos HA)
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.bike.parts import Frame
from geometry.bike.remedies import DrawingThatCloses
from geometry.core import ContradictoryInput, Num, cos, degrees, length, plain, refuse, sin


def front_axle(
    *, reach: Num, stack: Num, sine: Num, cosine: Num, below_top: Num, offset: Num
) -> tuple[Num, Num]:
    """Front axle from the head tube's top, in the drawn attitude.

    Parameters
    ----------
    reach, stack : float or array [mm]
        Head tube's top.
    sine, cosine : float or array
        Of the head angle.
    below_top : float or array [mm]
        Head tube + lower headset stack + axle-to-crown, along the axis.
    offset : float or array [mm]
        Fork offset.

    Returns
    -------
    x, y : float or array [mm]

    Examples
    --------
    >>> front_axle(reach=400.0, stack=600.0, sine=1.0, cosine=0.0, below_top=650.0, offset=45.0)
    (445.0, -50.0)
    """
    x = reach + below_top * cosine + offset * sine
    y = stack - below_top * sine + offset * cosine
    return x, y


def rear_axle(
    *, chainstay_length: Num, bb_drop: Num, slot_angle: Num, slot_position: Num
) -> tuple[Num, Num]:
    """Rear axle at a slot position, in the drawn attitude.

    Parameters
    ----------
    chainstay_length, bb_drop : float or array [mm]
        At slot position 0.
    slot_angle : float or array [deg]
        Positive rises to the rear.
    slot_position : float or array [mm]
        From the slot's front end, along the slot.

    Returns
    -------
    x, y : float or array [mm]
        ``(−sqrt(cs² − drop²) − s cos a, drop + s sin a)``.

    Examples
    --------
    >>> x, y = rear_axle(chainstay_length=425.0, bb_drop=65.0, slot_angle=0.0, slot_position=10.0)
    >>> round(float(x), 2), round(float(y), 2)
    (-430.0, 65.0)
    """
    level = np.sqrt(chainstay_length * chainstay_length - bb_drop * bb_drop)
    x = -level - slot_position * cos(slot_angle)
    y = bb_drop + slot_position * sin(slot_angle)
    return x, y


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Closure:
    """How far a drawn table is from closing.

    Parameters
    ----------
    axle : float or array [mm]
        Drawn front axle above (+) or below (−) where the drawn wheels, both
        on one level ground, would put it.
    head_angle : float or array [deg]
        Change of head angle that would close the loop, all else as drawn.
    """

    axle: Num
    head_angle: Num


def drawn_front_axle(frame: Frame) -> tuple[Num, Num]:
    """Front axle of the drawing, hung on the head tube with the drawn fork.

    Parameters
    ----------
    frame : Frame
        One size, or arrays of sizes.

    Returns
    -------
    x, y : float or array [mm]
        From the BB centre, drawn attitude.
    """
    drawn = frame.drawn_with
    below_top = frame.head_tube_length + drawn.lower_headset_stack + drawn.fork.along
    x, y = front_axle(
        reach=frame.reach,
        stack=frame.stack,
        sine=sin(frame.head_angle),
        cosine=cos(frame.head_angle),
        below_top=below_top,
        offset=drawn.fork.offset,
    )
    return x, y


def closure(frame: Frame) -> Closure:
    """How far the drawn front axle is from where the drawn wheels would put it.

    Reach, stack, head angle, head tube, fork, drop and wheels close a loop, so
    a published table can contradict itself.

    Parameters
    ----------
    frame : Frame
        One size, or arrays of sizes.

    Returns
    -------
    Closure
        ``axle`` [mm] = drawn height of the front axle − (ground + front
        radius), with the ground one rear radius below the drawn rear axle;
        ``head_angle`` [deg] = the change that brings it to 0, NaN-free: where
        no head angle can close the drawing it raises.

    Raises
    ------
    ContradictoryInput
        When no head angle at all could close the drawing.

    Notes
    -----
    With M the length from head tube top to the axle's foot and o the offset,
    the axle hangs ``M sin HA − o cos HA = sqrt(M² + o²) sin(HA − atan(o/M))``
    below the top, which is solved for HA. Source: plane geometry.

    Examples
    --------
    >>> from geometry.examples import trail_hardtail
    >>> round(closure(trail_hardtail()).axle, 1)
    0.0
    """
    drawn = frame.drawn_with
    _, drawn_y = drawn_front_axle(frame)
    _, rear_y = rear_axle(
        chainstay_length=frame.chainstay_length,
        bb_drop=frame.bb_drop,
        slot_angle=frame.slot_angle,
        slot_position=drawn.slot_position,
    )
    wanted = rear_y - drawn.rear_radius + drawn.front_radius
    below_top = frame.head_tube_length + drawn.lower_headset_stack + drawn.fork.along
    share = (frame.stack - wanted) / length(below_top, drawn.fork.offset)
    refuse(np.abs(share) > 1, ContradictoryInput, "stack", frame.stack, DrawingThatCloses())
    lean = np.arctan(drawn.fork.offset / below_top)
    hang = np.arcsin(share)
    past_upright = frame.head_angle > 90 + degrees(lean)
    closing = degrees(np.where(past_upright, np.pi - hang, hang) + lean)
    return Closure(axle=plain(drawn_y - wanted), head_angle=plain(closing - frame.head_angle))
