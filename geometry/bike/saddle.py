"""Where the seat is: post and saddle of a standing build.

The saddle sits on the post's axis at the saddle height, a straight distance
from the BB centre; the effective seat angle is that line's slope::

            ___S___  saddle, its rails level when it is set
               C     post's clamp, a saddle stack below
                \\
                 \\  post and seat tube, leaning back
                  o  BB centre
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.bike.frame_points import on_seat_axis
from geometry.bike.parts import Build
from geometry.bike.remedies import MoreThanSeatOffset
from geometry.bike.standing import Standing
from geometry.core import (
    Checked,
    ContradictoryInput,
    Num,
    cos,
    degrees,
    number,
    plain,
    refuse,
    rotate,
    sin,
)


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Seat(Checked):
    """How the saddle is set.

    Parameters
    ----------
    height : float or array [mm]
        Straight from the BB centre to the saddle's top, where the post's axis
        meets its level.
    post_offset : float or array [mm]
        Of the post's clamp behind its axis, square to it (setback).
    rail_position : float or array [mm]
        Saddle slid forward (+) or back (−) from the rails' middle.
    saddle_stack : float or array [mm]
        Rails' centre to saddle top.
    """

    height: Num = number("mm", above=0)
    post_offset: Num = number("mm", default=0.0)
    rail_position: Num = number("mm", default=0.0)
    saddle_stack: Num = number("mm", least=0, default=45.0)


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Seated:
    """Saddle of a standing build, from the BB centre [mm].

    Parameters
    ----------
    post_top : (x, y)
        Where the post's axis reaches the saddle's height.
    clamp : (x, y)
        Centre of the post's clamp, at the height of the rails.
    saddle : (x, y)
        Saddle top above the rails' middle.
    effective_seat_angle : float or array [deg]
        BB centre to ``post_top``, from the level.
    post_above_bb : float or array [mm]
        From the BB centre's foot on the post's axis up to the clamp, along it.
    height : float or array [mm]
        ``post_top`` above the ground: the saddle's top when it is set.
    """

    post_top: tuple[Num, Num]
    clamp: tuple[Num, Num]
    saddle: tuple[Num, Num]
    effective_seat_angle: Num
    post_above_bb: Num
    height: Num


def seated(standing: Standing, build: Build, seat: Seat) -> Seated:
    """Saddle from saddle height, post offset and the saddle's place on its rails.

    Parameters
    ----------
    standing : Standing
        The build on the ground.
    build : Build
        For the seat tube's offset.
    seat : Seat
        How the saddle is set.

    Returns
    -------
    Seated
        Points [mm] from the BB centre, effective seat angle [deg].

    Raises
    ------
    ContradictoryInput
        A saddle height that the post's axis, passing the BB at its offset,
        never comes down to.

    Notes
    -----
    The point on the axis at distance h of the BB lies ``sqrt(h² − offset²)``
    up the axis and is seen ``asin(offset/h)`` steeper than it. Rails lie level; the
    clamp is ``post_offset`` behind the axis, square to it. Source: plane geometry.

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> from geometry.bike import stand
    >>> build = trail_build()
    >>> found = seated(stand(build), build, Seat(height=740.0))
    >>> round(found.effective_seat_angle, 1)
    75.0
    """
    offset = build.frame.seat_tube_offset
    remedy = MoreThanSeatOffset()
    refuse(seat.height <= np.abs(offset), ContradictoryInput, "height", seat.height, remedy)
    sine, cosine = sin(standing.seat_tube_angle), cos(standing.seat_tube_angle)
    run = np.sqrt(seat.height * seat.height - offset * offset)
    top_x, top_y = on_seat_axis(offset=offset, sine=sine, cosine=cosine, up=run)
    rails_y = top_y - seat.saddle_stack
    back = seat.post_offset
    # The clamp lies `back` square behind the axis, at the rails' level.
    up_axis = (rails_y - offset * cosine + back * cosine) / sine
    clamp_x = offset * sine - up_axis * cosine - back * sine
    return Seated(
        post_top=(plain(top_x), plain(top_y)),
        clamp=(plain(clamp_x), plain(rails_y)),
        saddle=(plain(clamp_x + seat.rail_position), plain(top_y)),
        effective_seat_angle=plain(
            standing.seat_tube_angle + degrees(np.arcsin(offset / seat.height))
        ),
        post_above_bb=plain(up_axis),
        height=plain(top_y + standing.bb_height),
    )


def carried(found: Seated, *, before: Standing, after: Standing) -> Seated:
    """A saddle set level in one attitude, carried along into another.

    Fork and tyres press in, the bike turns about its BB, and the saddle with it.

    Parameters
    ----------
    found : Seated
        The saddle in the attitude it was set in.
    before, after : Standing
        That attitude, and the one wanted; of the same frame.

    Returns
    -------
    Seated
        Points [mm] from the BB centre, turned by the difference of the two turns.

    Notes
    -----
    Source: a rigid body turned about the BB.

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> from geometry.bike import State, stand
    >>> build = trail_build()
    >>> free, sagged = stand(build), stand(build, State(fork_compression=35.0))
    >>> found = seated(free, build, Seat(height=740.0))
    >>> round(carried(found, before=free, after=sagged).effective_seat_angle, 1)
    76.6
    """
    # Cosine and sine of the turn from one attitude to the other.
    back = {"cosine": before.turn_cosine, "sine": -before.turn_sine}
    cosine, sine = rotate(after.turn_cosine, after.turn_sine, **back)

    def turned(point: tuple[Num, Num]) -> tuple[Num, Num]:
        x, y = rotate(*point, cosine=cosine, sine=sine)
        return plain(x), plain(y)

    post_top = turned(found.post_top)
    return Seated(
        post_top=post_top,
        clamp=turned(found.clamp),
        saddle=turned(found.saddle),
        effective_seat_angle=plain(found.effective_seat_angle - (after.turn - before.turn)),
        post_above_bb=found.post_above_bb,
        height=plain(post_top[1] + after.bb_height),
    )
