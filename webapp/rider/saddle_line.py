"""The line along which a rider's seat rises, and how saddle heights convert to it.

A build's saddle height is measured where the post's axis meets the saddle's
level. A rider is taken to sit there on a post without setback; setback and the
saddle's place on its rails shift the seat level from the axis::

        s---o   saddle's level: s rider's seat, o post's axis
         \\   \\
          \\   \\   the two lines are parallel

A leg is fitted to the seat; the build is told the height at the axis.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

from geometry.bike import Build, Seat, Standing, seated
from geometry.core import cos, sin
from geometry.rider import Linkage, PostAxis, saddle_height


@dataclass(frozen=True, kw_only=True, eq=False)
class SaddleLine:
    """Both lines of one build: the post's axis, and that of the rider's seat.

    Parameters
    ----------
    post, rider : PostAxis
        Parallel; a point and the angle of each [mm, deg].
    """

    post: PostAxis
    rider: PostAxis

    def from_post(self, height: float) -> float:
        """BB centre to the rider's seat [mm], for a saddle height at the post's axis [mm]."""
        _, level = self.post.saddle(height)
        along = (float(level) - self.rider.y) / float(sin(self.rider.angle))
        return math.hypot(self.rider.x - along * float(cos(self.rider.angle)), float(level))

    def to_post(self, distance: float) -> float:
        """Saddle height at the post's axis [mm], for a distance of BB centre and seat [mm]."""
        _, level = self.rider.saddle(distance)
        along = (float(level) - self.post.y) / float(sin(self.post.angle))
        return math.hypot(self.post.x - along * float(cos(self.post.angle)), float(level))

    def height_for(self, links: Linkage, *, crank_length: float, knee_flexion: float) -> float:
        """Saddle height of a build for one rider's leg.

        Parameters
        ----------
        links : Linkage
            One rider, arrays of shape (1,).
        crank_length : float [mm]
        knee_flexion : float [deg]
            Wanted at the lowest pedal, standing still.

        Returns
        -------
        float [mm]
            Whole millimetres, as a build is set.

        Raises
        ------
        NoSolution
            A leg too short for the cranks.
        """
        found: Any = saddle_height(
            links, axis=self.rider, crank_length=crank_length, knee_flexion=knee_flexion
        )
        return float(round(self.to_post(float(found[0]))))


def saddle_line(standing: Standing, build: Build, seat: Seat) -> SaddleLine:
    """The lines of a standing build.

    Parameters
    ----------
    standing : Standing
        One build on the ground.
    build : Build
    seat : Seat
        For setback, saddle stack and rails; its height is any that the post's axis meets.

    Returns
    -------
    SaddleLine

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> from geometry.bike import stand
    >>> build, seat = trail_build(), Seat(height=740.0, post_offset=20.0)
    >>> line = saddle_line(stand(build), build, seat)
    >>> round(line.from_post(740.0), 1), round(line.to_post(line.from_post(740.0)), 6)
    (745.6, 740.0)
    """
    at = seated(standing, build, seat)
    inline = seated(standing, build, replace(seat, post_offset=0.0, rail_position=0.0))
    angle = float(standing.seat_tube_angle)
    x, level = float(at.post_top[0]), float(at.post_top[1])
    shift = float(at.saddle[0]) - float(inline.saddle[0])
    return SaddleLine(
        post=PostAxis(x=x, y=level, angle=angle),
        rider=PostAxis(x=x + shift, y=level, angle=angle),
    )
