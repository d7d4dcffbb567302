"""Small drawings of a bike that show where to hold the tape for one measurement.

The bike drawn is an ordinary example; the drawings state no figure.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from webapp.common.text.language import tr
from webapp.drawing.directions import direction
from webapp.drawing.outline import Outline, draw_outline
from webapp.drawing.points import Point
from webapp.drawing.svg_sheet import Pens, Sheet

_BB, _SADDLE, _GRIP = (0.0, 0.0), (-190.0, 690.0), (445.0, 705.0)
_REAR, _FRONT, _RADIUS, _GROUND = (-430.0, 55.0), (745.0, 55.0), 365.0, -310.0
_HEAD, _FOOT = (430.0, 620.0), (505.0, 470.0)
_PENS = Pens(3.0)
_BIKE = Outline(
    grips=_GRIP,
    saddle=_SADDLE,
    ground=_GROUND,
    wheels=((_REAR, _RADIUS), (_FRONT, _RADIUS)),
    lines=(
        (_BB, _REAR, (-135.0, 480.0)),
        (_BB, (-185.0, 660.0)),
        ((-135.0, 480.0), _HEAD),
        (_BB, _FOOT),
        (_GRIP, _HEAD, _FOOT, _FRONT),
    ),
)
_PLACES: Mapping[str, Point] = MappingProxyType(
    {"bb": _BB, "saddle": _SADDLE, "grip": _GRIP, "rear_axle": _REAR, "front_axle": _FRONT}
)
_BETWEEN: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "bb_to_saddle": ("bb", "saddle"),
        "bb_to_grip": ("bb", "grip"),
        "saddle_to_grip": ("saddle", "grip"),
        "bb_to_rear_axle": ("bb", "rear_axle"),
        "bb_to_front_axle": ("bb", "front_axle"),
        "wheelbase": ("rear_axle", "front_axle"),
        "saddle_to_rear_axle": ("saddle", "rear_axle"),
        "saddle_to_front_axle": ("saddle", "front_axle"),
        "grip_to_rear_axle": ("grip", "rear_axle"),
        "grip_to_front_axle": ("grip", "front_axle"),
    }
)


def tape_guide(kind: str, *, title: str, words: str) -> str:
    """A bike with the tape where one measurement is taken.

    Parameters
    ----------
    kind : str
        As `geometry.position` calls it.
    title, words : str
        What is measured, and how.

    Returns
    -------
    str
        One ``<svg>`` with title and words; all text escaped.

    Examples
    --------
    >>> "Stick" in tape_guide("bb_to_grip", title="Crank axle to grips", words="Stick over both.")
    True
    """
    sheet = Sheet(_PENS)
    with sheet.group("ground-line"):
        sheet.line((_REAR[0] - _RADIUS, _GROUND), (_FRONT[0] + _RADIUS, _GROUND))
    with sheet.group("tape-bike"):
        draw_outline(sheet, _BIKE)
    if kind.endswith("_round"):
        _rolled(sheet, _REAR if kind.startswith("rear") else _FRONT)
    else:
        with sheet.group("tape-held"):
            tape(sheet, *_ends(kind))
    return sheet.svg(
        title=tr("Where to hold the tape: {what}", what=title),
        words=words,
        name=f"tape-{kind}",
        margin=2 * sheet.pens.gap,
        classes="drawing-measure",
    )


def _ends(kind: str) -> tuple[Point, Point]:
    if kind in _BETWEEN:
        one, other = _BETWEEN[kind]
        return _PLACES[one], _PLACES[other]
    if kind.endswith("_above_floor"):
        point = _PLACES[kind.removesuffix("_above_floor")]
        return point, (point[0], _GROUND)
    return (_SADDLE[0], _BB[1]), _BB  # level behind the plumb line through the BB


def tape(sheet: Sheet, start: Point, end: Point) -> None:
    """A tape between two points: a thick line with arrowheads on both."""
    way = direction(start, end)
    sheet.line(start, end)
    sheet.arrows([(end, way), (start, way + 180.0)])
    for point in (start, end):
        sheet.circle(point, 6.0 * sheet.pens.unit)


def _rolled(sheet: Sheet, axle: Point) -> None:
    """Along the floor as far as the wheel goes in one turn, cut short."""
    left = axle[0] - _RADIUS
    with sheet.group("tape-held"):
        sheet.circle(axle, _RADIUS)
        tape(sheet, (left, _GROUND), (left + 2.0 * _RADIUS, _GROUND))
