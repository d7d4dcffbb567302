"""Saddle heights a post reaches in one frame size."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from geometry.bike import (
    Build,
    Frame,
    Seat,
    Standing,
)
from geometry.clearance import (
    Post,
    SeatTube,
    insertion,
    least_insertion,
    post_range,
    seat_tube_of,
)
from geometry.core import cos, sin
from webapp.catalogue.schema.frames import SizeData
from webapp.catalogue.schema.part_kinds import PostData


@dataclass(frozen=True, kw_only=True, eq=False)
class SeatRange:
    """Saddle heights [mm] between the post fully inserted and at minimum insertion.

    Parameters
    ----------
    lowest, highest : float [mm]
        Straight from the BB centre; a dropper's with its post up.
    tube, post
        What was put together.
    stack : float [mm]
        What saddle and setback add along the post's axis.
    cable_room : float [mm]
        Below the shaft, counted to the post's body.
    """

    lowest: float
    highest: float
    tube: SeatTube
    post: Post
    stack: float
    cable_room: float

    @property
    def middle(self) -> float:
        """Half-way between lowest and highest [mm], whole."""
        return float(round((self.lowest + self.highest) / 2))

    def insertion(self, saddle_height: float) -> float:
        """How deep the post's shaft sits at a saddle height [mm]."""
        found = insertion(
            self.tube, self.post, saddle_height=saddle_height, saddle_stack=self.stack
        )
        return float(found) - self.cable_room


def seat_range(
    standing: Standing, build: Build, seat: Seat, *, post: PostData, size: SizeData
) -> SeatRange:
    """Saddle heights a post reaches in one frame size.

    Parameters
    ----------
    standing, build, seat
        The unloaded build; the seat's own height is not used.
    post : PostData
    size : SizeData

    Returns
    -------
    SeatRange
    """
    fitted = size_tube(build.frame, size), post_of(post)
    return range_of(fitted, standing, seat, cable_room=post.cable_room)


def range_of(
    fitted: tuple[SeatTube, Post], standing: Standing, seat: Seat, *, cable_room: float
) -> SeatRange:
    """The same of a tube and a post that are known as they go together.

    Parameters
    ----------
    fitted : tuple of SeatTube and Post
    standing : Standing
        The unloaded build.
    seat : Seat
        Its own height is not used.
    cable_room : float [mm]
        Below the post's shaft.

    Returns
    -------
    SeatRange
    """
    tube, post = fitted
    stack = stack_along_axis(
        float(seat.saddle_stack),
        setback=float(seat.post_offset),
        seat_tube_angle=float(standing.seat_tube_angle),
    )
    reach = post_range(tube, post, saddle_stack=stack)
    offset = float(tube.offset)
    return SeatRange(
        lowest=float(np.hypot(reach.lowest, offset)),
        highest=float(np.hypot(reach.highest, offset)),
        tube=tube,
        post=post,
        stack=stack,
        cable_room=cable_room,
    )


def stack_along_axis(saddle_stack: float, *, setback: float, seat_tube_angle: float) -> float:
    """What saddle and setback add along the post's axis [mm].

    ``(stack − setback cos a) / sin a``: the saddle's height is square to the
    ground, and a setback square to the axis takes the clamp below its end.

    >>> round(stack_along_axis(44.0, setback=0.0, seat_tube_angle=73.0), 1)
    46.0
    """
    return float((saddle_stack - setback * cos(seat_tube_angle)) / sin(seat_tube_angle))


def size_tube(frame: Frame, size: SizeData) -> SeatTube:
    """What one size gives a post; boss threads that reach into the bore end it."""
    room = size.post
    stopped = room.boss_depth if room.boss_intrudes else None
    return seat_tube_of(frame, depth=room.depth if stopped is None else min(room.depth, stopped))


def post_of(data: PostData) -> Post:
    """A post as it goes into a frame.

    The bend of a dropper's cable below the shaft is counted to its body, and so
    to the insertion it needs.
    """
    shaft = data.length if data.below_collar is None else data.below_collar
    needed = least_insertion(data.diameter, stated=data.min_insertion)
    return Post(
        body=shaft + data.cable_room,
        head=data.length - shaft,
        least_insertion=needed + data.cable_room,
        travel=data.travel,
    )


def posts_of(posts: Sequence[PostData]) -> Post:
    """Several posts as one, its numbers arrays."""
    each = [post_of(data) for data in posts]
    names = ("body", "head", "least_insertion", "travel")
    columns: Any = {name: np.array([float(getattr(p, name)) for p in each]) for name in names}
    return Post(**columns)
