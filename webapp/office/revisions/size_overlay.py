"""All sizes of a revision laid over each other, as drawn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from geometry.bike import Build, Frame, stand
from webapp.common.text.language import tr
from webapp.drawing.overlay import line_class
from webapp.drawing.points import BikePoints, Point, along, bike_points
from webapp.drawing.svg_sheet import Pens, Sheet

_LINE_TYPES = 4  # of ISO 128; a fifth size begins again, told apart by its name


@dataclass(frozen=True, kw_only=True)
class SizeFrame:
    """One size to draw."""

    name: str
    frame: Frame


@dataclass(frozen=True, kw_only=True)
class SizesPicture:
    """The drawing, and the same in words."""

    svg: Markup
    words: str


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
    sheet = Sheet(Pens(1.2))
    drawn = [(size, _points(size.frame)) for size in sizes]
    _wheels(sheet, drawn[len(drawn) // 2][1])
    for index, (_, points) in enumerate(drawn):
        with sheet.group(line_class(index % _LINE_TYPES)):
            _frame(sheet, points)
    _names(sheet, drawn)
    names = ", ".join(size.name for size in sizes)
    words = tr(
        (
            "Side elevation from the drive side of sizes {names}, as drawn, laid over each other "
            "with the BB in common."
        ),
        names=names,
    )
    svg = sheet.svg(
        title=title,
        words=words,
        name="all-sizes",
        margin=20.0,
        step=20.0,
        classes="drawing-overlay",
    )
    # The drawing escapes every text it is given.
    return SizesPicture(svg=Markup(svg), words=words)  # noqa: S704


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


def _wheels(sheet: Sheet, points: BikePoints) -> None:
    """The wheels of the middle size alone: ten circles would hide the frames."""
    with sheet.group("ground-line"):
        left = points.rear.axle[0] - points.rear.radius
        right = points.front.axle[0] + points.front.radius
        sheet.line((left, points.ground), (right, points.ground))
    with sheet.group("part-tyre"):
        sheet.circle(points.rear.axle, points.rear.radius)
        sheet.circle(points.front.axle, points.front.radius)


def _frame(sheet: Sheet, points: BikePoints) -> None:
    frame, fork = points.frame, points.fork
    with sheet.group("part-frame"):
        sheet.polyline([frame.seatstay_top, points.rear.axle, (0.0, 0.0), frame.down_tube_head])
        sheet.line(frame.seat_tube_foot, frame.seat_tube_top)
        sheet.line(*frame.top_tube)
        sheet.line(frame.head_tube_top, frame.head_tube_bottom)
    with sheet.group("part-fork"):
        sheet.polyline([frame.head_tube_bottom, fork.crown, fork.axle])


def _names(sheet: Sheet, drawn: Sequence[tuple[SizeFrame, BikePoints]]) -> None:
    """Each size's name on a leader from its head tube, below one another so that none meet."""
    tops = [points.frame.head_tube_top for _, points in drawn]
    left, high = max(x for x, _ in tops) + 120.0, max(y for _, y in tops) + 160.0
    for index, ((size, _), top) in enumerate(zip(drawn, tops, strict=True)):
        end: Point = (left, high - 60.0 * index)
        with sheet.group("leader"):
            sheet.polyline([top, along(end, 180.0, 18.0), end])
        with sheet.group(line_class(index % _LINE_TYPES)):
            sheet.text(size.name, (end[0] + 10.0, end[1]), anchor="start")
