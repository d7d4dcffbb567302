"""Places that texts could take, and whether two of them meet."""

from __future__ import annotations

from typing import NamedTuple

from webapp.drawing.dimensioning.lettering import Anchor, Shape
from webapp.drawing.points import Point


class Spot(NamedTuple):
    """A place for a text: its box's centre, its shape, and a line that leads to it, if any."""

    centre: Point
    shape: Shape
    anchor: Anchor = "middle"
    shelf: tuple[Point, Point] | None = None

    def meets(self, other: Spot, apart: float) -> bool:
        """Whether two texts come nearer than ``apart`` [mm], or one's line crosses the other."""
        one, two = self.shape, other.shape
        wide = one.half_width + two.half_width + apart
        high = one.half_height + two.half_height + apart
        (x, y), (u, v) = self.centre, other.centre
        if abs(x - u) < wide and abs(y - v) < high:
            return True
        lines = self.shelf, other.shelf
        return (lines[0] is not None and other.crossed_by(lines[0])) or (
            lines[1] is not None and self.crossed_by(lines[1])
        )

    def crossed_by(self, line: tuple[Point, Point]) -> bool:
        """Whether a line passes through the box: no side of either separates them."""
        (ax, ay), (bx, by) = line
        (x, y), wide, high = self.centre, self.shape.half_width, self.shape.half_height
        dx, dy = (bx - ax) / 2, (by - ay) / 2
        u, v = x - (ax + bx) / 2, y - (ay + by) / 2
        return (
            abs(u) < wide + abs(dx)
            and abs(v) < high + abs(dy)
            and abs(u * dy - v * dx) < wide * abs(dy) + high * abs(dx)
        )
