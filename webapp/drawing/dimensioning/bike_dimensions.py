"""Which dimensions a build's side elevation has, and where their lines run.

Lines keep out of the wheels and the frame where they can: heights at the BB's own
line and behind the rear wheel, lengths in tiers below the ground and above the bike::

          |--------- grips to rear axle ---------|
          .                  |---- reach ----T__ head angle
       saddle, seat angle  stack             |
    drop  .                  |               |
     |    R ................ o ............. F
     ---------------------- BB height -------------- ground
          |-- rear centre ---|-- front centre --|trail|
          |------------- wheelbase -------------|

Values arrive computed; nothing is measured off the drawing.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from webapp.drawing.dimensioning.dimensions import (
    Arc,
    Dimension,
    Figure,
    angle,
    beside,
    shelf,
    straight,
)
from webapp.drawing.dimensioning.spots import Spot
from webapp.drawing.directions import direction, polar
from webapp.drawing.points import BikePoints, Point
from webapp.drawing.svg_sheet import Pens

Layout = Literal["full", "compact"]

_HEAD_RADIUS, _SEAT_RADIUS = 255.0, 190.0  # [mm] of the arcs
_SMALL_RADIUS = 120.0  # [mm] of the head angle's arc, where lettering is large
_UNDER_SADDLE = 85.0  # [mm] room the saddle takes below its top
_CHAINSTAY_AWAY = 78.0  # [mm] of its dimension line, below the stay
_POST_WIDTH = 20.0  # [mm] half of what lies along the saddle height's line


@dataclass(frozen=True, kw_only=True, slots=True)
class Wanted:
    """What is to be dimensioned: the build's points, its figures to show, and how."""

    points: BikePoints
    figures: Mapping[str, Figure]
    pens: Pens
    compact: bool
    standover_ahead: float | None


def dimensions(wanted: Wanted) -> list[Dimension]:
    """Every dimension of an elevation; the most important and those with least room first.

    Parameters
    ----------
    wanted : Wanted

    Returns
    -------
    list of Dimension
        Only of figures given.
    """
    return [
        *_level(wanted),
        *_head_angle(wanted),
        *_from_bb(wanted),
        *_at_the_seat(wanted),
        *_at_the_saddle(wanted),
        *_drop(wanted),
        *_chainstay(wanted),
        *_standover(wanted),
    ]


def two_tiers(wanted: Wanted) -> bool:
    """Whether the wheelbase leaves a tier below the ground to others.

    On a phone these are texts for which there is no room between the wheels.
    """
    return not {"rear_centre", "front_centre", "chainstay_length"}.isdisjoint(wanted.figures)


def _level(wanted: Wanted) -> Iterator[Dimension]:
    """Level lengths in tiers below the ground, and grips to rear axle above everything."""
    points, pens, shown = wanted.points, wanted.pens, wanted.figures
    rear, front, ground = points.rear.axle[0], points.front.axle[0], points.ground
    below = ground - pens.tier
    lowest = below - pens.tier if two_tiers(wanted) else below
    if figure := shown.get("wheelbase"):
        ends = ((rear, lowest), (front, lowest))
        # On a phone the tier between holds texts as wide as what is between the axles.
        start = below if wanted.compact and two_tiers(wanted) else ground
        feet = ((rear, start), (front, start))
        yield straight(pens, figure, *ends, features=feet)
    for key, start, end in (("rear_centre", rear, 0.0), ("front_centre", 0.0, front)):
        if figure := shown.get(key):
            foot = None if start else (0.0, ground)
            yield straight(
                pens, figure, (start, below), (end, below), features=(foot, None), sides=(1.0,)
            )
    if figure := shown.get("trail"):
        axis = points.axis_on_ground[0]
        # Negative trail lies behind the contact, where the front centre already runs.
        y = below if axis >= front else lowest - pens.tier
        yield straight(
            pens, figure, (front, y), (axis, y), features=(None, (axis, ground)), sides=(1.0,)
        )
    if (figure := shown.get("grips_to_rear_axle")) and points.cockpit is not None:
        grips, axle = points.cockpit.grips, points.rear.axle
        y = max(grips[1], points.saddle.saddle[1] if points.saddle else 0.0) + 1.1 * pens.tier
        yield straight(
            pens,
            figure,
            (axle[0], y),
            (grips[0], y),
            features=((axle[0], axle[1] + points.rear.radius), (grips[0], grips[1] + 16.0)),
        )


def _from_bb(wanted: Wanted) -> Iterator[Dimension]:
    """Reach, stack and BB height: forward, up and down from the BB."""
    points, pens, shown = wanted.points, wanted.pens, wanted.figures
    top = points.frame.head_tube_top
    corner = (0.0, top[1])
    if figure := shown.get("reach"):
        middle = (top[0] / 2, top[1])
        yield straight(
            pens,
            figure,
            corner,
            top,
            stacked=wanted.compact,
            leader=(("above", middle), ("ahead", top)),
        )
    if figure := shown.get("stack"):
        made = straight(
            pens,
            figure,
            (0.0, 0.0),
            corner,
            sides=(-1.0, 1.0),
            along=(0.86, 0.78, 0.68, 0.58, 0.48),
            stacked=wanted.compact,
            leader=(("above", corner), ("behind", corner)),
        )
        # Above the reach's lettering, beside the line carried on upwards.
        high = top[1] + 2.2 * pens.text
        carried = [
            shelf(made.forms.row, corner, (0.0, high + up), pens.gap)
            for up in (0.0, 1.2 * pens.text)
        ]
        made.spots[3:3] = carried
        yield made
    if figure := shown.get("bb_height"):
        made = straight(
            pens,
            figure,
            (0.0, points.ground),
            (0.0, 0.0),
            sides=(-1.0, 1.0),
            along=(0.15, 0.25, 0.4, 0.5),
            stacked=wanted.compact,
            leader=(("below", (0.0, points.ground)),),
        )
        form, _ = made.forms.preferred(stacked=wanted.compact)
        ahead = _standover_x(wanted) + pens.gap
        made.spots[4:4] = [
            shelf(form, (0.0, y), (ahead, y), pens.gap)
            for share in (0.15, 0.3, 0.45)
            for y in [points.ground * (1.0 - share)]
        ]
        yield made


def _head_angle(wanted: Wanted) -> Iterator[Dimension]:
    """Ahead of the head tube."""
    frame, pens = wanted.points.frame, wanted.pens
    if figure := wanted.figures.get("head_angle"):
        radius = _SMALL_RADIUS if wanted.compact else _HEAD_RADIUS
        arc = Arc(vertex=frame.head_tube_top, radius=radius, start=-frame.head_angle, end=0.0)
        made = angle(
            pens,
            figure,
            arc,
            ways=(-22.0, -34.0, 10.0),
            stacked=wanted.compact,
            leader=(("ahead", polar(arc.vertex, radius, -frame.head_angle / 2)),),
        )
        places = [polar(arc.vertex, radius, way) for way in (-16.0, -30.0)]
        made.spots[:0] = [
            spot
            for form in made.forms.preferred(stacked=wanted.compact)
            for spot in beside(places, 0.0, form, pens.gap)
        ]
        yield made


def _at_the_seat(wanted: Wanted) -> Iterator[Dimension]:
    """The seat angle, under the saddle or at the seat tube."""
    frame, saddle, shown = wanted.points.frame, wanted.points.saddle, wanted.figures
    if (figure := shown.get("effective_seat_angle")) and saddle is not None:
        yield _seat_angle(wanted, figure, saddle.post_top, direction(saddle.post_top, (0.0, 0.0)))
    elif figure := shown.get("seat_tube_angle"):
        yield _seat_angle(wanted, figure, frame.seat_tube_top, -frame.seat_tube_angle)


def _seat_angle(wanted: Wanted, figure: Figure, vertex: Point, way: float) -> Dimension:
    """From the level down to the seat's axis, lettered behind the axis."""
    arc = Arc(vertex=vertex, radius=_SEAT_RADIUS, start=way, end=0.0)
    tail = polar(vertex, _SEAT_RADIUS, way - 22.0)
    made = angle(
        wanted.pens,
        figure,
        arc,
        ways=(way - 26.0, way - 40.0, -20.0),
        beyond=22.0,
        stacked=wanted.compact,
        leader=(("behind", tail),),
    )
    made.spots[:0] = [
        spot
        for form in made.forms.preferred(stacked=wanted.compact)
        for spot in beside([tail], 180.0, form, wanted.pens.gap)
    ]
    return made


def _at_the_saddle(wanted: Wanted) -> Iterator[Dimension]:
    """From the BB to the saddle's top, lettered beside the post."""
    figure, saddle = wanted.figures.get("saddle_height"), wanted.points.saddle
    if figure is None or saddle is None:
        return
    high = 1.0 - _UNDER_SADDLE / math.hypot(*saddle.post_top)
    start = (saddle.post_top[0] * high, saddle.post_top[1] * high)
    yield straight(
        wanted.pens,
        figure,
        (0.0, 0.0),
        saddle.post_top,
        along=tuple(high - 0.07 * step for step in range(5)),
        stacked=wanted.compact,
        clear=_POST_WIDTH,
        leader=(("behind", start), ("above", saddle.post_top)),
    )


def _drop(wanted: Wanted) -> Iterator[Dimension]:
    """From the axle's height to the BB's, behind the rear wheel, lettered over its shoulder."""
    figure = wanted.figures.get("bb_drop")
    if figure is None:
        return
    points, pens = wanted.points, wanted.pens
    (axle_x, axle_y), radius = points.rear.axle, points.rear.radius
    x = axle_x - radius - 2 * pens.gap
    lower = min(axle_y, 0.0)
    # A drop of 0 still needs a direction for its arrows.
    upper = max(axle_y, 0.0, lower + 0.1)
    made = straight(
        pens,
        figure,
        (x, lower),
        (x, upper),
        features=((0.0 if lower == 0.0 else axle_x, lower), None),
    )
    made.spots.clear()
    tail = upper + 2.0 * pens.arrow
    for form in made.forms.preferred(stacked=wanted.compact):
        over = _shoulder(radius, 2 * form.half_width + 3 * pens.gap)
        y = max(axle_y + over, tail) + pens.gap + form.half_height
        spot = Spot((x + pens.gap + form.half_width, y), form, "start")
        made.spots.append(spot)
    # The line runs on up to the lettering.
    made.lines.append(((x, tail), (x, made.spots[0].centre[1] + 0.5 * pens.text)))
    return (yield made)


def _shoulder(radius: float, wide: float) -> float:
    """How far above its axle a wheel leaves so much room behind it, within its own width."""
    if wide >= radius:
        return radius
    return math.sqrt(radius**2 - (radius - wide) ** 2)


def _standover(wanted: Wanted) -> Iterator[Dimension]:
    """From the ground to the top tube's upper edge, at its place."""
    figure, ahead = wanted.figures.get("standover"), wanted.standover_ahead
    if figure is None or ahead is None:
        return
    points, pens = wanted.points, wanted.pens
    (seat_x, seat_y), (head_x, head_y) = points.frame.top_tube
    slope = (head_y - seat_y) / (head_x - seat_x)
    edge = points.frame.top_tube_diameter / 2 * (1.0 + slope * slope) ** 0.5
    y = seat_y + slope * (ahead - seat_x) + edge
    x = _standover_x(wanted)
    feature = (ahead, y) if x != ahead else None
    yield straight(
        pens,
        figure,
        (x, points.ground),
        (x, y),
        features=(None, feature),
        sides=(-1.0,),
        along=(0.27, 0.2, 0.13, 0.34, 0.5, 0.82, 0.7, 0.87, 0.91),
        leader=(("below", (x, points.ground)), ("above", (x, y))),
    )


def _standover_x(wanted: Wanted) -> float:
    """Where the standover's line runs; 0 where there is none.

    Too near the BB's own line, it stands aside on an extension line.
    """
    if wanted.standover_ahead is None or "standover" not in wanted.figures:
        return 0.0
    return max(wanted.standover_ahead, wanted.pens.text + 2 * wanted.pens.gap)


def _chainstay(wanted: Wanted) -> Iterator[Dimension]:
    """Parallel to the chainstay, below it; its lettering on a shelf below the BB."""
    figure = wanted.figures.get("chainstay_length")
    if figure is None:
        return
    pens, axle = wanted.pens, wanted.points.rear.axle
    square = direction((0.0, 0.0), axle) + 90.0
    a, b = polar(axle, _CHAINSTAY_AWAY, square), polar((0.0, 0.0), _CHAINSTAY_AWAY, square)
    made = straight(
        pens,
        figure,
        a,
        b,
        features=(axle, (0.0, 0.0)),
        sides=(-1.0,),
        along=(0.37, 0.5),
        stacked=wanted.compact,
        leader=(("below", ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)),),
    )
    rights = (3 * pens.gap, _standover_x(wanted) + 3 * pens.gap)
    made.spots[:0] = [
        shelf(form, b, (b[0] + right, y), pens.gap)
        for form in made.forms.preferred(stacked=wanted.compact)
        for y in (b[1], b[1] - 1.4 * pens.text)
        for right in rights
    ]
    yield made
