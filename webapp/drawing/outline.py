"""A bike of which not everything is known: its contact points, its wheels, and lines between.

Used for the bike a rider has now, which may be known by a few measurements only.
"""

from __future__ import annotations

from dataclasses import dataclass

from webapp.common.text.language import tr
from webapp.drawing.bike import saddle_outline
from webapp.drawing.points import BikePoints, Point
from webapp.drawing.svg_sheet import Sheet

_GRIP, _BB = 16.0, 22.0


@dataclass(frozen=True, kw_only=True, slots=True)
class Outline:
    """What is known of a bike, from the BB centre [mm]; None for what is not.

    Parameters
    ----------
    grips, saddle : (x, y) or None
    ground : float or None
        The ground's y.
    wheels : tuple of ((x, y), radius)
        Those that are known.
    lines : tuple of tuple of (x, y)
        Centrelines of frame, fork and cockpit.
    """

    grips: Point | None = None
    saddle: Point | None = None
    ground: float | None = None
    wheels: tuple[tuple[Point, float], ...] = ()
    lines: tuple[tuple[Point, ...], ...] = ()

    @property
    def span(self) -> tuple[float, float]:
        """Leftmost and rightmost place of it [mm]."""
        xs = [0.0, *(x + way * radius for (x, _), radius in self.wheels for way in (-1.0, 1.0))]
        xs += [point[0] for point in (self.grips, self.saddle) if point]
        return min(xs) - _BB, max(xs) + _BB


def outline_of(points: BikePoints) -> Outline:
    """The outline of a bike of which everything is known."""
    frame, fork, rear, front = points.frame, points.fork, points.rear, points.front
    lines = [
        (frame.seatstay_top, rear.axle, (0.0, 0.0), frame.down_tube_head),
        (frame.seat_tube_foot, frame.seat_tube_top),
        frame.top_tube,
        (frame.head_tube_top, frame.head_tube_bottom, fork.crown, fork.axle),
    ]
    if points.cockpit is not None:
        cockpit = points.cockpit
        lines.append((frame.head_tube_top, cockpit.stem_foot, cockpit.bar, cockpit.grips))
    if points.saddle is not None:
        lines.append((frame.seat_tube_top, points.saddle.clamp))
    return Outline(
        grips=points.cockpit.grips if points.cockpit else None,
        saddle=points.saddle.saddle if points.saddle else None,
        ground=points.ground,
        wheels=((rear.axle, rear.radius), (front.axle, front.radius)),
        lines=tuple(lines),
    )


def draw_outline(sheet: Sheet, outline: Outline) -> None:
    """Single lines for tubes and circles for tyres, grips and BB.

    Parameters
    ----------
    sheet : Sheet
        Within a group that gives the line type.
    outline : Outline
    """
    with sheet.group("part-tyre"):
        for axle, radius in outline.wheels:
            sheet.circle(axle, radius)
    with sheet.group("part-frame"):
        for line in outline.lines:
            sheet.polyline(list(line))
        sheet.circle((0.0, 0.0), _BB)
    if outline.grips is not None:
        with sheet.group("part-cockpit"):
            sheet.circle(outline.grips, _GRIP)
    if outline.saddle is not None:
        with sheet.group("part-saddle"):
            saddle_outline(sheet, outline.saddle, paper=False)


def draw_ghost(sheet: Sheet, outline: Outline) -> None:
    """A second bike behind another one: dashed, with crosses on grips and saddle."""
    with sheet.group("line-b ghost"):
        draw_outline(sheet, outline)
        with sheet.group("part-frame ghost-mark"):
            for point in (outline.grips, outline.saddle):
                if point is not None:
                    x, y = point
                    reach = 2.0 * _GRIP
                    sheet.line((x - reach, y), (x + reach, y))
                    sheet.line((x, y - reach), (x, y + reach))


def ghost_words(outline: Outline) -> str:
    """What a ghost adds to a drawing's words."""
    if outline.grips is None or outline.saddle is None:
        return tr("Dashed: the bike you ride now, as far as it is known.")
    return tr(
        "Dashed: the bike you ride now, its grips {ahead:.0f} mm ahead of the BB and {up:.0f} mm "
        "above it, its saddle {behind:.0f} mm behind and {high:.0f} mm above.",
        ahead=outline.grips[0],
        up=outline.grips[1],
        behind=-outline.saddle[0],
        high=outline.saddle[1],
    )
