"""Points and directions in the plane: millimetres and degrees, x to the right and y up."""

from __future__ import annotations

import math

from webapp.drawing.points import Point


def polar(centre: Point, distance: float, direction: float) -> Point:
    """The point at a distance [mm] in a direction [deg] from another.

    >>> [round(v) for v in polar((1.0, 0.0), 2.0, 180.0)]
    [-1, 0]
    """
    turn = math.radians(direction)
    return centre[0] + distance * math.cos(turn), centre[1] + distance * math.sin(turn)


def fan(centre: Point, distance: float, first: float, step: float, count: int) -> list[Point]:
    """Points at one distance [mm] from another, in directions [deg] a step apart.

    >>> [(round(x), round(y)) for x, y in fan((1.0, 0.0), 2.0, 0.0, 90.0, 3)]
    [(3, 0), (1, 2), (-1, 0)]
    """
    (x, y), cos, sin = centre, math.cos, math.sin
    turns = [math.radians(first + step * at) for at in range(count)]
    return [(x + distance * cos(turn), y + distance * sin(turn)) for turn in turns]


def direction(start: Point, end: Point) -> float:
    """Direction from one point to another [deg].

    >>> direction((0.0, 0.0), (0.0, 5.0))
    90.0
    """
    return math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))
