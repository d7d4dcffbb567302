"""Dimension lines: straight ones with extension lines, and angles as arcs.

Practice follows ISO 129: thin continuous lines, filled arrowheads, extension lines
that leave a small gap at the feature and run a little past the dimension line. All
lettering stands upright and is read from below. Where there is no room between the
arrows they point inwards from outside. A dimension lists the places for its lettering, the
preferred one first; `webapp.drawing.dimensioning.placing` chooses.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from webapp.drawing.dimensioning.lettering import Anchor, Shape, shape
from webapp.drawing.dimensioning.obstacles import Line
from webapp.drawing.dimensioning.spots import Spot
from webapp.drawing.directions import direction, polar
from webapp.drawing.points import Point
from webapp.drawing.svg_sheet import Pens, Sheet

Side = Literal["above", "below", "behind", "ahead"]
"""Where a text may stand outside the bike."""

_ALONG = (0.5, 0.7, 0.3)  # of a line, where lettering beside it may stand
_STEEP = 0.6  # of a direction across a line: lettering stands beside the line, not above it
_LINE = 4.0  # cost of a text that covers another dimension's line


class Figure(NamedTuple):
    """One figure to show: its key, its name in words and its value, ready to print."""

    key: str
    name: str
    value: str


class Forms(NamedTuple):
    """A figure lettered with its name: both in one row, and in two."""

    row: Shape
    rows: Shape

    def preferred(self, *, stacked: bool) -> tuple[Shape, Shape]:
        """Both, the two rows first where ``stacked``."""
        return (self.rows, self.row) if stacked else (self.row, self.rows)


@dataclass(frozen=True, kw_only=True, slots=True)
class Arc:
    """Part of a circle [mm] between two directions [deg]."""

    vertex: Point
    radius: float
    start: float
    end: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Dimension:
    """One figure's lines and arrowheads, and the places its lettering could take.

    ``leader`` says on which sides of the bike lettering may stand that has no room beside
    its line, and from which point a line leads there.
    """

    figure: Figure
    forms: Forms
    leader: Sequence[tuple[Side, Point]] = ()
    lines: list[tuple[Point, Point]] = field(default_factory=list)
    arrows: list[tuple[Point, float]] = field(default_factory=list)
    arcs: list[Arc] = field(default_factory=list)
    spots: list[Spot] = field(default_factory=list)

    def in_the_way(self) -> Iterable[Line]:
        """Its lines as other texts' obstacles."""
        for (ax, ay), (bx, by) in self.lines:
            yield ax, ay, bx, by, _LINE

    def draw_lines(self, sheet: Sheet) -> None:
        """Its lines and arrowheads."""
        sheet.lines(self.lines)
        for arc in self.arcs:
            sheet.arc(arc.vertex, arc.radius, arc.start, arc.end)
        sheet.arrows(self.arrows)


def forms_of(figure: Figure, pens: Pens) -> Forms:
    """A figure with its name, in one row and in two, with room for a revision triangle."""
    name, value, size = figure.name, figure.value, pens.text
    return Forms(
        shape((f"{name} {value}",), size, marked=True), shape((name, value), size, marked=True)
    )


def straight(
    pens: Pens,
    figure: Figure,
    a: Point,
    b: Point,
    *,
    features: Sequence[Point | None] = (None, None),
    sides: Sequence[float] = (1.0, -1.0),
    along: Sequence[float] = _ALONG,
    stacked: bool = False,
    clear: float = 0.0,
    leader: Sequence[tuple[Side, Point]] = (),
) -> Dimension:
    """A straight dimension from ``a`` to ``b``.

    Parameters
    ----------
    pens : Pens
    figure : Figure
        What it says.
    a, b : (x, y) [mm]
        Ends of the dimension line.
    features : pair of (x, y) or None [mm]
        What is measured; extension lines run from there to the ends.
    sides : sequence of 1 or −1
        Where lettering may stand: 1 to the left of the way from ``a`` to ``b``.
    along : sequence of float
        At which shares of the line.
    stacked : bool
        Name above value is preferred to both in a row.
    clear : float [mm]
        How far lettering keeps away from the line, for what lies there.
    leader : sequence of (side, (x, y) [mm])
        As `Dimension.leader`.

    Returns
    -------
    Dimension
    """
    way, long = direction(a, b), math.dist(a, b)
    made = Dimension(figure=figure, forms=forms_of(figure, pens), leader=leader)
    for feature, end in zip(features, (a, b), strict=True):
        if feature is not None:
            made.lines.extend(extension(pens, feature, end))
    past = _line(pens, made, a, b)
    gap, room = pens.gap, long - 2 * pens.arrow - pens.gap
    forms = made.forms.preferred(stacked=stacked)
    level = abs(math.sin(math.radians(way))) < _STEEP
    across, up = b[0] - a[0], b[1] - a[1]
    places = [(a[0] + across * share, a[1] + up * share) for share in along]
    for form, some in zip(forms, (places, places[::2]), strict=True):
        if level and 2 * form.half_width > room:
            continue
        for side in sides:
            made.spots.extend(beside(some, way + 90.0 * side, form, gap + clear))
    ends = [([polar(end, past, out)], out) for end, out in ((b, way), (a, way + 180.0))]
    for form in forms:
        for tail, out in ends:
            made.spots.extend(beside(tail, out, form, gap))
    return made


def shelf(form: Shape, start: Point, end: Point, gap: float) -> Spot:
    """Lettering at the end of a line that leads away from a dimension to where there is room."""
    return beside([end], 0.0, form, gap)[0]._replace(shelf=(start, end))


def beside(places: Sequence[Point], way: float, form: Shape, gap: float) -> list[Spot]:
    """Lettering that begins a gap away from each of some points, in a direction [deg]."""
    turn = math.radians(way)
    ahead, up = math.cos(turn), math.sin(turn)
    away = gap + abs(ahead) * form.half_width + abs(up) * form.half_height
    anchor: Anchor = "middle" if abs(ahead) < _STEEP else "start" if ahead > 0 else "end"
    right, high = ahead * away, up * away
    return [Spot((x + right, y + high), form, anchor) for x, y in places]


def extension(pens: Pens, feature: Point, end: Point) -> list[tuple[Point, Point]]:
    """An extension line: a gap at the feature, a little past the dimension line."""
    gap = pens.gap
    if math.dist(feature, end) <= gap:
        return []
    turn = math.radians(direction(feature, end))
    right, up = gap * math.cos(turn), gap * math.sin(turn)
    return [((feature[0] + right, feature[1] + up), (end[0] + right, end[1] + up))]


def angle(
    pens: Pens,
    figure: Figure,
    arc: Arc,
    *,
    ways: Sequence[float],
    beyond: float = 0.0,
    stacked: bool = False,
    leader: Sequence[tuple[Side, Point]] = (),
) -> Dimension:
    """An angle as an arc with arrowheads between two directions.

    Parameters
    ----------
    pens : Pens
    figure : Figure
        What it says.
    arc : Arc
        ``start`` below ``end``.
    ways : sequence of float [deg]
        Directions from the vertex in which lettering may stand, outside the arc.
    beyond : float [deg]
        How far the arc runs on before its start, towards its lettering.
    stacked : bool
        Name above value is preferred to both in a row.
    leader : sequence of (side, (x, y) [mm])
        As `Dimension.leader`.

    Returns
    -------
    Dimension
    """
    lead = math.degrees(pens.arrow / arc.radius)
    made = Dimension(figure=figure, forms=forms_of(figure, pens), arcs=[arc], leader=leader)
    if beyond:
        made.arcs.append(
            Arc(
                vertex=arc.vertex,
                radius=arc.radius,
                start=arc.start - beyond,
                end=arc.start,
            )
        )
    # An arrowhead is a chord of the arc, so it turns by half its own length.
    made.arrows.append((polar(arc.vertex, arc.radius, arc.start), arc.start - 90.0 + lead / 2))
    made.arrows.append((polar(arc.vertex, arc.radius, arc.end), arc.end + 90.0 - lead / 2))
    made.lines.append(
        (
            polar(arc.vertex, pens.gap, arc.end),
            polar(arc.vertex, arc.radius + 20.0, arc.end),
        )
    )
    places = [([polar(arc.vertex, arc.radius, way)], way) for way in ways]
    for form in made.forms.preferred(stacked=stacked):
        for at, way in places:
            made.spots.extend(beside(at, way, form, pens.gap))
    return made


def _line(pens: Pens, made: Dimension, a: Point, b: Point) -> float:
    """The dimension line; a short one has its arrows outside. How far it runs past its ends."""
    way, arrow = direction(a, b), pens.arrow
    if math.dist(a, b) >= 3.0 * arrow:
        made.lines.append((a, b))
        made.arrows.extend(((a, way + 180.0), (b, way)))
        return pens.gap
    made.lines.append((polar(a, -2.0 * arrow, way), polar(b, 2.0 * arrow, way)))
    made.arrows.extend(((a, way), (b, way + 180.0)))
    return 2.0 * arrow
