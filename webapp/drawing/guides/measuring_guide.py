"""Small drawings that show how to measure a body: height, inseam, arm span.

Each is a plain mannequin against a wall with one dimension line. Lengths are
those of a body 1750 mm tall after Drillis and Contini's shares of height; the
drawings are to scale, but state no figure.
"""

from __future__ import annotations

from typing import Literal

from webapp.common.text.language import tr
from webapp.drawing.points import Point
from webapp.drawing.rider import limb
from webapp.drawing.svg_sheet import Pens, Sheet

Measure = Literal["stature", "inseam", "span"]

_STATURE, _SHOULDER, _HIP, _KNEE, _ANKLE, _CROTCH = 1750.0, 1432.0, 928.0, 498.0, 68.0, 835.0
_SEAM_BELOW, _HEM = 15.0, 30.0  # trousers hang below the crotch and end above the floor
_HALF_SPAN, _HALF_SHOULDERS, _HALF_HIPS, _STANCE = 900.0, 185.0, 95.0, 120.0
_PENS = Pens(2.0)
_WORDS: dict[Measure, tuple[str, str]] = {
    "stature": (
        tr("How to measure your height"),
        tr(
            "Stand barefoot with heels, seat and shoulders against a wall, looking level. Lay a "
            "book flat on the head, its edge against the wall, and measure from the floor to "
            "the book's underside."
        ),
    ),
    "inseam": (
        tr("How to measure your crotch height"),
        tr(
            "Stand barefoot with the back against a wall, feet a hand's breadth apart. Pull a "
            "book up between the legs as firmly as a saddle sits, its edge against the wall, and "
            "measure from the floor to the book's upper edge: the long line. The inseam of "
            "trousers, the short dashed line, ends at their hem and starts lower, at the seam."
        ),
    ),
    "span": (
        tr("How to measure arm span"),
        tr(
            "Stand with the back against a wall and both arms stretched out level. Measure from "
            "the tip of one middle finger to the tip of the other."
        ),
    ),
}


def measuring(measure: Measure, *, name: str = "measuring") -> str:
    """A drawing of how to take one measure of the body.

    Parameters
    ----------
    measure : {"stature", "inseam", "span"}
    name : str
        Makes ids unlike those of other drawings on the page.

    Returns
    -------
    str
        One ``<svg>`` with title and words.

    Examples
    --------
    >>> "crotch height" in measuring("inseam")
    True
    """
    sheet = Sheet(_PENS)
    with sheet.group("ground-line"):
        sheet.line((-_HALF_SPAN, 0.0), (_HALF_SPAN, 0.0))
    {"stature": _stature, "inseam": _inseam, "span": _span}[measure](sheet)
    title, words = _WORDS[measure]
    return sheet.svg(
        title=title,
        words=words,
        name=f"{name}-{measure}",
        margin=4 * sheet.pens.gap,
        classes="drawing-measure",
    )


def measuring_words(measure: Measure) -> tuple[str, str]:
    """Title and instructions of a measure, for showing beside the drawing.

    >>> measuring_words("span")[0]
    'How to measure arm span'
    """
    return _WORDS[measure]


def _stature(sheet: Sheet) -> None:
    """From the side: wall behind, book on the head."""
    wall = -150.0
    with sheet.group("ground-line"):
        sheet.line((wall, 0.0), (wall, _STATURE + 180.0))
    with sheet.group("part-rider"):
        x = wall + 120.0
        _side_body(sheet, x)
    with sheet.group("part-frame"):
        low, high = _STATURE, _STATURE + 45.0
        book = [(wall, low), (wall + 270.0, low), (wall + 270.0, high), (wall, high)]
        sheet.polyline(book, closed=True, paper=True)
    _dimension(sheet, (430.0, 0.0), (430.0, _STATURE), wall + 270.0)


def _inseam(sheet: Sheet) -> None:
    """From the front: book between the legs; the shorter inseam of trousers beside it."""
    with sheet.group("part-rider"):
        _front_body(sheet, arms_level=False)
    with sheet.group("part-frame"):
        low, high = _CROTCH - 240.0, _CROTCH
        book = [(-20.0, low), (20.0, low), (20.0, high), (-20.0, high)]
        sheet.polyline(book, closed=True, paper=True)
    _dimension(sheet, (520.0, 0.0), (520.0, _CROTCH), 20.0)
    seam, hem = _CROTCH - _SEAM_BELOW, _HEM
    with sheet.group("dimension line-b"):
        sheet.line((-420.0, hem), (-420.0, seam))
    with sheet.group("dimension"):
        sheet.arrows([((-420.0, hem), -90.0), ((-420.0, seam), 90.0)])
        for y, feature in ((seam, -20.0), (hem, -_STANCE - 60.0)):
            sheet.line((-420.0 - sheet.pens.gap, y), (feature - sheet.pens.gap, y))


def _span(sheet: Sheet) -> None:
    """From the front: arms level."""
    with sheet.group("part-rider"):
        _front_body(sheet, arms_level=True)
    y = _STATURE + 140.0
    with sheet.group("dimension"):
        sheet.line((-_HALF_SPAN, y), (_HALF_SPAN, y))
        sheet.arrows([((-_HALF_SPAN, y), 180.0), ((_HALF_SPAN, y), 0.0)])
        for x in (-_HALF_SPAN, _HALF_SPAN):
            sheet.line((x, _SHOULDER + 50.0), (x, y + sheet.pens.gap))


def _dimension(sheet: Sheet, low: Point, high: Point, feature: float) -> None:
    """An upright dimension line from the floor, with its extension line."""
    with sheet.group("dimension"):
        sheet.line(low, high)
        sheet.arrows([(low, -90.0), (high, 90.0)])
        sheet.line((feature + sheet.pens.gap, high[1]), (high[0] + sheet.pens.gap, high[1]))


def _side_body(sheet: Sheet, x: float) -> None:
    """A mannequin from the side, facing right, its back to the left."""
    _solid(sheet, (x, _SHOULDER + 20.0), (x + 10.0, _STATURE - 150.0), (80.0, 76.0))
    sheet.circle((x + 12.0, _STATURE - 108.0), 108.0, paper=True)
    _solid(sheet, (x - 10.0, 34.0), (x + 150.0, 22.0), (66.0, 42.0))
    _solid(sheet, (x, _KNEE), (x, _ANKLE + 10.0), (104.0, 70.0))
    _solid(sheet, (x, _HIP - 20.0), (x, _KNEE), (160.0, 108.0))
    _solid(sheet, (x, _HIP), (x, _SHOULDER - 60.0), (180.0, 196.0))
    _solid(sheet, (x + 8.0, 1090.0), (x + 40.0, 800.0), (66.0, 48.0))
    _solid(sheet, (x, _SHOULDER - 60.0), (x + 8.0, 1090.0), (88.0, 68.0))


def _front_body(sheet: Sheet, *, arms_level: bool) -> None:
    """A mannequin from the front."""
    _solid(sheet, (0.0, _SHOULDER + 10.0), (0.0, _STATURE - 150.0), (84.0, 80.0))
    sheet.circle((0.0, _STATURE - 108.0), 100.0, paper=True)
    for side in (-1.0, 1.0):
        hip, foot = (side * _HALF_HIPS, _HIP - 30.0), (side * _STANCE, _ANKLE)
        knee = (side * (_HALF_HIPS + _STANCE) / 2, _KNEE)
        _solid(sheet, (side * _STANCE, 36.0), (side * (_STANCE + 24.0), 26.0), (72.0, 52.0))
        _solid(sheet, knee, foot, (106.0, 68.0))
        _solid(sheet, hip, knee, (164.0, 110.0))
        shoulder = (side * (_HALF_SHOULDERS - 12.0), _SHOULDER - 22.0)
        elbow, hand = _arm(side, arms_level=arms_level)
        _solid(sheet, elbow, hand, (68.0, 50.0))
        _solid(sheet, shoulder, elbow, (88.0, 70.0))
    _trunk(sheet)


def _trunk(sheet: Sheet) -> None:
    """Trunk from rounded shoulders to the crotch, one side a mirror of the other."""
    top, wide, hips = _SHOULDER + 24.0, _HALF_SHOULDERS, _HALF_HIPS + 80.0
    waist, low = _HIP + 170.0, _HIP - 60.0
    bends: list[tuple[Point, Point, Point]] = [
        ((wide - 60.0, top), (wide, top), (wide, top - 70.0)),
        ((wide, waist + 150.0), (hips - 30.0, waist + 40.0), (hips - 22.0, waist - 20.0)),
        ((hips - 16.0, _HIP + 60.0), (hips, _HIP + 30.0), (hips + 2.0, low)),
        ((hips - 60.0, low - 4.0), (30.0, _CROTCH + 6.0), (0.0, _CROTCH)),
    ]
    mirrored: list[tuple[Point, Point, Point]] = []
    starts = [(0.0, top), *(bend[2] for bend in bends)]
    for start, (first, second, _) in zip(starts[-2::-1], reversed(bends), strict=True):
        mirrored.append((_mirror(second), _mirror(first), _mirror(start)))
    sheet.curve((0.0, top), [*bends, *mirrored], paper=True)


def _mirror(point: Point) -> Point:
    return -point[0], point[1]


def _solid(sheet: Sheet, start: Point, end: Point, widths: tuple[float, float]) -> None:
    limb(sheet, start, end, widths, paper=True)


def _arm(side: float, *, arms_level: bool) -> tuple[Point, Point]:
    """Elbow and hand; stretched out level, or hanging."""
    if arms_level:
        y = _SHOULDER - 20.0
        return (side * 510.0, y), (side * (_HALF_SPAN - 25.0), y)
    return (side * 250.0, 1100.0), (side * 270.0, 800.0)
