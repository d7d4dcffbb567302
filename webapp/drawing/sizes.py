"""All sizes of a frame laid over each other, told apart by line type and name.

The lines are those of ISO 128: one for each of six sizes. Where there are more, a size
begins again with the first and is told apart by its name.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from webapp.common.text.language import tr
from webapp.drawing.dimensioning.bike_dimensions import Layout
from webapp.drawing.dimensioning.lettering import HALF_LINE
from webapp.drawing.overlay import draw_frame_lines, draw_tyres, line_class
from webapp.drawing.points import BikePoints, Point, along
from webapp.drawing.svg_sheet import Pens, Sheet

_PENS: dict[Layout, Pens] = {"full": Pens(1.2), "compact": Pens(2.3)}


@dataclass(frozen=True, kw_only=True)
class DrawnSize:
    """One size to draw: its name, where it stands, and whether it is the rider's own.

    ``short`` stands for the name on a narrow screen.
    """

    name: str
    points: BikePoints
    short: str = ""
    own: bool = False


@dataclass(frozen=True, kw_only=True)
class SizesPicture:
    """The drawing, and the same in words."""

    svg: Markup
    words: str


def sizes_picture(
    sizes: Sequence[DrawnSize],
    *,
    title: str,
    words: str,
    layouts: Sequence[Layout] = ("full",),
) -> SizesPicture:
    """Every size over each other with the BB in common.

    Parameters
    ----------
    sizes : sequence of DrawnSize
        At least one.
    title : str
        What is drawn.
    words : str
        The same as a sentence.
    layouts : sequence of {"full", "compact"}
        For which screens.

    Returns
    -------
    SizesPicture
        The group of each size has a class by its place, ``size-1`` and on, by which a
        page lights it up.

    Examples
    --------
    >>> from geometry.bike import stand
    >>> from geometry.examples import trail_build
    >>> from webapp.drawing.points import bike_points
    >>> points = bike_points(stand(trail_build()), trail_build())
    >>> made = sizes_picture([DrawnSize(name="Medium", points=points)], title="Sizes", words="One.")
    >>> "Medium" in made.svg
    True
    """
    drawn = "".join(_drawn(sizes, title, words, layout) for layout in layouts)
    # The drawing escapes every text it is given.
    return SizesPicture(svg=Markup(drawn), words=words)  # noqa: S704


def sizes_in_words(names: Sequence[str], state: str) -> str:
    """The text equivalent of all sizes in one state."""
    return tr(
        (
            "Side elevation from the drive side of sizes {names}, {state}, laid over each other "
            "with the BB in common."
        ),
        names=", ".join(names),
        state=state,
    )


def _drawn(sizes: Sequence[DrawnSize], title: str, words: str, layout: Layout) -> str:
    sheet = Sheet(_PENS[layout])
    _wheels(sheet, sizes[len(sizes) // 2].points)
    for index, size in enumerate(sizes):
        with sheet.group(_classes(index, size)):
            _frame(sheet, size.points)
    _names(sheet, sizes, short=layout == "compact")
    return sheet.svg(
        title=title,
        words=words,
        name=f"all-sizes-{layout}",
        margin=20.0,
        step=20.0,
        classes=f"drawing-overlay drawing-{layout}",
    )


def _classes(index: int, size: DrawnSize) -> str:
    own = " size-own" if size.own else ""
    return f"{line_class(index)} size-{index + 1}{own}"


def _wheels(sheet: Sheet, points: BikePoints) -> None:
    """The wheels of the middle size alone: ten circles would hide the frames."""
    with sheet.group("ground-line"):
        left = points.rear.axle[0] - points.rear.radius
        right = points.front.axle[0] + points.front.radius
        sheet.line((left, points.ground), (right, points.ground))
    draw_tyres(sheet, points)


def _frame(sheet: Sheet, points: BikePoints) -> None:
    draw_frame_lines(sheet, points)
    with sheet.group("part-fork"):
        sheet.polyline([points.frame.head_tube_bottom, points.fork.crown, points.fork.axle])


def _names(sheet: Sheet, sizes: Sequence[DrawnSize], *, short: bool) -> None:
    """Each size's name on a leader from its head tube, below one another so that none meet."""
    pens = sheet.pens
    row = 2 * HALF_LINE * pens.text + 2.0
    tops = [size.points.frame.head_tube_top for size in sizes]
    left = max(x for x, _ in tops) + 120.0
    high = max(y for _, y in tops) + row * (len(sizes) - 1)
    for index, (size, top) in enumerate(zip(sizes, tops, strict=True)):
        end: Point = (left, high - row * index)
        with sheet.group("leader"):
            sheet.polyline([top, along(end, 180.0, 18.0), end])
        with sheet.group(_classes(index, size)):
            name = (short and size.short) or size.name
            sheet.text(name, (end[0] + 10.0, end[1]), anchor="start")
