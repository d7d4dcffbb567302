"""All sizes of a revision laid over each other, as drawn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from geometry.bike import Build, Frame, stand
from webapp.common.text.language import tr
from webapp.drawing.points import BikePoints, bike_points
from webapp.drawing.sizes import DrawnSize, SizesPicture, sizes_in_words
from webapp.drawing.sizes import sizes_picture as drawn_picture


@dataclass(frozen=True, kw_only=True)
class SizeFrame:
    """One size to draw."""

    name: str
    frame: Frame


def sizes_picture(sizes: Sequence[SizeFrame], *, title: str) -> SizesPicture:
    """Every size over each other with the BB in common, standing as drawn.

    Parameters
    ----------
    sizes : sequence of SizeFrame
        At least one, each able to stand.
    title : str
        What is drawn.

    Returns
    -------
    SizesPicture

    Raises
    ------
    GeometryError
        For a size that cannot stand with what it is drawn with.

    Examples
    --------
    >>> from geometry.examples import trail_hardtail
    >>> made = sizes_picture([SizeFrame(name="Medium", frame=trail_hardtail())], title="Sizes")
    >>> "Medium" in made.svg
    True
    """
    drawn = [DrawnSize(name=size.name, points=_points(size.frame)) for size in sizes]
    words = sizes_in_words([size.name for size in sizes], tr("as drawn"))
    return drawn_picture(drawn, title=title, words=words)


def _points(frame: Frame) -> BikePoints:
    drawn = frame.drawn_with
    build = Build(
        frame=frame,
        fork=drawn.fork,
        lower_headset_stack=drawn.lower_headset_stack,
        front_radius=drawn.front_radius,
        rear_radius=drawn.rear_radius,
        slot_position=drawn.slot_position,
    )
    return bike_points(stand(build), build)
