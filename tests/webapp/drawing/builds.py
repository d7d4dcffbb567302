"""Builds at the edges of what is drawn, for the tests of the drawings."""

from __future__ import annotations

from dataclasses import dataclass, replace

from geometry.bike.cockpit import hands
from geometry.bike.parts import Build, Fork, Frame, State, TopTube
from geometry.bike.saddle import Seat, seated
from geometry.bike.standing import stand
from geometry.bike.standover_height import standover
from geometry.examples.trail_bike import trail_cockpit, trail_hardtail
from webapp.drawing.labels import standard_figures
from webapp.drawing.points import BikePoints, bike_points

RIGID = Fork(axle_to_crown=450.0, offset=51.0, axle_to_crown_measured="straight")
LONG = Fork(axle_to_crown=545.0, offset=48.0, travel=150.0)
STANDOVER_AHEAD = 60.0


@dataclass(frozen=True)
class Drawn:
    """A build's points and figures."""

    points: BikePoints
    figures: dict[str, float]


def drawn(build: Build, state: State, saddle: float) -> Drawn:
    """The whole of a build with cockpit and saddle."""
    standing = stand(build, state)
    held, sat = hands(standing, trail_cockpit()), seated(standing, build, Seat(height=saddle))
    points = bike_points(
        standing, build, state=state, hands=held, seated=sat, ring_teeth=32, sprocket_teeth=16
    )
    figures = standard_figures(
        standing,
        hands=held,
        seated=sat,
        saddle_height=saddle,
        standover=float(standover(standing, build, ahead=STANDOVER_AHEAD)),
    )
    return Drawn(points, figures)


def _frame(reach: float, stack: float, head_tube: float, seat_tube: float) -> Frame:
    tube = TopTube(below_head_tube_top=0.35 * head_tube, along_seat_tube=0.9 * seat_tube,
                   diameter=34.9)  # fmt: skip
    return replace(
        trail_hardtail(),
        reach=reach,
        stack=stack,
        head_tube_length=head_tube,
        seat_tube_length=seat_tube,
        top_tube=tube,
    )


def _build(frame: Frame, fork: Fork, radius: float, slot: float = 0.0) -> Build:
    return Build(
        frame=frame,
        fork=fork,
        lower_headset_stack=12.0,
        front_radius=radius,
        rear_radius=radius,
        slot_position=slot,
    )


def all_drawn() -> dict[str, Drawn]:
    """By name: small, large, stiff, soft, short and fixed."""
    medium, rest = trail_hardtail(), State.unloaded()
    small, large = _frame(400.0, 600.0, 90.0, 370.0), _frame(520.0, 670.0, 150.0, 520.0)
    fixed = replace(medium, slot_length=0.0)
    level = replace(medium, bb_drop=0.0)
    return {
        "medium": drawn(_build(medium, LONG, 375.0, 9.0), rest, 740.0),
        "bottomed": drawn(_build(medium, LONG, 375.0), State(fork_compression=LONG.travel), 740.0),
        "rigid on small wheels": drawn(_build(small, RIGID, 340.0), rest, 620.0),
        "large": drawn(_build(large, LONG, 382.0, 16.0), rest, 860.0),
        "short head tube": drawn(
            _build(_frame(420.0, 590.0, 70.0, 390.0), LONG, 375.0), rest, 680.0
        ),
        "fixed axle": drawn(_build(fixed, RIGID, 371.0), rest, 720.0),
        "level BB": drawn(_build(level, LONG, 375.0), rest, 740.0),
    }
