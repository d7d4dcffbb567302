"""Every point a drawing of one build needs, in standing coordinates.

Millimetres from the BB centre, x forward, y up, side view from the drive side.
Where the frame's data does not say how a part looks (down tube, seatstays), its
place is illustrative; no figure is ever read off such a point.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, Literal

from geometry.bike import (
    Build,
    Hands,
    Seated,
    Standing,
    State,
    TopTube,
    rear_axle,
    seat_tube_point,
    top_tube_ends,
)
from geometry.core import (
    FiniteNumber,
    InvalidInput,
)

Point = tuple[float, float]
Sold = Literal["bike", "frameset", "frame"]

CRANK_LENGTH = 170.0  # [mm] drawn when none is given
PITCH = 12.7  # [mm] half-inch chain
RIM_SHARE = 0.83  # of the wheel's radius, where the rim is not known


@dataclass(frozen=True, kw_only=True, slots=True)
class WheelPoints:
    """One wheel: axle, radius over the tyre, radius of the rim at the bead seat [mm]."""

    axle: Point
    radius: float
    rim_radius: float


@dataclass(frozen=True, kw_only=True, slots=True)
class ForkPoints:
    """The fork: crown race seat, axle's foot on the steering axis, axle [mm].

    ``travel_left`` is the travel not yet used; None for a rigid fork.
    """

    crown: Point
    foot: Point
    axle: Point
    offset: float
    travel_left: float | None


@dataclass(frozen=True, kw_only=True, slots=True)
class FramePoints:
    """The frame's centrelines [mm]; angles [deg] from the level."""

    head_angle: float
    seat_tube_angle: float
    head_tube_top: Point
    head_tube_bottom: Point
    seat_tube_foot: Point
    seat_tube_top: Point
    top_tube: tuple[Point, Point]
    top_tube_diameter: float
    down_tube_head: Point
    seatstay_top: Point
    slot: tuple[Point, Point]


@dataclass(frozen=True, kw_only=True, slots=True)
class CockpitPoints:
    """Stem's foot on the steering axis, bar clamp's centre, grips [mm]."""

    stem_foot: Point
    bar: Point
    grips: Point


@dataclass(frozen=True, kw_only=True, slots=True)
class SaddlePoints:
    """Post axis at saddle height, post's clamp, saddle top above the rails' middle [mm]."""

    post_top: Point
    clamp: Point
    saddle: Point


@dataclass(frozen=True, kw_only=True, slots=True)
class RiderPoints:
    """Joints of a rider in the side view [mm], and the head's centre and radius.

    ``far_knee``, ``far_ankle`` and ``far_toe`` belong to the leg behind the bike.
    """

    hip: Point
    knee: Point
    ankle: Point
    toe: Point
    shoulder: Point
    elbow: Point
    hand: Point
    head: Point
    head_radius: float = 105.0
    far_knee: Point | None = None
    far_ankle: Point | None = None
    far_toe: Point | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class BikePoints:
    """One build on the ground, ready to be drawn.

    ``ground`` is the ground's y [mm]; ``axis_on_ground`` is where the steering
    axis meets it. ``cockpit`` and ``saddle`` are None where they are not chosen
    yet, ``ring_radius`` and ``sprocket_radius`` [mm] where the drive is not.
    ``crank_angle`` [deg] is 0 with the pedal level and forward, −90 at its lowest.
    ``sold`` says which parts are; a frame's fork and wheels are drawn as adjacent
    parts, which its figures assume, and what stands on it not at all.
    """

    frame: FramePoints
    fork: ForkPoints
    rear: WheelPoints
    front: WheelPoints
    ground: float
    axis_on_ground: Point
    crank_length: float
    crank_angle: float = 0.0
    cockpit: CockpitPoints | None = None
    saddle: SaddlePoints | None = None
    ring_radius: float | None = None
    sprocket_radius: float | None = None
    sold: Sold = "bike"

    def as_sold(self, sold: Sold) -> BikePoints:
        """The same, with only the parts that are sold and those its figures assume."""
        if sold == "bike":
            return self
        return replace(
            self, sold=sold, cockpit=None, saddle=None, ring_radius=None, sprocket_radius=None
        )

    def __post_init__(self) -> None:
        _refuse_not_finite(self, "")


def bike_points(
    standing: Standing,
    build: Build,
    *,
    state: State | None = None,
    hands: Hands | None = None,
    seated: Seated | None = None,
    crank_length: float | None = None,
    crank_angle: float = 0.0,
    rear_rim_radius: float | None = None,
    front_rim_radius: float | None = None,
    ring_teeth: int | None = None,
    sprocket_teeth: int | None = None,
) -> BikePoints:
    """Points of one standing build.

    Parameters
    ----------
    standing : Standing
        The build on the ground; one build, not arrays.
    build : Build
        Frame and what is fitted.
    state : State, optional
        The state ``standing`` was computed for; unloaded if not given.
    hands : Hands, optional
        Bar and grips; without them no cockpit is drawn.
    seated : Seated, optional
        Saddle and post; without them none is drawn.
    crank_length : float, optional [mm]
        170 is drawn if not given.
    crank_angle : float [deg]
        As `BikePoints.crank_angle`.
    rear_rim_radius, front_rim_radius : float, optional [mm]
        Half the bead-seat diameter.
    ring_teeth, sprocket_teeth : int, optional
        Of a half-inch chain drive, for their pitch circles.

    Returns
    -------
    BikePoints
        In standing coordinates [mm].

    Raises
    ------
    InvalidInput
        A point that is not finite.

    Notes
    -----
    Up the steering axis ``u = (−cos HA, sin HA)``; the same for the seat tube.

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> from geometry.bike import stand
    >>> build = trail_build()
    >>> points = bike_points(stand(build), build)
    >>> [round(v) for v in points.frame.head_tube_top], round(points.ground)
    ([470, 643], -304)
    """
    front = WheelPoints(
        axle=_point(standing.front_axle),
        radius=float(standing.front_radius),
        rim_radius=_rim(float(standing.front_radius), front_rim_radius),
    )
    rear = WheelPoints(
        axle=_point(standing.rear_axle),
        radius=float(standing.rear_radius),
        rim_radius=_rim(float(standing.rear_radius), rear_rim_radius),
    )
    ground = -float(standing.bb_height)
    return BikePoints(
        frame=_frame(standing, build),
        fork=_fork(standing, build, state or State.unloaded()),
        rear=rear,
        front=front,
        ground=ground,
        axis_on_ground=(front.axle[0] + float(standing.trail), ground),
        crank_length=CRANK_LENGTH if crank_length is None else float(crank_length),
        crank_angle=crank_angle,
        cockpit=None if hands is None else _cockpit(hands),
        saddle=None if seated is None else _saddle(seated),
        ring_radius=None if ring_teeth is None else pitch_radius(ring_teeth),
        sprocket_radius=None if sprocket_teeth is None else pitch_radius(sprocket_teeth),
    )


def pitch_radius(teeth: int) -> float:
    """Half the pitch diameter ``p / sin(π/z)`` of a half-inch chain wheel [mm].

    >>> round(2 * pitch_radius(32), 2)
    129.57
    """
    return PITCH / math.sin(math.pi / teeth) / 2


def along(start: Point, angle: float, distance: float) -> Point:
    """The point at a distance [mm] in a direction [deg, from forward, lifting up].

    >>> along((0.0, 0.0), 90.0, 10.0)
    (0.0, 10.0)
    """
    turn = math.radians(angle)
    return (
        round(start[0] + distance * math.cos(turn), 6),
        round(start[1] + distance * math.sin(turn), 6),
    )


def _frame(standing: Standing, build: Build) -> FramePoints:
    frame = build.frame
    head, seat = float(standing.head_angle), float(standing.seat_tube_angle)
    top = _point(standing.head_tube_top)
    foot = _point(seat_tube_point(standing, build, up=0.0))
    seat_top = _point(seat_tube_point(standing, build, up=frame.seat_tube_length))
    tube = frame.top_tube or _usual_top_tube(build)
    seat_end, head_end = top_tube_ends(standing, build, tube)
    joint = min(float(tube.along_seat_tube), float(frame.seat_tube_length))
    return FramePoints(
        head_angle=head,
        seat_tube_angle=seat,
        head_tube_top=top,
        head_tube_bottom=along(top, -head, float(frame.head_tube_length)),
        seat_tube_foot=foot,
        seat_tube_top=seat_top,
        top_tube=(_point(seat_end), _point(head_end)),
        top_tube_diameter=float(tube.diameter),
        down_tube_head=along(top, -head, _down_tube_joint(float(frame.head_tube_length))),
        seatstay_top=along(foot, 180.0 - seat, joint - 14.0),
        slot=_slot(standing, build),
    )


def _down_tube_joint(head_tube_length: float) -> float:
    """How far below the head tube's top the drawn down tube's centreline ends."""
    return max(head_tube_length - 26.0, head_tube_length * 0.6)


def _usual_top_tube(build: Build) -> TopTube:
    """A top tube for the picture only, for a frame whose own is not drawn."""
    return TopTube(
        below_head_tube_top=0.35 * float(build.frame.head_tube_length),
        along_seat_tube=0.9 * float(build.frame.seat_tube_length),
        diameter=34.9,
    )


def _slot(standing: Standing, build: Build) -> tuple[Point, Point]:
    ends = []
    for position in (0.0, float(build.frame.slot_length)):
        x, y = rear_axle(
            chainstay_length=build.frame.chainstay_length,
            bb_drop=build.frame.bb_drop,
            slot_angle=build.frame.slot_angle,
            slot_position=position,
        )
        ends.append(_point(standing.place(x, y)))
    return ends[0], ends[1]


def _fork(standing: Standing, build: Build, state: State) -> ForkPoints:
    head, top = float(standing.head_angle), _point(standing.head_tube_top)
    to_crown = float(build.frame.head_tube_length) + float(build.lower_headset_stack)
    used = float(state.fork_compression)
    travel = float(build.fork.travel)
    return ForkPoints(
        crown=along(top, -head, to_crown),
        foot=along(top, -head, to_crown + float(build.fork.along) - used),
        axle=_point(standing.front_axle),
        offset=float(build.fork.offset),
        travel_left=travel - used if travel > 0 else None,
    )


def _cockpit(hands: Hands) -> CockpitPoints:
    return CockpitPoints(
        stem_foot=_point(hands.stem_foot), bar=_point(hands.bar), grips=_point(hands.grips)
    )


def _saddle(seated: Seated) -> SaddlePoints:
    return SaddlePoints(
        post_top=_point(seated.post_top),
        clamp=_point(seated.clamp),
        saddle=_point(seated.saddle),
    )


def _rim(radius: float, given: float | None) -> float:
    return RIM_SHARE * radius if given is None else float(given)


def _point(pair: tuple[Any, Any]) -> Point:
    return float(pair[0]), float(pair[1])


def _refuse_not_finite(value: Any, field: str) -> None:
    """Refuse NaN and infinity anywhere in a tree of points: they would spoil the drawing."""
    if isinstance(value, tuple):
        named = [(field, part) for part in value]
    else:
        named = [(name, getattr(value, name)) for name in type(value).__dataclass_fields__]
    for name, part in named:
        if isinstance(part, float):
            if not math.isfinite(part):
                raise InvalidInput(name, part, FiniteNumber(unit="mm"))
        elif isinstance(part, tuple) or hasattr(part, "__dataclass_fields__"):
            _refuse_not_finite(part, name)
