"""A sheet of drawing paper: lines, circles and lettering written as safe SVG.

Millimetres, x to the right and y up; the sheet turns y round for SVG. Every
group carries its class for the screen and, from one table, the presentation
attributes that make the same file a complete black drawing in a PDF, where no
style sheet reaches. Presentation attributes rank below any style sheet, so the
screen's colours and line widths win wherever they are set.

Line practice follows ISO 128: visible edges continuous thick, centre lines long
dash and dot, thin; dimension and extension lines continuous thin.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from html import escape

from webapp.drawing.points import Point

LETTERING = "Sofia Sans, DejaVu Sans, sans-serif"

# Widths of lines and dashes are in units of the pen, see `Pens`.
_THICK, _MIDDLE, _THIN = 1.0, 0.8, 0.5
_WIDTHS = {
    "part-frame": _THICK,
    "part-fork": _THICK,
    "part-tyre": _THICK,
    "part-cockpit": _THICK,
    "part-post": _THICK,
    "part-saddle": _THICK,
    "part-crank": _MIDDLE,
    "part-wheel": _THIN,
    "part-rider": _THICK,
    "ground-line": _THICK,
    "centre-line": _THIN,
    "dimension": _THIN,
    "balloon": _THIN,
    "leader": _THIN,
    "scale-bar": _THIN,
    "line-a": _THICK,
    "line-b": _THICK,
    "line-c": _THICK,
    "line-d": _THICK,
}
_DASHES: dict[str, tuple[float, ...]] = {
    "centre-line": (7.0, 1.6, 0.7, 1.6),
    "balloon": (),
    "line-b": (5.0, 2.6),
    "line-c": (9.0, 2.2, 0.7, 2.2),
    "line-d": (0.7, 2.4),
}
# Advance widths of the lettering's characters, in its size [1/100].
_ADVANCE = {" ": 21, ".": 23, ",": 23, "°": 39, "i": 24, "l": 25, "r": 36, "t": 36, "f": 34}
_USUAL_ADVANCE, _WIDE_ADVANCE = 56, 66


@dataclass(frozen=True, slots=True)
class Pens:
    """Sizes of lines and lettering [mm on the bike], all from one ``unit``.

    A sheet shown on a phone has a larger unit, so that it stays readable.
    """

    unit: float = 1.0

    @property
    def thick(self) -> float:
        """Width of visible edges."""
        return 4.6 * self.unit

    @property
    def text(self) -> float:
        """Size of the lettering."""
        return 38.0 * self.unit

    @property
    def arrow(self) -> float:
        """Length of an arrowhead."""
        return 24.0 * self.unit

    @property
    def gap(self) -> float:
        """From a feature to its extension line, from a line to its lettering."""
        return 9.0 * self.unit

    @property
    def tier(self) -> float:
        """From one dimension line to the next."""
        return 66.0 * self.unit


@dataclass(frozen=True, slots=True)
class Label:
    """Room taken by a piece of lettering: centre, half width and height [mm], turn [deg]."""

    text: str
    centre: Point
    half_width: float
    half_height: float
    turn: float

    def corners(self) -> list[Point]:
        """The four corners of the room it takes."""
        cosine, sine = math.cos(math.radians(self.turn)), math.sin(math.radians(self.turn))
        signs = ((-1, -1), (1, -1), (1, 1), (-1, 1))
        places = [(a * self.half_width, b * self.half_height) for a, b in signs]
        x, y = self.centre
        return [(x + cosine * u - sine * v, y + sine * u + cosine * v) for u, v in places]


@dataclass(frozen=True, slots=True)
class Frame:
    """The part of the plane a sheet shows [mm, y up]."""

    left: float
    bottom: float
    right: float
    top: float

    def holds(self, point: Point) -> bool:
        """Whether a point lies within."""
        return self.left <= point[0] <= self.right and self.bottom <= point[1] <= self.top


class Sheet:
    """A drawing in the making.

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
        self.labels: list[Label] = []
        self._parts: list[str] = []
        self._moved: Point = (0.0, 0.0)
        self._box = [math.inf, math.inf, -math.inf, -math.inf]

    @contextmanager
    def group(self, names: str, **data: str) -> Iterator[None]:
        """What is drawn within carries these class names and ``data-`` attributes."""
        words = "".join(f' data-{key}="{escape(value)}"' for key, value in data.items())
        self._parts.append(f'<g class="{escape(names)}"{self._attributes(names)}{words}>')
        yield
        self._parts.append("</g>")

    @contextmanager
    def moved(self, by: Point) -> Iterator[None]:
        """What is drawn within is moved by so much [mm]."""
        before, self._moved = self._moved, by
        yield
        self._moved = before

    def line(self, start: Point, end: Point) -> None:
        """A straight line."""
        self._path(f"M{self._at(start)}L{self._at(end)}", "")

    def polyline(self, points: list[Point], *, closed: bool = False, paper: bool = False) -> None:
        """Straight lines from point to point; ``paper`` hides what lies behind."""
        places = "L".join(self._at(point) for point in points)
        self._path(f"M{places}{'Z' if closed else ''}", _PAPER if paper else "")

    def curve(self, start: Point, bends: list[tuple[Point, Point, Point]], *, paper: bool) -> None:
        """A closed outline of cubic curves, each given by two handles and its end."""
        pieces = [" ".join(self._at(point) for point in bend) for bend in bends]
        self._path(f"M{self._at(start)}C{'C'.join(pieces)}Z", _PAPER if paper else "")

    def arc(self, centre: Point, radius: float, start: float, end: float) -> None:
        """An arc of less than half a turn between two directions [deg]."""
        first, last = polar(centre, radius, start), polar(centre, radius, end)
        sweep = 0 if end > start else 1
        size = _short(radius)
        self._path(
            f"M{self._at(first)}A{size} {size} 0 0 {sweep} {self._at(last)}",
            "",
        )

    def circle(self, centre: Point, radius: float, *, paper: bool = False) -> None:
        """A circle; ``paper`` hides what lies behind."""
        x, y = self._place(centre)
        self._reach((x - radius, y - radius))
        self._reach((x + radius, y + radius))
        self._parts.append(
            f'<circle cx="{_short(x)}" cy="{_short(-y)}" r="{_short(radius)}"'
            f"{_PAPER if paper else ''}/>"
        )

    def arrow(self, tip: Point, towards: float) -> None:
        """A filled arrowhead with its tip at a point, pointing in a direction [deg]."""
        size = self.pens.arrow
        wings = [polar(tip, size, towards + 180.0 + spread) for spread in (9.0, -9.0)]
        self._path(
            f"M{self._at(tip)}L{self._at(wings[0])}L{self._at(wings[1])}Z",
            ' class="arrow" fill="currentColor" stroke="none"',
        )

    def text(
        self,
        words: str,
        at: Point,
        *,
        turn: float = 0.0,
        name: str = "",
        anchor: str = "middle",
        kind: str = "dimension-text",
    ) -> None:
        """Lettering centred in height on a point; ``name`` stands before it, lighter.

        ``anchor`` is ``start``, ``middle`` or ``end`` along the lettering.
        """
        size = self.pens.text
        at = self._place(at)
        whole = f"{name} {words}" if name else words
        half = text_width(whole, size) / 2
        middle = polar(at, {"start": half, "middle": 0.0, "end": -half}[anchor], turn)
        label = Label(whole, middle, half, 0.38 * size, turn)
        self.labels.append(label)
        for corner in label.corners():
            self._reach(corner)
        # The baseline lies a third of the size below the middle of figures.
        x, y = polar(at, 0.34 * size, turn - 90.0)
        spin = f' transform="rotate({_short(-turn)} {_short(x)} {_short(-y)})"' if turn else ""
        lead = f'<tspan class="dimension-name">{escape(name)} </tspan>' if name else ""
        self._parts.append(
            f'<text class="{kind}" x="{_short(x)}" y="{_short(-y)}"{spin} '
            f'text-anchor="{anchor}" font-size="{_short(size)}" fill="currentColor" '
            f'stroke="#fff" stroke-width="{_short(0.3 * size)}" paint-order="stroke">'
            f"{lead}{escape(words)}</text>"
        )

    def frame(self, margin: float, step: float = 1.0) -> Frame:
        """What the sheet must show: all that is drawn, a margin, rounded out to a step [mm].

        A step keeps the sheet's size still while a small change moves the drawing.
        """
        left, bottom, right, top = self._box
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
        box = " ".join(_short(v) for v in (frame.left, -frame.top, wide, high))
        label, names = escape(name), escape(f"drawing {classes}".strip())
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="{names}"'
            f' viewBox="{box}" role="img" aria-labelledby="{label}-title {label}-words"'
            f' fill="none" stroke="currentColor" stroke-linejoin="round" stroke-linecap="round"'
            f' font-family="{LETTERING}">'
            f'<title id="{label}-title">{escape(title)}</title>'
            f'<desc id="{label}-words">{escape(words)}</desc>'
            f"{''.join(self._parts)}</svg>"
        )

    def _path(self, steps: str, attributes: str) -> None:
        self._parts.append(f'<path d="{steps}"{attributes}/>')

    def _place(self, point: Point) -> Point:
        return point[0] + self._moved[0], point[1] + self._moved[1]

    def _at(self, point: Point) -> str:
        point = self._place(point)
        self._reach(point)
        return f"{_short(point[0])} {_short(-point[1])}"

    def _reach(self, point: Point) -> None:
        box, (x, y) = self._box, point
        box[0], box[1] = min(box[0], x), min(box[1], y)
        box[2], box[3] = max(box[2], x), max(box[3], y)

    def _attributes(self, names: str) -> str:
        width = next((_WIDTHS[n] for n in names.split() if n in _WIDTHS), None)
        dash = next((_DASHES[n] for n in names.split() if n in _DASHES), None)
        found = "" if width is None else f' stroke-width="{_short(width * self.pens.thick)}"'
        if dash:
            lengths = " ".join(_short(part * self.pens.thick) for part in dash)
            found += f' stroke-dasharray="{lengths}"'
        return found


_PAPER = ' class="paper" fill="#fff"'


def polar(centre: Point, distance: float, direction: float) -> Point:
    """The point at a distance [mm] in a direction [deg] from another.

    >>> [round(v) for v in polar((1.0, 0.0), 2.0, 180.0)]
    [-1, 0]
    """
    turn = math.radians(direction)
    return centre[0] + distance * math.cos(turn), centre[1] + distance * math.sin(turn)


def direction(start: Point, end: Point) -> float:
    """Direction from one point to another [deg].

    >>> direction((0.0, 0.0), (0.0, 5.0))
    90.0
    """
    return math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))


def text_width(words: str, size: float) -> float:
    """Length lettering takes at a size [mm], on the safe side.

    >>> text_width("1171", 100.0)
    224.0
    """
    return size / 100 * sum(_advance(letter) for letter in words)


def _advance(letter: str) -> int:
    usual = _WIDE_ADVANCE if letter.isupper() or letter in "mw" else _USUAL_ADVANCE
    return _ADVANCE.get(letter, usual)


def _short(value: float) -> str:
    """A coordinate to a tenth, without a needless zero."""
    text = f"{value:.1f}"
    text = text[:-2] if text.endswith(".0") else text
    return "0" if text == "-0" else text
