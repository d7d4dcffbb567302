"""Dimension lines: straight ones with extension lines, and angles as arcs.

Practice follows ISO 129: thin continuous lines, filled arrowheads, extension
lines that leave a small gap at the feature and run a little past the dimension
line, lettering above the line and readable from below or from the right. Where
there is no room between the arrows they point inwards from outside.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from webapp.drawing.points import Point
from webapp.drawing.svg_sheet import Sheet, direction, polar, text_width

_UPSIDE_DOWN = 112.0  # [deg] lettering tilted back further than this is turned round


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure to show: its key, its name in words and its value, ready to print."""

    key: str
    name: str
    value: str


def straight(
    sheet: Sheet,
    figure: Figure,
    a: Point,
    b: Point,
    *,
    feature_a: Point | None = None,
    feature_b: Point | None = None,
    below: bool = False,
    named: bool = True,
    at: float = 0.5,
    beyond: bool = False,
    clear: float = 0.0,
) -> None:
    """A straight dimension from ``a`` to ``b``.

    Parameters
    ----------
    sheet : Sheet
    figure : Figure
        What it says.
    a, b : (x, y) [mm]
        Ends of the dimension line.
    feature_a, feature_b : (x, y), optional [mm]
        What is measured; extension lines run from there.
    below : bool
        Lettering on the other side of the line.
    named : bool
        The figure's name before its value, where there is room for both.
    at : float
        Where along the line the lettering stands, 0 to 1.
    beyond : bool
        Lettering beyond ``b``, where the room between is short.
    clear : float [mm]
        How far lettering along the line keeps away from it, for what lies there.
    """
    pens = sheet.pens
    room = math.dist(a, b) - 2 * pens.arrow - pens.gap
    name = figure.name if named else ""
    whole = text_width(f"{name} {figure.value}", pens.text)
    short = text_width(figure.value, pens.text)
    outside = short > room or (beyond and whole > room)
    with sheet.group("dimension", figure=f"drawing-{figure.key}", value=figure.value):
        for feature, end in ((feature_a, a), (feature_b, b)):
            if feature is not None:
                extension(sheet, feature, end)
        _line(sheet, a, b)
        if outside:
            _letter_beyond(sheet, figure, name, a, b)
        else:
            name = name if whole <= room else ""
            lift = pens.text * 0.42 + pens.gap + clear
            _letter_along(sheet, figure, name, (a, b), lift=-lift if below else lift, at=at)


def extension(sheet: Sheet, feature: Point, end: Point) -> None:
    """An extension line: a gap at the feature, a little past the dimension line."""
    gap = sheet.pens.gap
    way = direction(feature, end)
    if math.dist(feature, end) > gap:
        sheet.line(polar(feature, gap, way), polar(end, gap, way))


def angle(
    sheet: Sheet,
    figure: Figure,
    vertex: Point,
    radius: float,
    *,
    start: float,
    end: float,
    text_at: Point,
    anchor: str = "middle",
) -> None:
    """An angle as an arc with arrowheads between two directions.

    Parameters
    ----------
    sheet : Sheet
    figure : Figure
        What it says; its value alone is lettered.
    vertex : (x, y) [mm]
    radius : float [mm]
    start, end : float [deg]
        Directions of the two legs, ``start`` below ``end``.
    text_at : (x, y) [mm]
        Where the lettering stands.
    anchor : str
        Which part of the lettering stands there.
    """
    lead = math.degrees(sheet.pens.arrow / radius)
    with sheet.group("dimension", figure=f"drawing-{figure.key}", value=figure.value):
        sheet.arc(vertex, radius, start, end)
        # An arrowhead is a chord of the arc, so it turns by half its own length.
        sheet.arrow(polar(vertex, radius, start), start - 90.0 + lead / 2)
        sheet.arrow(polar(vertex, radius, end), end + 90.0 - lead / 2)
        sheet.text(figure.value, text_at, anchor=anchor)


def _line(sheet: Sheet, a: Point, b: Point) -> None:
    """The dimension line; a short one has its arrows pointing inwards from outside."""
    way = direction(a, b)
    arrow = sheet.pens.arrow
    if math.dist(a, b) >= 3.0 * arrow:
        sheet.line(a, b)
        sheet.arrow(a, way + 180.0)
        sheet.arrow(b, way)
        return
    sheet.line(polar(a, -2.0 * arrow, way), polar(b, 2.0 * arrow, way))
    sheet.arrow(a, way)
    sheet.arrow(b, way + 180.0)


def _letter_along(
    sheet: Sheet, figure: Figure, name: str, ends: tuple[Point, Point], *, lift: float, at: float
) -> None:
    """Lettering above the line, or with a negative lift below it."""
    a, b = ends
    way = direction(a, b)
    turn = _readable(way)
    middle = polar(a, math.dist(a, b) * at, way)
    sheet.text(figure.value, polar(middle, lift, turn + 90.0), turn=turn, name=name)


def _letter_beyond(sheet: Sheet, figure: Figure, name: str, a: Point, b: Point) -> None:
    """Lettering beyond ``b``, along the line."""
    pens = sheet.pens
    way = direction(a, b)
    tail = 2.0 * pens.arrow if math.dist(a, b) < 3.0 * pens.arrow else pens.gap
    turn = _readable(way)
    anchor = "start" if abs(turn - way) < 1.0 else "end"
    at = polar(b, tail + pens.gap, way)
    sheet.text(figure.value, at, turn=turn, name=name, anchor=anchor)


def _readable(way: float) -> float:
    """A line's direction turned so that lettering along it is not upside down."""
    turn = (way + 180.0) % 360.0 - 180.0
    if turn > _UPSIDE_DOWN:
        return turn - 180.0
    if turn <= _UPSIDE_DOWN - 180.0:
        return turn + 180.0
    return turn
