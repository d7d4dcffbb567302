"""Two to four builds laid over each other.

They are told apart as a draughtsman does it: by line type (continuous, dashed,
chain, dotted, after ISO 128) and lettered balloons with leader lines; colour
only supports. Tubes are drawn as single centrelines, so that four builds stay
legible.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from webapp.common.text.language import tr
from webapp.drawing.bike import saddle_outline
from webapp.drawing.directions import polar
from webapp.drawing.outline import Outline, draw_outline
from webapp.drawing.points import BikePoints, Point, along
from webapp.drawing.svg_sheet import Pens, Sheet

Alignment = Literal["bb", "rear_axle"]
Layout = Literal["full", "compact"]

LETTERS = "ABCD"
_LINES = "abcdef"
FEWEST, MOST = 2, len(LETTERS)
_LINE_WORDS = ("continuous", "dashed", "chain", "dotted")
_PENS: dict[Layout, Pens] = {"full": Pens(1.0), "compact": Pens(2.3)}
_WHERE: dict[Alignment, str] = {"bb": tr("the BB"), "rear_axle": tr("the rear axle")}
_SAME_GROUND = 0.5  # [mm] grounds nearer than this are drawn as one


Drawn = BikePoints | Outline
_BB: Point = (0.0, 0.0)


@dataclass(frozen=True, kw_only=True, slots=True)
class OverlaidBuild:
    """One build of an overlay: what the legend calls it, and its points."""

    label: str
    points: Drawn


def overlay(
    builds: Sequence[OverlaidBuild],
    *,
    title: str,
    align: Alignment = "bb",
    layout: Layout = "full",
    name: str = "overlay",
    legend: bool = False,
) -> str:
    """Builds laid over each other as SVG.

    Parameters
    ----------
    builds : sequence of OverlaidBuild
        Two to four, lettered A to D in this order.
    title : str
        What is drawn.
    align : {"bb", "rear_axle"}
        The point all builds share.
    layout : {"full", "compact"}
        ``compact`` for narrow screens.
    name : str
        Makes ids unlike those of other drawings on the page.
    legend : bool
        Letters and labels below the drawing, for paper; a page has its own.

    Returns
    -------
    str
        One ``<svg>`` with title and words; all text escaped.

    Raises
    ------
    ValueError
        For fewer than two or more than four builds.

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> from geometry.bike import stand
    >>> from webapp.drawing.points import bike_points
    >>> builds = [
    ...     OverlaidBuild(label=f"slot {s:g}", points=bike_points(stand(b), b))
    ...     for s in (0.0, 16.0) for b in [trail_build(s)]
    ... ]
    >>> drawn = overlay(builds, title="Axle forward and back", align="rear_axle")
    >>> 'class="line-b"' in drawn
    True
    """
    if not FEWEST <= len(builds) <= MOST:
        raise ValueError(f"an overlay shows {FEWEST} to {MOST} builds, not {len(builds)}")
    sheet = Sheet(_PENS[layout])
    shifts = [_shift(build.points, builds[0].points, align) for build in builds]
    _grounds(sheet, builds, shifts)
    for index, (build, shift) in enumerate(zip(builds, shifts, strict=True)):
        with sheet.group(line_class(index)), sheet.moved(shift):
            _drawn(sheet, build.points)
    wheels = [_held(b.points, shift) for b, shift in zip(builds, shifts, strict=True)]
    _balloons(sheet, wheels)
    if legend:
        _legend(sheet, builds)
    return sheet.svg(
        title=title,
        words=overlay_words(builds, align),
        name=f"{name}-{layout}",
        margin=sheet.pens.gap,
        step=20.0,
        classes=f"drawing-overlay drawing-{layout}",
    )


def line_class(index: int) -> str:
    """Class of the line type of a build or size by its place; a seventh begins again.

    >>> line_class(0), line_class(3)
    ('line-a', 'line-d')
    """
    return f"line-{_LINES[index % len(_LINES)]}"


def overlay_words(builds: Sequence[OverlaidBuild], align: Alignment) -> str:
    """Text equivalent of an overlay."""
    said = [
        tr(
            "{letter}, {line} line: {build}",
            letter=LETTERS[index],
            line=_LINE_WORDS[index],
            build=build.label,
        )
        for index, build in enumerate(builds)
    ]
    where = _WHERE[align]
    return tr(
        (
            "Side elevations from the drive side, front to the right, laid over each other "
            "with {point} in common. {builds}."
        ),
        point=where,
        builds="; ".join(said),
    )


def _shift(points: Drawn, first: Drawn, align: Alignment) -> Point:
    if align == "bb":
        return 0.0, 0.0
    one, other = _rear_axle(points), _rear_axle(first)
    if one is None or other is None:
        return 0.0, 0.0
    return other[0] - one[0], other[1] - one[1]


def _rear_axle(points: Drawn) -> Point | None:
    if isinstance(points, BikePoints):
        return points.rear.axle
    return next((axle for axle, _ in points.wheels if axle[0] < 0), None)


def _grounds(sheet: Sheet, builds: Sequence[OverlaidBuild], shifts: list[Point]) -> None:
    """One ground line, or one for each build where they differ."""
    heights = {
        index: build.points.ground + shift[1]
        for index, (build, shift) in enumerate(zip(builds, shifts, strict=True))
        if build.points.ground is not None
    }
    spans = [_span(build.points) for build in builds]
    left, right = min(span[0] for span in spans), max(span[1] for span in spans)
    if heights and max(heights.values()) - min(heights.values()) < _SAME_GROUND:
        height = next(iter(heights.values()))
        with sheet.group("ground-line"):
            sheet.line((left, height), (right, height))
        return
    for index, height in heights.items():
        with sheet.group(line_class(index)), sheet.group("part-wheel"):
            sheet.line((left, height), (right, height))


def _span(points: Drawn) -> tuple[float, float]:
    if isinstance(points, Outline):
        return points.span
    rear, front = points.rear, points.front
    return rear.axle[0] - rear.radius, front.axle[0] + front.radius


def _drawn(sheet: Sheet, points: Drawn) -> None:
    if isinstance(points, Outline):
        draw_outline(sheet, points)
    else:
        _skeleton(sheet, points)


def draw_tyres(sheet: Sheet, points: BikePoints) -> None:
    """Tyres as circles."""
    with sheet.group("part-tyre"):
        sheet.circle(points.rear.axle, points.rear.radius)
        sheet.circle(points.front.axle, points.front.radius)


def draw_frame_lines(sheet: Sheet, points: BikePoints) -> None:
    """The tubes of a frame as single lines."""
    frame = points.frame
    with sheet.group("part-frame"):
        sheet.polyline([frame.seatstay_top, points.rear.axle, (0.0, 0.0), frame.down_tube_head])
        sheet.line(frame.seat_tube_foot, frame.seat_tube_top)
        sheet.line(*frame.top_tube)
        sheet.line(frame.head_tube_top, frame.head_tube_bottom)


def _skeleton(sheet: Sheet, points: BikePoints) -> None:
    """Tyres as circles, tubes and parts as single lines."""
    frame, fork = points.frame, points.fork
    draw_tyres(sheet, points)
    draw_frame_lines(sheet, points)
    with sheet.group("part-fork"):
        leg = along(fork.crown, 90.0 - frame.head_angle, fork.offset)
        bend = [] if fork.travel_left is None else [leg]
        sheet.polyline([frame.head_tube_bottom, fork.crown, *bend, fork.axle])
    if points.cockpit is not None:
        with sheet.group("part-cockpit"):
            cockpit = points.cockpit
            sheet.polyline([frame.head_tube_top, cockpit.stem_foot, cockpit.bar, cockpit.grips])
            sheet.circle(cockpit.grips, 16.0)
    if points.saddle is not None:
        with sheet.group("part-post"):
            clamp, top = points.saddle.clamp, points.saddle.saddle
            sheet.polyline([frame.seat_tube_top, clamp, (clamp[0], top[1] - 27.0)])
        with sheet.group("part-saddle"):
            saddle_outline(sheet, points.saddle.saddle, paper=False)


def _held(points: Drawn, shift: Point) -> tuple[Point, float]:
    """Where a balloon's leader ends: on the front tyre, or else on the grips."""
    (x, y), radius = points.grips if isinstance(points, Outline) and points.grips else _BB, 30.0
    if isinstance(points, BikePoints):
        (x, y), radius = points.front.axle, points.front.radius
    else:
        for axle, size in points.wheels:
            if axle[0] > 0:
                (x, y), radius = axle, size
    return (x + shift[0], y + shift[1]), radius


def _balloons(sheet: Sheet, wheels: Sequence[tuple[Point, float]]) -> None:
    """A letter beside each front wheel, its leader on the tyre's outline.

    Each build has its own direction, and turns away from it where its letter would
    come too near to one before it.
    """
    pens = sheet.pens
    size = 0.8 * pens.text
    placed: list[Point] = []
    for index, (axle, radius) in enumerate(wheels):
        ways = [66.0 - 17.0 * index - turn for turn in (0.0, 6.0, -6.0, 12.0, -12.0, 18.0, 24.0)]
        far = radius + 130.0 * pens.unit
        free = [
            way
            for way in ways
            if all(math.dist(polar(axle, far, way), other) > 2.2 * size for other in placed)
        ]
        way = free[0] if free else ways[0]
        # Where every direction is taken, the letter stands further out.
        while any(math.dist(polar(axle, far, way), other) <= 2.2 * size for other in placed):
            far += size
        placed.append(polar(axle, far, way))
        _balloon(sheet, index, polar(axle, radius, way), placed[-1], way)


def _balloon(sheet: Sheet, index: int, touch: Point, centre: Point, way: float) -> None:
    size = 0.8 * sheet.pens.text
    with sheet.group("leader"):
        sheet.line(touch, polar(centre, size, way + 180.0))
        sheet.arrows([(touch, way + 180.0)])
    with sheet.group(f"balloon {line_class(index)}"):
        sheet.circle(centre, size, paper=True)
        sheet.text(LETTERS[index], centre, kind="balloon-text")


def _legend(sheet: Sheet, builds: Sequence[OverlaidBuild]) -> None:
    """Line sample, letter and label of each build, below everything."""
    pens = sheet.pens
    frame = sheet.frame(0.0)
    for index, build in enumerate(builds):
        y = frame.bottom - pens.tier * (index + 0.8)
        with sheet.group(line_class(index)), sheet.group("part-tyre"):
            sheet.line((frame.left, y), (frame.left + 200.0 * pens.unit, y))
        at = (frame.left + 230.0 * pens.unit, y)
        sheet.text(f"{LETTERS[index]} {build.label}", at, anchor="start")
