"""Standing over the bike: the top tube of a standing build and its height.

::

                       _.-  head end
                  _.-'
    seat end _.-'      height at `ahead`: the tube's upper edge over the ground
                 |
       BB o - - -| ahead
"""

from __future__ import annotations

import numpy as np

from geometry.bike.frame_points import from_head_tube_top, on_seat_axis
from geometry.bike.parts import Build, TopTube
from geometry.bike.remedies import BetweenTubes, TopTubeDrawn
from geometry.bike.standing import Standing
from geometry.core import InvalidInput, Num, cos, plain, refuse, sin


def standover(standing: Standing, build: Build, *, ahead: Num) -> Num:
    """Height of the top tube's upper edge above the ground.

    Parameters
    ----------
    standing : Standing
        The build on the ground.
    build : Build
        Its frame must have a `TopTube`.
    ahead : float or array [mm]
        Where it is measured: level distance ahead of the BB centre.

    Returns
    -------
    float or array [mm]

    Raises
    ------
    InvalidInput
        A frame without its top tube, or a place beyond the tube's ends.

    Notes
    -----
    The centreline's height at ``ahead`` plus half the diameter over the cosine
    of its slope. Source: plane geometry; where to measure is common practice
    and the builder's choice.

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> from geometry.bike import stand
    >>> build = trail_build()
    >>> round(standover(stand(build), build, ahead=50.0))
    759
    """
    tube = build.frame.top_tube
    if tube is None:
        raise InvalidInput("top_tube", None, TopTubeDrawn())
    (seat_x, seat_y), (head_x, head_y) = top_tube_ends(standing, build, tube)
    wrong = (np.asarray(ahead) < seat_x) | (np.asarray(ahead) > head_x) | (head_x <= seat_x)
    refuse(wrong, InvalidInput, "ahead", ahead, BetweenTubes())
    slope = (head_y - seat_y) / (head_x - seat_x)
    centreline = seat_y + slope * (ahead - seat_x)
    return plain(centreline + tube.diameter / 2 * np.sqrt(1 + slope * slope) + standing.bb_height)


def seat_tube_point(standing: Standing, build: Build, *, up: Num) -> tuple[Num, Num]:
    """A point of the seat tube's axis of a standing build.

    Parameters
    ----------
    standing : Standing
        The build on the ground.
    build : Build
        For the seat tube's offset.
    up : float or array [mm]
        Along the axis from the BB centre's foot on it.

    Returns
    -------
    x, y : float or array [mm]
        From the BB centre, standing.

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> from geometry.bike import stand
    >>> build = trail_build()
    >>> [round(v) for v in seat_tube_point(stand(build), build, up=400.0)]
    [-104, 386]
    """
    return on_seat_axis(
        offset=build.frame.seat_tube_offset,
        sine=sin(standing.seat_tube_angle),
        cosine=cos(standing.seat_tube_angle),
        up=up,
    )


def top_tube_ends(
    standing: Standing, build: Build, tube: TopTube
) -> tuple[tuple[Num, Num], tuple[Num, Num]]:
    """Ends of the top tube's centreline on the seat tube and head tube axes.

    Parameters
    ----------
    standing : Standing
        The build on the ground.
    build : Build
        For the seat tube's offset.
    tube : TopTube
        Where the centreline meets both axes.

    Returns
    -------
    seat, head : (x, y) each [mm]
        From the BB centre, standing.

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> from geometry.bike import stand
    >>> build = trail_build()
    >>> seat, head = top_tube_ends(stand(build), build, build.frame.top_tube)
    >>> [round(v) for v in seat], [round(v) for v in head]
    ([-101, 377], [485, 606])
    """
    seat_x, seat_y = seat_tube_point(standing, build, up=tube.along_seat_tube)
    head_x, head_y = from_head_tube_top(
        reach=standing.reach,
        stack=standing.stack,
        sine=sin(standing.head_angle),
        cosine=cos(standing.head_angle),
        up=-tube.below_head_tube_top,
        forward=0.0,
    )
    return (plain(seat_x), plain(seat_y)), (plain(head_x), plain(head_y))
