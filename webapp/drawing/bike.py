"""The bike itself in side elevation: wheels, frame, fork, cockpit, saddle, crank.

Parts nearer the reader hide those behind them, as on paper: the order of the calls in
`draw_bike` is the order of depth. Parts that are not sold but stand as the figures
assume have the line of adjacent parts (ISO 128: long dash, two dots, narrow). Tube
diameters and the shapes of saddle, stem and crank are illustrative.
"""

from __future__ import annotations

import math

from webapp.drawing.directions import direction, fan
from webapp.drawing.points import (
    BikePoints,
    CockpitPoints,
    ForkPoints,
    FramePoints,
    Point,
    SaddlePoints,
    WheelPoints,
    along,
)
from webapp.drawing.svg_sheet import Sheet

_SEAT_TUBE, _DOWN_TUBE, _HEAD_TUBE, _CHAINSTAY, _SEATSTAY = 35.0, 40.0, 48.0, 22.0, 17.0
_SHELL, _HUB = 22.0, 11.0
_STANCHION, _LOWER_LEG = 36.0, 50.0
_STEERER, _BAR = 32.0, 32.0
_POST = 30.0
_SADDLE_OUTLINE: tuple[tuple[float, float], ...] = (
    (-136, 8), (-96, -3), (-44, 0), (0, 0), (52, 0), (108, 1), (136, -7),
    (146, -11), (142, -21), (130, -21), (78, -22), (4, -24), (-58, -31),
    (-98, -36), (-130, -31), (-138, -12), (-141, -4), (-141, 4), (-136, 8),
)  # fmt: skip


def draw_bike(sheet: Sheet, points: BikePoints, *, finish: str = "") -> None:
    """Draw one build with double-line tubes.

    Parameters
    ----------
    sheet : Sheet
    points : BikePoints
        Standing coordinates [mm].
    finish : str
        Colour of the frame, #rrggbb, laid thinly over its tubes; none if empty.
    """
    for wheel in (points.rear, points.front):
        _wheel(sheet, wheel, adjacent=points.sold != "bike")
    if points.saddle is not None:
        _post(sheet, points.frame, points.saddle)
    _frame(sheet, points.frame, points.rear, finish)
    _fork(sheet, points.fork, points.frame.head_angle, adjacent=points.sold == "frame")
    if points.cockpit is not None:
        _cockpit(sheet, points.frame, points.cockpit)
    _head_tube(sheet, points.frame, points.fork, finish)
    if points.saddle is not None:
        _saddle(sheet, points.saddle)
    if points.sold == "bike":
        _drive(sheet, points)


def tube(
    sheet: Sheet, start: Point, end: Point, widths: tuple[float, float], tint: str = ""
) -> None:
    """A tube as two edges and its ends, hiding what lies behind.

    Parameters
    ----------
    sheet : Sheet
    start, end : (x, y) [mm]
        Ends of the centreline.
    widths : (start, end) [mm]
        Diameters at the two ends.
    tint : str
        A colour over the paper, see `Sheet.polyline`.
    """
    turn = math.radians(direction(start, end) + 90.0)
    right, up = math.cos(turn), math.sin(turn)
    corners = [
        (x + half * right, y + half * up)
        for (x, y), half in (
            (start, widths[0] / 2),
            (end, widths[1] / 2),
            (end, -widths[1] / 2),
            (start, -widths[0] / 2),
        )
    ]
    sheet.polyline(corners, closed=True, paper=True, tint=tint)


def saddle_outline(sheet: Sheet, top: Point, *, paper: bool) -> None:
    """A saddle's shell, its top above the rails' middle at a point [mm]."""
    outline = [(top[0] + dx, top[1] + dy) for dx, dy in _SADDLE_OUTLINE]
    bends = [(outline[i], outline[i + 1], outline[i + 2]) for i in range(1, len(outline), 3)]
    sheet.curve(outline[0], bends, paper=paper)


def axis_crosses(sheet: Sheet, points: BikePoints) -> None:
    """Centre lines: both axles, the BB, the steering axis down to the ground."""
    with sheet.group("centre-line"):
        for wheel in (points.rear, points.front):
            reach = wheel.radius + 2 * sheet.pens.gap
            x, y = wheel.axle
            sheet.line((x - reach, y), (x + reach, y))
            sheet.line((x, y + reach), (x, points.ground))
        top = points.frame.head_tube_top
        upper = points.cockpit.stem_foot if points.cockpit else top
        sheet.line(along(upper, 180.0 - points.frame.head_angle, 70.0), points.axis_on_ground)


def _wheel(sheet: Sheet, wheel: WheelPoints, *, adjacent: bool) -> None:
    with sheet.group("adjacent part-tyre" if adjacent else "part-tyre"):
        sheet.circle(wheel.axle, wheel.radius)
    with sheet.group("adjacent part-wheel" if adjacent else "part-wheel"):
        sheet.circle(wheel.axle, wheel.rim_radius)
        sheet.circle(wheel.axle, wheel.rim_radius - 20.0)
        sheet.circle(wheel.axle, 2.0 * _HUB)


def _frame(sheet: Sheet, frame: FramePoints, rear: WheelPoints, tint: str) -> None:
    with sheet.group("part-frame"):
        tube(sheet, frame.seatstay_top, rear.axle, (_SEATSTAY, _SEATSTAY - 3.0), tint)
        tube(sheet, (0.0, 0.0), rear.axle, (_CHAINSTAY + 5.0, _CHAINSTAY - 5.0), tint)
        _dropout(sheet, frame, rear)
        diameter = frame.top_tube_diameter
        tube(sheet, frame.top_tube[0], frame.top_tube[1], (diameter, diameter), tint)
        tube(sheet, (0.0, 0.0), frame.down_tube_head, (_DOWN_TUBE, _DOWN_TUBE), tint)
        tube(sheet, frame.seat_tube_foot, frame.seat_tube_top, (_SEAT_TUBE, _SEAT_TUBE), tint)
        sheet.circle((0.0, 0.0), _SHELL, paper=True)


def _dropout(sheet: Sheet, frame: FramePoints, rear: WheelPoints) -> None:
    """A plate around the slot, the slot, and the axle where it stands in it."""
    front, back = frame.slot
    _stadium(sheet, front, back, 21.0)
    if front != back:
        _stadium(sheet, front, back, 8.5)
    sheet.circle(rear.axle, 6.5, paper=True)


def _stadium(sheet: Sheet, front: Point, back: Point, radius: float) -> None:
    """Two half circles around a slot's ends, joined."""
    if front == back:
        sheet.circle(front, radius, paper=True)
        return
    way = direction(front, back)
    ends = fan(front, radius, way + 90.0, 22.5, 9)
    ends += fan(back, radius, way + 270.0, 22.5, 9)
    sheet.polyline(ends, closed=True, paper=True)


def _fork(sheet: Sheet, fork: ForkPoints, head_angle: float, *, adjacent: bool) -> None:
    with sheet.group("adjacent part-fork" if adjacent else "part-fork"):
        if fork.travel_left is None:
            _rigid(sheet, fork, head_angle)
        else:
            _suspension(sheet, fork, head_angle)
        sheet.circle(fork.axle, _HUB, paper=True)


def _rigid(sheet: Sheet, fork: ForkPoints, head_angle: float) -> None:
    """A crown and a tapering blade from it straight to the axle."""
    shoulder = along(fork.crown, -head_angle, 34.0)
    tube(sheet, along(shoulder, -head_angle, -8.0), fork.axle, (34.0, 19.0))
    tube(sheet, fork.crown, shoulder, (46.0, 40.0))


def _suspension(sheet: Sheet, fork: ForkPoints, head_angle: float) -> None:
    """Crown, stanchion as far as travel is left, lower leg down to the axle."""
    leg_top = along(fork.crown, 90.0 - head_angle, fork.offset)
    shoulder = along(leg_top, -head_angle, 30.0)
    left = fork.travel_left or 0.0
    seal = along(shoulder, -head_angle, left + 18.0)
    tube(sheet, shoulder, along(seal, -head_angle, 20.0), (_STANCHION, _STANCHION))
    tube(sheet, seal, along(fork.axle, -head_angle, 18.0), (_LOWER_LEG, _LOWER_LEG - 16.0))
    low = along(along(fork.crown, -head_angle, 44.0), 90.0 - head_angle, fork.offset)
    corners = [
        along(fork.crown, 90.0 - head_angle, -24.0),
        along(fork.crown, 90.0 - head_angle, fork.offset * 0.5 + 16.0),
        along(leg_top, -head_angle, 12.0),
    ]
    outer = along(corners[2], 90.0 - head_angle, _STANCHION / 2 + 4.0)
    inner = along(low, 90.0 - head_angle, -_STANCHION / 2 - 4.0)
    bottom = along(low, 90.0 - head_angle, _STANCHION / 2 + 4.0)
    heel = along(corners[0], -head_angle, 24.0)
    sheet.polyline([*corners[:2], outer, bottom, inner, heel], closed=True, paper=True)


def _head_tube(sheet: Sheet, frame: FramePoints, fork: ForkPoints, tint: str) -> None:
    with sheet.group("part-frame"):
        widths = (_HEAD_TUBE, _HEAD_TUBE)
        tube(sheet, frame.head_tube_bottom, fork.crown, (_HEAD_TUBE + 4.0, _HEAD_TUBE + 4.0))
        tube(sheet, frame.head_tube_top, frame.head_tube_bottom, widths, tint)


def _cockpit(sheet: Sheet, frame: FramePoints, cockpit: CockpitPoints) -> None:
    """Spacers, stem and bar; the grips are seen end-on."""
    up = 180.0 - frame.head_angle
    with sheet.group("part-cockpit"):
        under = along(cockpit.stem_foot, up, -18.0)
        tube(sheet, frame.head_tube_top, under, (_STEERER + 8.0, _STEERER + 8.0))
        tube(sheet, cockpit.stem_foot, cockpit.bar, (34.0, 30.0))
        tube(sheet, under, along(cockpit.stem_foot, up, 20.0), (_STEERER + 10.0, _STEERER + 10.0))
        tube(sheet, cockpit.bar, cockpit.grips, (24.0, 22.0))
        sheet.circle(cockpit.bar, _BAR / 2 + 5.0, paper=True)
        sheet.circle(cockpit.grips, _BAR / 2, paper=True)
        sheet.circle(cockpit.grips, _BAR / 2 - 6.0)


def _post(sheet: Sheet, frame: FramePoints, saddle: SaddlePoints) -> None:
    """The post along the seat tube's axis, bent to its clamp where that is set back."""
    up = 180.0 - frame.seat_tube_angle
    foot, top = frame.seat_tube_foot, saddle.clamp
    reach = (top[0] - foot[0], top[1] - foot[1])
    ahead = along((0.0, 0.0), up, 1.0)
    length = reach[0] * ahead[0] + reach[1] * ahead[1]
    neck = along(foot, up, length - 45.0)
    with sheet.group("part-post"):
        tube(sheet, neck, top, (_POST - 2.0, _POST - 6.0))
        tube(sheet, along(frame.seat_tube_top, up, -10.0), neck, (_POST, _POST))


def _saddle(sheet: Sheet, saddle: SaddlePoints) -> None:
    x, y = saddle.saddle
    rails = saddle.clamp[1]
    with sheet.group("part-saddle"):
        sheet.polyline([(x - 92, y - 30), (x - 58, rails), (x + 58, rails), (x + 104, y - 18)])
        saddle_outline(sheet, saddle.saddle, paper=True)
        sheet.circle(saddle.clamp, 13.0, paper=True)


def _drive(sheet: Sheet, points: BikePoints) -> None:
    """Pitch circles of the chain wheels, and the crank with its pedal held level."""
    pedal = along((0.0, 0.0), points.crank_angle, points.crank_length)
    with sheet.group("centre-line"):
        if points.ring_radius is not None:
            sheet.circle((0.0, 0.0), points.ring_radius)
        if points.sprocket_radius is not None:
            sheet.circle(points.rear.axle, points.sprocket_radius)
    with sheet.group("part-crank"):
        tube(sheet, (0.0, 0.0), pedal, (34.0, 24.0))
        sheet.circle((0.0, 0.0), 19.0, paper=True)
        sheet.circle(pedal, 12.0, paper=True)
        x, y = pedal
        corners = [(x - 50, y - 8), (x - 50, y + 8), (x + 50, y + 8), (x + 50, y - 8)]
        sheet.polyline(corners, closed=True, paper=True)
        sheet.circle((0.0, 0.0), 6.0)
