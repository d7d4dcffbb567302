"""Where each reading of a bike on the bench is taken, by number, and how far it was off.

The numbers are those of the list beside the drawing, so that each finds the other without
colour, pointer or script; a page lights a reading's lines while its field is typed in.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Set

from webapp.drawing.bike import draw_bike
from webapp.drawing.dimensioning.bike_dimensions import Layout, Wanted, dimensions
from webapp.drawing.dimensioning.dimensions import Dimension, Figure, straight
from webapp.drawing.dimensioning.placing import place
from webapp.drawing.directions import polar
from webapp.drawing.points import BikePoints, Point
from webapp.drawing.svg_sheet import Pens, Sheet

_PENS: Mapping[Layout, Pens] = {"full": Pens(1.15), "compact": Pens(2.1)}
_WHEEL = 1.0  # cost of a text that stands in a wheel
_STEP = 20.0  # [mm] the sheet grows by this much at a time
_AWAY = 62.0  # [mm] of lines beside head tube, seat tube and fork


def bench_guide(
    points: BikePoints,
    labels: Mapping[str, tuple[str, str]],
    *,
    title: str,
    words: str,
    layout: Layout,
    standover_ahead: float | None,
    beyond: Set[str] = frozenset(),
) -> str:
    """The bike with a numbered line for every reading.

    Parameters
    ----------
    points : BikePoints
        Standing coordinates [mm].
    labels : mapping of str to (str, str)
        Number and residual (or nothing) of every reading, by its key.
    title, words : str
        Name and text equivalent.
    layout : {"full", "compact"}
        ``compact`` for narrow screens.
    standover_ahead : float, optional [mm]
        Where standover is measured, ahead of the BB.
    beyond : set of str
        Readings that chance does not explain; they are marked.

    Returns
    -------
    str
        One ``<svg>``; all text escaped.
    """
    sheet = Sheet(_PENS[layout])
    left = points.rear.axle[0] - points.rear.radius
    right = max(points.front.axle[0] + points.front.radius, points.axis_on_ground[0])
    with sheet.group("ground-line"):
        sheet.line((left, points.ground), (right, points.ground))
    draw_bike(sheet, points)
    figures = {key: Figure(key, *label) for key, label in labels.items()}
    wanted = Wanted(
        points=points,
        figures=figures,
        pens=sheet.pens,
        compact=False,
        standover_ahead=standover_ahead,
    )
    _lay(sheet, points, [*_own(wanted), *dimensions(wanted)], beyond)
    return sheet.svg(
        title=title,
        words=words,
        name=f"bench-{layout}",
        margin=sheet.pens.gap,
        step=_STEP,
        classes=f"drawing-{layout} drawing-bench",
    )


def _lay(sheet: Sheet, points: BikePoints, every: list[Dimension], beyond: Set[str]) -> None:
    """Lines first, then every number where it overlaps no other."""
    for dimension in every:
        sheet.obstacles.lines(dimension.in_the_way())
    for wheel in (points.rear, points.front):
        sheet.obstacles.disc(*wheel.axle, wheel.radius, _WHEEL)
    sheet.remembers = False
    spots = place([each.spots for each in every], sheet.obstacles, apart=0.5 * sheet.pens.gap)
    for dimension, spot in zip(every, spots, strict=True):
        key = dimension.figure.key
        names = "dimension beyond" if key in beyond else "dimension"
        with sheet.group(names, figure=f"drawing-{key}"):
            dimension.draw_lines(sheet)
            if spot is not None and spot.shelf is not None:
                sheet.line(*spot.shelf)
            if spot is not None:
                sheet.letter(spot, name=dimension.figure.name)


def _own(wanted: Wanted) -> Iterator[Dimension]:
    """Readings that no elevation of a build shows."""
    yield from _wheels(wanted)
    yield from _front(wanted)
    yield from _frame(wanted)


def _wheels(wanted: Wanted) -> Iterator[Dimension]:
    points, pens, shown = wanted.points, wanted.pens, wanted.figures
    for end, wheel, side in (("rear", points.rear, 0.45), ("front", points.front, 0.35)):
        for key in (f"{end}_radius", f"build.{end}_radius"):
            if figure := shown.get(key):
                x = wheel.axle[0] + side * wheel.radius
                foot = (x, points.ground)
                feature = (wheel.axle, None)
                yield straight(pens, figure, (x, wheel.axle[1]), foot, features=feature)
    if figure := shown.get("build.slot_position"):
        slot, axle = points.frame.slot, points.rear.axle
        start = min(slot, key=lambda end: -end[0])
        yield _beside(wanted, figure, axle, start, -0.6 * _AWAY)
    if figure := shown.get("front_centre_straight"):
        yield straight(pens, figure, (0.0, 0.0), points.front.axle)


def _front(wanted: Wanted) -> Iterator[Dimension]:
    """Head tube, headset and fork, along the steering axis and square to it."""
    frame, fork, shown = wanted.points.frame, wanted.points.fork, wanted.figures
    rows = (
        ("frame.head_tube_length", frame.head_tube_bottom, frame.head_tube_top),
        ("build.lower_headset_stack", fork.crown, frame.head_tube_bottom),
        ("fork.axle_to_crown", fork.foot, fork.crown),
    )
    for key, start, end in rows:
        if figure := shown.get(key):
            yield _beside(wanted, figure, start, end, -_AWAY)
    if figure := shown.get("fork.offset"):
        yield straight(wanted.pens, figure, fork.foot, fork.axle)


def _frame(wanted: Wanted) -> Iterator[Dimension]:
    frame, pens, shown = wanted.points.frame, wanted.pens, wanted.figures
    if figure := shown.get("frame.seat_tube_length"):
        yield _beside(wanted, figure, frame.seat_tube_foot, frame.seat_tube_top, _AWAY)
    if (figure := shown.get("seat_tube_angle")) and "effective_seat_angle" in shown:
        # The elevation shows one seat angle; the tube's own stands lower, as a short line.
        low = polar(frame.seat_tube_foot, 150.0, 180.0 - frame.seat_tube_angle)
        yield straight(pens, figure, (low[0] - 1.5 * _AWAY, low[1]), low)
    if figure := shown.get("effective_top_tube"):
        top = frame.head_tube_top
        back = frame.seat_tube_foot[0] - (top[1] - frame.seat_tube_foot[1]) / math.tan(
            math.radians(frame.seat_tube_angle)
        )
        y = top[1] + 0.9 * pens.tier
        ends: tuple[Point, Point] = ((back, top[1]), top)
        yield straight(pens, figure, (back, y), (top[0], y), features=ends)


def _beside(wanted: Wanted, figure: Figure, start: Point, end: Point, away: float) -> Dimension:
    """A dimension parallel to what it measures; a positive distance lies to its left."""
    way = math.degrees(math.atan2(end[1] - start[1], end[0] - start[0])) + 90.0
    a, b = polar(start, away, way), polar(end, away, way)
    side = 1.0 if away > 0 else -1.0
    return straight(wanted.pens, figure, a, b, features=(start, end), sides=(side, -side))
