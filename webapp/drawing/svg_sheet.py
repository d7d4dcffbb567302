"""A sheet of drawing paper: lines, circles and lettering written as safe SVG.

Millimetres, x to the right and y up; the sheet turns y round for SVG. Every
group carries its class for the screen and, from one table, the presentation
attributes that make the same file a complete black drawing in a PDF, where no
style sheet reaches. Presentation attributes rank below any style sheet, so the
screen's colours and line widths win wherever they are set.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property
from html import escape
from itertools import pairwise
from typing import NamedTuple

from webapp.drawing.dimensioning.lettering import BASELINE, Anchor, shape, text_width
from webapp.drawing.dimensioning.obstacles import EDGE, Obstacles, cost_in
from webapp.drawing.dimensioning.spots import Spot
from webapp.drawing.directions import fan, polar
from webapp.drawing.line_types import line_attributes
from webapp.drawing.path_steps import curves, short, shortened, straights
from webapp.drawing.points import Point

LETTERING = "Sofia Sans, DejaVu Sans, sans-serif"

_SMALL = 50.0  # [mm] what is shorter is no obstacle to a text


@dataclass(frozen=True)
class Pens:
    """Sizes of lines and lettering [mm on the bike], all from one ``unit``.

    A sheet shown on a phone has a larger unit, so that it stays readable.
    """

    unit: float = 1.0

    @cached_property
    def thick(self) -> float:
        """Width of visible edges."""
        return 4.6 * self.unit

    @cached_property
    def text(self) -> float:
        """Size of the lettering."""
        return 41.0 * self.unit

    @cached_property
    def arrow(self) -> float:
        """Length of an arrowhead."""
        return 24.0 * self.unit

    @cached_property
    def gap(self) -> float:
        """From a feature to its extension line, from a line to its lettering."""
        return 9.0 * self.unit

    @cached_property
    def tier(self) -> float:
        """From one dimension line to the next."""
        return 66.0 * self.unit


@dataclass(frozen=True, slots=True)
class Frame:
    """The part of the plane a sheet shows [mm, y up]."""

    left: float
    bottom: float
    right: float
    top: float


class _Opening(NamedTuple):
    """Where a group begins; its lines are as wide as the pens of the sheet that is written."""

    names: str
    data: str


class _Group:
    """What is drawn while it is open stands in one group of a sheet."""

    __slots__ = ("_before", "_opening", "_sheet")

    def __init__(self, sheet: Sheet, opening: _Opening) -> None:
        self._sheet, self._opening, self._before = sheet, opening, 0.0

    def __enter__(self) -> None:
        sheet = self._sheet
        sheet._parts.append(self._opening)
        self._before = sheet._cost
        sheet._cost = cost_in(self._opening.names, self._before)

    def __exit__(self, *_: object) -> None:
        self._sheet._cost = self._before
        self._sheet._parts.append("</g>")


class Sheet:
    """A drawing under construction.

    Examples
    --------
    >>> sheet = Sheet(Pens())
    >>> with sheet.group("ground-line"):
    ...     sheet.line((0.0, 0.0), (100.0, 0.0))
    >>> sheet.svg(title="A & B", words="Ground.", name="x", margin=0.0)[:46]
    '<svg xmlns="http://www.w3.org/2000/svg" class='
    """

    def __init__(self, pens: Pens) -> None:
        self.pens = pens
        self.obstacles = Obstacles()
        self.remembers = True
        self.spots: list[Spot] = []
        self._cost = EDGE
        self._parts: list[str | _Opening] = []
        self._moved: Point = (0.0, 0.0)
        self._across: list[float] = []
        self._down: list[float] = []

    def group(self, names: str, **data: str) -> _Group:
        """What is drawn within carries these class names and ``data-`` attributes."""
        words = [f' data-{key}="{escape(value)}"' for key, value in data.items()]
        return _Group(self, _Opening(names, "".join(words)))

    def lay(self, other: Sheet) -> None:
        """All that was drawn on another sheet, over what is on this one and with its pens.

        For what looks the same on several sheets, and is drawn once: bike and rider, but no
        lettering and no arrows, whose shape hangs on the pens.
        """
        self._parts.extend(other._parts)
        for own, laid in ((self._across, other._across), (self._down, other._down)):
            own.extend((min(laid), max(laid)) if laid else ())
        if self.remembers:
            self.obstacles.add(other.obstacles)

    def mark(self) -> int:
        """The present position in the drawing's order, for `under`."""
        return len(self._parts)

    @contextmanager
    def under(self, mark: int) -> Iterator[None]:
        """What is drawn within lies under all that was drawn since a mark."""
        above, self._parts = self._parts[mark:], self._parts[:mark]
        yield
        self._parts.extend(above)

    @contextmanager
    def moved(self, by: Point) -> Iterator[None]:
        """What is drawn within is moved by so much [mm]."""
        before, self._moved = self._moved, by
        yield
        self._moved = before

    def line(self, start: Point, end: Point) -> None:
        """A straight line."""
        self.lines([(start, end)])

    def lines(self, ends: Sequence[tuple[Point, Point]]) -> None:
        """Straight lines, each by its two ends."""
        places = self._places([point for both in ends for point in both])
        self._parts.append(shortened(_LINE * len(ends) % places))
        if self.remembers:
            for both in ends:
                self._in_the_way(both)

    def polyline(
        self, points: list[Point], *, closed: bool = False, paper: bool = False, tint: str = ""
    ) -> None:
        """Straight lines from point to point; ``paper`` hides what lies behind.

        ``tint`` is a colour #rrggbb laid thinly over the paper, so that it is light on
        light paper and dark on dark, and the edges keep their contrast on either.
        """
        steps = self._through(points, closed=closed, attributes=_PAPER if paper else "")
        if tint:
            self._path(
                steps, f' class="tint" fill="{escape(tint)}" fill-opacity="0.4" stroke="none"'
            )
        self._in_the_way([*points, points[0]] if closed else points)

    def curve(self, start: Point, bends: list[tuple[Point, Point, Point]], *, paper: bool) -> None:
        """A closed outline of cubic curves, each given by two handles and its end."""
        points = [start, *(point for bend in bends for point in bend)]
        steps = shortened(curves(len(bends)) % self._places(points))
        self._path(steps, _PAPER if paper else "")
        self._in_the_way([start, *(bend[2] for bend in bends)])

    def arc(self, centre: Point, radius: float, start: float, end: float) -> None:
        """An arc of less than half a turn between two directions [deg]."""
        turns = fan(centre, radius, start, (end - start) / 4, 5)
        x, y, to_x, to_y = self._places([turns[0], polar(centre, radius, end)])
        sweep = 0 if end > start else 1
        steps = "M%.1f %.1fA%.1f %.1f 0 0 %d %.1f %.1f"
        self._path(shortened(steps % (x, y, radius, radius, sweep, to_x, to_y)), "")
        self._in_the_way(turns)

    def circle(self, centre: Point, radius: float, *, paper: bool = False) -> None:
        """A circle; ``paper`` hides what lies behind."""
        x, y = centre[0] + self._moved[0], centre[1] + self._moved[1]
        self._reach(x - radius, x + radius, y - radius, y + radius)
        places = shortened(_CIRCLE % (x, -y, radius))
        self._parts.append(f"<circle {places}{_PAPER if paper else ''}/>")
        if 2 * radius >= _SMALL and self.remembers:
            stands = self.obstacles.disc if paper else self.obstacles.circle
            stands(x, y, radius, self._cost)

    def arrows(self, heads: Sequence[tuple[Point, float]]) -> None:
        """Filled arrowheads, each by its tip and the direction in which it points [deg]."""
        size, points = self.pens.arrow, []
        for tip, towards in heads:
            points += [tip, *fan(tip, size, towards + 180.0 + 9.0, -18.0, 2)]
        self._parts.append(shortened(_ARROW * len(heads) % self._places(points)))

    def text(
        self, words: str, at: Point, *, anchor: Anchor = "middle", kind: str = "dimension-text"
    ) -> None:
        """One row of lettering, centred in height on a point.

        ``anchor`` is ``start``, ``middle`` or ``end`` along the lettering.
        """
        made = shape((words,), self.pens.text)
        shift = {"start": 1.0, "middle": 0.0, "end": -1.0}[anchor] * made.half_width
        x, y = at[0] + self._moved[0], at[1] + self._moved[1]
        self.letter(Spot((x + shift, y), made, anchor), kind=kind)

    def letter(self, spot: Spot, *, name: str = "", kind: str = "dimension-text") -> None:
        """Lettering in its place on the sheet; ``name`` begins it and is drawn lighter."""
        self.spots.append(spot)
        made, (x, y) = spot.shape, spot.centre
        left, right = x - made.half_width, x + made.half_width
        self._reach(left, right, y - made.half_height, y + made.half_height)
        along = {"start": left, "middle": x - made.mark / 2, "end": right}[spot.anchor]
        top = y + made.leading * (len(made.rows) - 1) / 2 - BASELINE * made.size
        feet = [top - made.leading * row for row in range(len(made.rows))]
        places = [shortened(_PLACE % (along, -foot)) for foot in feet]
        rows = "".join(
            _row(row, name, place if at else "")
            for at, (row, place) in enumerate(zip(made.rows, places, strict=True))
        )
        self._parts.append(
            f'<text class="{kind}" {places[0]} '
            f'text-anchor="{spot.anchor}" font-size="{short(made.size)}" fill="currentColor" '
            f'stroke="#fff" stroke-width="{short(0.3 * made.size)}" paint-order="stroke">'
            f"{rows}</text>"
        )

    def revision(self, spot: Spot, *, shown: bool) -> None:
        """The triangle of a revised figure beside its value; not shown, a page may show it."""
        made, (x, y) = spot.shape, spot.centre
        side = -1.0 if spot.anchor == "end" else 1.0
        # What the last row, which ends with the value, leaves free of the longest one's width.
        spare = 2 * made.half_width - made.mark - text_width(made.rows[-1], made.size)
        spare /= 2.0 if spot.anchor == "middle" else 1.0
        x += side * (made.half_width - 0.42 * made.mark - spare)
        y -= made.leading * (len(made.rows) - 1) / 2
        half = 0.36 * made.mark
        corners = [(x - half, y - 0.8 * half), (x + half, y - 0.8 * half), (x, y + half)]
        hidden = "" if shown else ' visibility="hidden"'
        self._through(corners, closed=True, attributes=f' class="revision"{hidden}')

    def frame(self, margin: float, step: float = 1.0) -> Frame:
        """What the sheet must show: all that is drawn, a margin, rounded out to a step [mm].

        A step keeps the sheet's size still while a small change moves the drawing.
        """
        left, right = min(self._across), max(self._across)
        bottom, top = -max(self._down), -min(self._down)
        return Frame(
            math.floor((left - margin) / step) * step,
            math.floor((bottom - margin) / step) * step,
            math.ceil((right + margin) / step) * step,
            math.ceil((top + margin) / step) * step,
        )

    def svg(
        self,
        *,
        title: str,
        words: str,
        name: str,
        margin: float,
        step: float = 1.0,
        classes: str = "",
        shown: Frame | None = None,
    ) -> str:
        """The finished drawing.

        Parameters
        ----------
        title, words : str
            Name and text equivalent.
        name : str
            Makes the two ids it needs unlike those of other drawings on a page.
        margin, step : float [mm]
            As `frame`.
        classes : str
            Further classes of the root.
        shown : Frame, optional
            What to show instead.

        Returns
        -------
        str
            One ``<svg>`` element, all text escaped.
        """
        frame = shown or self.frame(margin, step)
        wide, high = frame.right - frame.left, frame.top - frame.bottom
        box = " ".join(short(v) for v in (frame.left, -frame.top, wide, high))
        label, names = escape(name), escape(f"drawing {classes}".strip())
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="{names}"'
            f' viewBox="{box}" role="img" aria-labelledby="{label}-title {label}-words"'
            f' fill="none" stroke="currentColor" stroke-linejoin="round" stroke-linecap="round"'
            f' font-family="{LETTERING}">'
            f'<title id="{label}-title">{escape(title)}</title>'
            f'<desc id="{label}-words">{escape(words)}</desc>'
            f"{self._written()}</svg>"
        )

    def _written(self) -> str:
        thick = self.pens.thick
        opened = "<g{}{}>".format
        return "".join(
            [
                part if isinstance(part, str) else opened(line_attributes(part[0], thick), part[1])
                for part in self._parts
            ]
        )

    def _path(self, steps: str, attributes: str) -> None:
        self._parts.append(f'<path d="{steps}"{attributes}/>')

    def _through(
        self, points: Sequence[Point], *, closed: bool = False, attributes: str = ""
    ) -> str:
        """Draw straight lines from point to point; their steps."""
        steps = shortened(straights(len(points), closed) % self._places(points))
        self._path(steps, attributes)
        return steps

    def keep_clear(self, start: Point, end: Point) -> None:
        """Draws nothing, but texts avoid this line where they can."""
        self._in_the_way([start, end])

    def _in_the_way(self, points: Sequence[Point]) -> None:
        """Remember edges, so that texts avoid them where they can."""
        if not self.remembers:
            return
        (right, up), cost = self._moved, self._cost
        self.obstacles.lines(
            [
                (ax + right, ay + up, bx + right, by + up, cost)
                for (ax, ay), (bx, by) in pairwise(points)
                if abs(bx - ax) + abs(by - ay) >= _SMALL
            ]
        )

    def _places(self, points: Sequence[Point]) -> tuple[float, ...]:
        """Points as SVG has them, x and y by turns, y down; the sheet reaches so far."""
        right, up = self._moved
        flat = [value for x, y in points for value in (x + right, -(y + up))]
        self._across += flat[::2]
        self._down += flat[1::2]
        return tuple(flat)

    def _reach(self, left: float, right: float, bottom: float, top: float) -> None:
        self._across += left, right
        self._down += -bottom, -top


_PAPER = ' class="paper" fill="#fff"'
_LINE = '<path d="M%.1f %.1fL%.1f %.1f"/>'
_ARROW = (
    '<path d="M%.1f %.1fL%.1f %.1fL%.1f %.1fZ" class="arrow" fill="currentColor" stroke="none"/>'
)
_CIRCLE = 'cx="%.1f" cy="%.1f" r="%.1f"'
_PLACE = 'x="%.1f" y="%.1f"'


def _row(words: str, name: str, place: str) -> str:
    """A row of lettering, the name in it drawn lighter; ``place`` where it begins a new row."""
    if not name or not words.startswith(name):
        return f"<tspan {place}>{escape(words)}</tspan>" if place else escape(words)
    value = escape(words[len(name) :].lstrip())
    space = " " if value else ""
    return f'<tspan class="dimension-name" {place}>{escape(name)}{space}</tspan>{value}'
