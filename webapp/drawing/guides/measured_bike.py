"""The drawing of a bike known by some measurements: what is known of it, and what was measured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from webapp.common.text.language import tr
from webapp.drawing.directions import direction
from webapp.drawing.outline import Outline, draw_outline
from webapp.drawing.points import Point
from webapp.drawing.svg_sheet import Pens, Sheet

_PENS = Pens(2.0)


@dataclass(frozen=True, kw_only=True, slots=True)
class Held:
    """One measurement as it is drawn: its ends and what the tape said."""

    start: Point
    end: Point
    words: str


def measured_bike(outline: Outline, held: Sequence[Held], *, moved: Outline | None) -> str:
    """What is known of a bike, with the tape between its points.

    Parameters
    ----------
    outline : Outline
    held : sequence of Held
    moved : Outline or None
        Grips and saddle where they are wished, drawn dashed.

    Returns
    -------
    str
        One ``<svg>``; all text escaped.
    """
    sheet = Sheet(_PENS)
    if outline.ground is not None:
        left, right = outline.span
        with sheet.group("ground-line"):
            sheet.line((left, outline.ground), (right, outline.ground))
    with sheet.group("line-a"):
        draw_outline(sheet, outline)
    if moved is not None:
        with sheet.group("line-b"):
            draw_outline(sheet, moved)
    for each in held:
        _draw(sheet, each)
    return sheet.svg(
        title=tr("The bike you ride now, from the drive side"),
        words=_words(outline),
        name="present-bike",
        margin=2 * sheet.pens.gap,
        step=20.0,
        classes="drawing-present",
    )


def _draw(sheet: Sheet, held: Held) -> None:
    way = direction(held.start, held.end)
    middle = (held.start[0] + held.end[0]) / 2, (held.start[1] + held.end[1]) / 2
    with sheet.group("dimension"):
        sheet.line(held.start, held.end)
        sheet.arrows([(held.end, way), (held.start, way + 180.0)])
        sheet.text(held.words, middle)


def _words(outline: Outline) -> str:
    said = [
        tr("grips {x:.0f} mm ahead of the BB and {y:.0f} mm above it", x=x, y=y)
        for x, y in (outline.grips,)
    ] if outline.grips else []  # fmt: skip
    if outline.saddle:
        x, y = outline.saddle
        said.append(tr("saddle {x:.0f} mm behind the BB and {y:.0f} mm above it", x=-x, y=y))
    if not said:
        return tr("Nothing is known well enough to be drawn yet.")
    return tr("{points}.", points="; ".join(said).capitalize())
