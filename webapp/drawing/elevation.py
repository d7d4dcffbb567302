"""Side elevation of one build, to scale, with its dimensions.

Each dimension has its own place, chosen so that none meets another: reach and
stack as the two legs from the BB, angles where their legs really meet, lengths
along the ground in tiers below it, grips to rear axle above everything::

          |--------- grips to rear axle ---------|
          .                  |---- reach ----T__ head angle
       saddle, seat angle  stack             |
          .                  |               |
          R ..drop.......... o ............. F
     ---------------------- BB height -------------- ground
          |-- rear centre ---|-- front centre --|trail|
          |------------- wheelbase -------------|

Two layouts: ``full``, and ``compact`` for a phone, with larger lettering and
fewer figures. Values arrive computed; nothing is measured off the drawing.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Literal

from webapp.common.text.units import LengthUnit
from webapp.drawing.bike import axis_crosses, draw_bike
from webapp.drawing.dimensions import Figure, angle, straight
from webapp.drawing.labels import figures_of, in_words
from webapp.drawing.points import BikePoints, Point, RiderPoints, along
from webapp.drawing.rider import draw_rider
from webapp.drawing.svg_sheet import Pens, Sheet, direction, polar, text_width

Layout = Literal["full", "compact"]

_PENS: dict[Layout, Pens] = {"full": Pens(1.0), "compact": Pens(2.1)}
_COMPACT = (
    "wheelbase",
    "chainstay_length",
    "reach",
    "stack",
    "head_angle",
    "effective_seat_angle",
    "seat_tube_angle",
    "bb_height",
)
_UNDER_SADDLE = 85.0  # [mm] room the saddle takes below its top
_STEP = 20.0  # [mm] a sheet grows by this much at a time


def elevation(
    points: BikePoints,
    figures: Mapping[str, float],
    *,
    title: str,
    layout: Layout = "full",
    name: str = "elevation",
    unit: LengthUnit = "mm",
    standover_ahead: float | None = None,
    rider: RiderPoints | None = None,
    beside: Mapping[str, str] | None = None,
) -> str:
    """Side elevation of one build as SVG.

    Parameters
    ----------
    points : BikePoints
        Standing coordinates [mm].
    figures : mapping of str to float [mm or deg]
        Computed values by key of `webapp.drawing.labels.NAMES`; those not given
        are not drawn.
    title : str
        What is drawn, such as "Knapweed, Medium".
    layout : {"full", "compact"}
        ``compact`` for narrow screens.
    name : str
        Makes ids unlike those of other drawings on the page.
    unit : {"mm", "cm", "in"}
        Of the lettering.
    standover_ahead : float, optional [mm]
        Where standover is measured, ahead of the BB; needed to show it.
    rider : RiderPoints, optional
        A rider drawn on the bike.
    beside : mapping of str to str, optional
        Words behind a figure, by its key, such as how far a measured bike is off.

    Returns
    -------
    str
        One ``<svg>`` with title and words; all text escaped.

    Raises
    ------
    KeyError
        A figure of an unknown name.

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> from geometry.bike import stand
    >>> from webapp.drawing.points import bike_points
    >>> from webapp.drawing.labels import standard_figures
    >>> build = trail_build()
    >>> standing = stand(build)
    >>> drawn = elevation(
    ...     bike_points(standing, build), standard_figures(standing), title="Trail hardtail"
    ... )
    >>> "wheelbase" in drawn
    True
    """
    sheet = draw(
        points,
        figures,
        layout=layout,
        unit=unit,
        standover_ahead=standover_ahead,
        rider=rider,
        beside=beside or {},
    )
    return sheet.svg(
        title=title,
        words=in_words(figures, unit),
        name=f"{name}-{layout}",
        margin=sheet.pens.gap,
        step=_STEP,
        classes=f"drawing-{layout}",
    )


def draw(
    points: BikePoints,
    figures: Mapping[str, float],
    *,
    layout: Layout,
    unit: LengthUnit,
    standover_ahead: float | None,
    rider: RiderPoints | None,
    beside: Mapping[str, str] | None = None,
) -> Sheet:
    """The sheet of `elevation`, before it is written out."""
    sheet = Sheet(_PENS[layout])
    shown = {
        key: replace(figure, value=f"{figure.value} {words}") if words else figure
        for key, figure in figures_of(figures, unit, whole=layout == "compact").items()
        for words in [(beside or {}).get(key, "")]
    }
    if layout == "compact":
        shown = {key: figure for key, figure in shown.items() if key in _COMPACT}
    with sheet.group("ground-line"):
        _ground(sheet, points)
    if layout == "full":
        axis_crosses(sheet, points)
    _bb_drop(sheet, points, shown)
    draw_bike(sheet, points)
    if rider is not None:
        draw_rider(sheet, rider)
    _from_bb(sheet, points, shown, compact=layout == "compact")
    _angles(sheet, points, shown, compact=layout == "compact")
    _chainstay(sheet, points, shown)
    _standover(sheet, points, shown, standover_ahead)
    _below_ground(sheet, points, shown)
    _above(sheet, points, shown)
    return sheet


def _ground(sheet: Sheet, points: BikePoints) -> None:
    left = points.rear.axle[0] - points.rear.radius
    right = max(points.front.axle[0] + points.front.radius, points.axis_on_ground[0])
    sheet.line((left, points.ground), (right, points.ground))


def _bb_drop(sheet: Sheet, points: BikePoints, shown: Mapping[str, Figure]) -> None:
    """In the empty rear half of the rear wheel; drawn before the frame that hides its line."""
    figure = shown.get("bb_drop")
    if figure is None:
        return
    axle_x, axle_y = points.rear.axle
    x = axle_x - 0.22 * points.rear.radius
    lower = min(axle_y, 0.0)
    # A drop of 0 still needs a direction for its arrows.
    upper = max(axle_y, 0.0, lower + 0.1)
    straight(sheet, figure, (x, lower), (x, upper))
    with sheet.group("dimension"):
        for y in (0.0, axle_y):
            sheet.line((x - sheet.pens.gap, y), (0.0 if y == 0.0 else axle_x, y))


def _from_bb(
    sheet: Sheet, points: BikePoints, shown: Mapping[str, Figure], *, compact: bool
) -> None:
    """BB height, stack and reach: down, up and forward from the BB."""
    top = points.frame.head_tube_top
    corner = (0.0, top[1])
    if figure := shown.get("bb_height"):
        straight(sheet, figure, (0.0, points.ground), (0.0, 0.0), at=0.44)
    if figure := shown.get("stack"):
        at = 0.36 if compact else _above_top_tube(points)
        straight(sheet, figure, (0.0, 0.0), corner, below=compact, named=not compact, at=at)
    if figure := shown.get("reach"):
        straight(sheet, figure, corner, top)


def _above_top_tube(points: BikePoints) -> float:
    """Middle of the free part of the stack's line, as a share of it."""
    (seat_x, seat_y), (head_x, head_y) = points.frame.top_tube
    crossing = seat_y - seat_x * (head_y - seat_y) / (head_x - seat_x)
    stack = points.frame.head_tube_top[1]
    return (crossing + points.frame.top_tube_diameter / 2 + stack) / 2 / stack


def _angles(
    sheet: Sheet, points: BikePoints, shown: Mapping[str, Figure], *, compact: bool
) -> None:
    """Head angle at the head tube's top, seat angle under the saddle or at the seat tube."""
    frame = points.frame
    if figure := shown.get("head_angle"):
        _angle_ahead(sheet, figure, frame.head_tube_top, -frame.head_angle, outside=compact)
    figure = shown.get("effective_seat_angle")
    if figure and points.saddle is not None:
        post_top = points.saddle.post_top
        way = direction(post_top, (0.0, 0.0))
        _seat_angle(sheet, points, figure, post_top, way, compact=compact)
        if saddle := shown.get("saddle_height"):
            _saddle_height(sheet, saddle, post_top)
    elif figure := shown.get("seat_tube_angle"):
        way = -frame.seat_tube_angle
        _seat_angle(sheet, points, figure, frame.seat_tube_top, way, compact=compact)


def _saddle_height(sheet: Sheet, figure: Figure, post_top: Point) -> None:
    """From the BB to the saddle's top, lettered beside the post, clear of the saddle."""
    height = math.dist((0.0, 0.0), post_top)
    half = text_width(f"{figure.name} {figure.value}", sheet.pens.text) / 2
    straight(
        sheet, figure, (0.0, 0.0), post_top, at=1.0 - (_UNDER_SADDLE + half) / height, clear=8.0
    )


def _angle_ahead(sheet: Sheet, figure: Figure, vertex: Point, way: float, *, outside: bool) -> None:
    """An angle between a tube going down and the level line ahead of its top."""
    radius = 205.0 if outside else 255.0
    with sheet.group("dimension"):
        sheet.line(along(vertex, 0.0, sheet.pens.gap), along(vertex, 0.0, radius + 20.0))
    half = text_width(figure.value, sheet.pens.text) / 2
    if outside:
        at = polar(vertex, radius + sheet.pens.gap, -20.0)
        angle(sheet, figure, vertex, radius, start=way, end=0.0, text_at=at, anchor="start")
        return
    x, y = polar(vertex, radius, -18.0)
    at = (x - half - sheet.pens.gap, y)
    angle(sheet, figure, vertex, radius, start=way, end=0.0, text_at=at)


def _seat_angle(
    sheet: Sheet, points: BikePoints, figure: Figure, vertex: Point, way: float, *, compact: bool
) -> None:
    """The angle below the saddle, lettered behind the post where it would meet the stack's."""
    radius = 190.0
    pens = sheet.pens
    width = text_width(figure.value, pens.text)
    x, y = polar(vertex, radius, -30.0)
    inside = (x - width / 2 - pens.gap, y)
    outside = compact or (
        x - pens.gap > -pens.text - pens.gap and y < points.frame.head_tube_top[1] + pens.text
    )
    with sheet.group("dimension"):
        sheet.line(vertex, along(vertex, 0.0, radius + 20.0))
        if outside:
            sheet.arc(vertex, radius, way - 22.0, way)
    at = polar(vertex, radius + pens.gap, way - 24.0) if outside else inside
    anchor = "end" if outside else "middle"
    angle(sheet, figure, vertex, radius, start=way, end=0.0, text_at=at, anchor=anchor)


def _chainstay(sheet: Sheet, points: BikePoints, shown: Mapping[str, Figure]) -> None:
    """Parallel to the chainstay, below it."""
    figure = shown.get("chainstay_length")
    if figure is None:
        return
    axle = points.rear.axle
    square = direction((0.0, 0.0), axle) + 90.0
    away = 78.0
    straight(
        sheet,
        figure,
        polar(axle, away, square),
        polar((0.0, 0.0), away, square),
        feature_a=axle,
        feature_b=(0.0, 0.0),
        below=True,
        at=0.37,
    )


def _standover(
    sheet: Sheet, points: BikePoints, shown: Mapping[str, Figure], ahead: float | None
) -> None:
    """From the ground to the top tube's upper edge, at its place."""
    figure = shown.get("standover")
    if figure is None or ahead is None:
        return
    (seat_x, seat_y), (head_x, head_y) = points.frame.top_tube
    slope = (head_y - seat_y) / (head_x - seat_x)
    edge = points.frame.top_tube_diameter / 2 * (1.0 + slope * slope) ** 0.5
    y = seat_y + slope * (ahead - seat_x) + edge
    # Too near the BB's own line, it stands aside on an extension line.
    room = sheet.pens.text + 2 * sheet.pens.gap
    x = ahead if ahead >= room else room
    feature = (ahead, y) if x != ahead else None
    middle, named = _standover_room(sheet, points, figure, x, y)
    at = (middle - points.ground) / (y - points.ground)
    straight(sheet, figure, (x, points.ground), (x, y), feature_b=feature, named=named, at=at)


def _standover_room(
    sheet: Sheet, points: BikePoints, figure: Figure, x: float, top: float
) -> tuple[float, bool]:
    """Middle of the longer free part of the line, and whether the name fits there.

    Free are the parts from the ground to the crank and from down tube to top tube.
    """
    head_x, head_y = points.frame.down_tube_head
    down_tube = x * head_y / head_x + 40.0
    parts = ((points.ground, -25.0), (down_tube, top - points.frame.top_tube_diameter - 10.0))
    low, high = max(parts, key=lambda part: part[1] - part[0])
    width = text_width(f"{figure.name} {figure.value}", sheet.pens.text)
    return (low + high) / 2, width <= high - low


def _below_ground(sheet: Sheet, points: BikePoints, shown: Mapping[str, Figure]) -> None:
    """Level lengths in tiers below the ground."""
    rear, front, ground = points.rear.axle[0], points.front.axle[0], points.ground
    tier = sheet.pens.tier
    below = ground - tier
    lowest = below
    foot: Point = (0.0, ground)
    for key, start, end in (("rear_centre", rear, 0.0), ("front_centre", 0.0, front)):
        if figure := shown.get(key):
            lowest = below - tier
            a, b = (start, below), (end, below)
            straight(sheet, figure, a, b, feature_a=foot if end else None)
    axis = points.axis_on_ground[0]
    if figure := shown.get("trail"):
        # Negative trail lies behind the contact, where the front centre already runs.
        y = below if axis >= front else lowest - tier
        a, b = (front, y), (axis, y)
        feature: Point = (axis, ground)
        straight(sheet, figure, a, b, feature_b=feature, beyond=True)
    if figure := shown.get("wheelbase"):
        straight(
            sheet,
            figure,
            (rear, lowest),
            (front, lowest),
            feature_a=(rear, ground),
            feature_b=(front, ground),
        )


def _above(sheet: Sheet, points: BikePoints, shown: Mapping[str, Figure]) -> None:
    """Grips to rear axle, above everything."""
    figure = shown.get("grips_to_rear_axle")
    if figure is None or points.cockpit is None:
        return
    grips = points.cockpit.grips
    highest = max(grips[1], points.saddle.saddle[1] if points.saddle else 0.0)
    y = highest + 1.1 * sheet.pens.tier
    axle = points.rear.axle
    tyre = (axle[0], axle[1] + points.rear.radius)
    straight(
        sheet,
        figure,
        (axle[0], y),
        (grips[0], y),
        feature_a=tyre,
        feature_b=(grips[0], grips[1] + 16.0),
    )
