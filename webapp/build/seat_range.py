"""Saddle heights a post reaches in one frame size."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.parts import Build
from geometry.saddle import Seat, saddle_height_of
from geometry.stance import Standing
from webapp.catalogue.frame_data import SizeData
from webapp.catalogue.part_data import PostData


@dataclass(frozen=True, kw_only=True)
class SeatRange:
    """Saddle heights [mm] between the post fully inserted and at minimum insertion.

    Parameters
    ----------
    lowest, highest : float [mm]
        Straight from the BB centre; a dropper's with its post up.
    insertion_at_lowest : float [mm]
        How deep the post sits at the lowest height.
    """

    lowest: float
    highest: float
    insertion_at_lowest: float

    @property
    def middle(self) -> float:
        """Half-way between lowest and highest [mm], whole."""
        return float(round((self.lowest + self.highest) / 2))

    def insertion(self, saddle_height: float) -> float:
        """How deep the post sits at a saddle height [mm].

        The post's axis passes the BB so near that a millimetre of saddle
        height is a millimetre of post.
        """
        return self.insertion_at_lowest - (saddle_height - self.lowest)


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
    shaft = post.length if post.below_collar is None else post.below_collar
    deepest = min(size.post.depth - post.cable_room, shaft)
    foot = size.seat_tube_length + post.length

    def height(insertion: float) -> float:
        found = saddle_height_of(standing, build, seat, post_above_bb=foot - insertion)
        return float(found)

    return SeatRange(
        lowest=height(deepest), highest=height(post.min_insertion), insertion_at_lowest=deepest
    )
