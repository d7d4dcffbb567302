"""The bike standing on level ground.

Frame, fork and wheels are one rigid body, turned about the BB until both wheels
touch. With d the vector from rear to front axle, L its length and a its slope,
the turn is ``asin((Rf − Rr)/L) − a``. `solve` is that closed form on plain
numbers; it never compares or branches, so it serves floats, broadcast arrays
and complex steps alike. `stand` is the way in for typed builds.

::

                       .--T head tube's top
                      /    \\
            BB origin o     \\
      (Rr)  R .-----------.  F  (Rf)     d = F − R
     ---------'----------------'------   ground, at y = −bb_height
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from geometry.bike import remedies as refused
from geometry.bike.drawing import front_axle, rear_axle
from geometry.bike.parts import Build, State
from geometry.bike.steering_geometry import caster
from geometry.core import (
    ContradictoryInput,
    Num,
    check_shapes,
    cos,
    degrees,
    length,
    refuse,
    rotate,
    sin,
)


class Solved(NamedTuple):
    """Everything `solve` computes; lengths [mm], angles [deg], broadcast shape.

    Points are in the standing attitude from the BB centre, x forward, y up.
    ``turn_cosine`` and ``turn_sine`` are of the turn from drawn to standing.
    """

    head_angle: Num
    seat_tube_angle: Num
    reach: Num
    stack: Num
    effective_top_tube: Num
    bb_drop: Num
    bb_drop_front: Num
    bb_height: Num
    chainstay_length: Num
    rear_centre: Num
    front_centre: Num
    front_centre_straight: Num
    wheelbase: Num
    trail: Num
    mechanical_trail: Num
    wheel_flop: Num
    turn: Num
    turn_cosine: Num
    turn_sine: Num
    axle_distance: Num


def solve(
    *,
    reach: Num,
    stack: Num,
    head_angle: Num,
    head_tube_length: Num,
    seat_tube_angle: Num,
    seat_tube_offset: Num,
    chainstay_length: Num,
    bb_drop: Num,
    slot_angle: Num,
    slot_position: Num,
    axle_to_crown: Num,
    offset: Num,
    lower_headset_stack: Num,
    front_radius: Num,
    rear_radius: Num,
    fork_compression: Num,
    front_deflection: Num,
    rear_deflection: Num,
) -> Solved:
    """Standing geometry from plain numbers, in closed form.

    Parameters
    ----------
    reach, stack, head_tube_length, seat_tube_offset, chainstay_length, bb_drop
        Frame as drawn, float or array [mm].
    head_angle, seat_tube_angle, slot_angle
        Frame as drawn, float or array [deg].
    slot_position, axle_to_crown, offset, lower_headset_stack
        As fitted, float or array [mm]; axle-to-crown along the steering axis,
        unloaded.
    front_radius, rear_radius, fork_compression, front_deflection, rear_deflection
        Free wheel radii and state, float or array [mm].

    Returns
    -------
    Solved
        All broadcast against each other.

    Notes
    -----
    Nothing is checked here; `stand` checks. With e = d/L, q = (Rf − Rr)/L, p = sqrt(1 − q²),
    the turn t has cos t = p·ex + q·ey and sin t = q·ex − p·ey, so one arc sine is the only
    inverse function needed. Source: plane geometry of a rigid body on two circles.

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> round(float(solve(**arguments(trail_build(), State.unloaded())).bb_height), 3)
    304.0
    """
    head_sine, head_cosine = sin(head_angle), cos(head_angle)
    seat_sine, seat_cosine = sin(seat_tube_angle), cos(seat_tube_angle)
    front_x, front_y = front_axle(
        reach=reach,
        stack=stack,
        sine=head_sine,
        cosine=head_cosine,
        below_top=head_tube_length + lower_headset_stack + (axle_to_crown - fork_compression),
        offset=offset,
    )
    rear_x, rear_y = rear_axle(
        chainstay_length=chainstay_length,
        bb_drop=bb_drop,
        slot_angle=slot_angle,
        slot_position=slot_position,
    )
    front_loaded = front_radius - front_deflection
    rear_loaded = rear_radius - rear_deflection

    dx, dy = front_x - rear_x, front_y - rear_y
    axle_distance = length(dx, dy)
    rise = (front_loaded - rear_loaded) / axle_distance
    level = np.sqrt(1.0 - rise * rise)
    turn_cosine = (level * dx + rise * dy) / axle_distance
    turn_sine = (rise * dx - level * dy) / axle_distance
    turn = degrees(np.arcsin(turn_sine))

    standing_reach, standing_stack = rotate(reach, stack, cosine=turn_cosine, sine=turn_sine)
    rear_x_standing, rear_y_standing = rotate(rear_x, rear_y, cosine=turn_cosine, sine=turn_sine)
    wheelbase = level * axle_distance
    front_x_standing = rear_x_standing + wheelbase
    front_y_standing = rear_y_standing + (front_loaded - rear_loaded)
    # A turn that lifts the front slackens both tubes by as much.
    sine = head_sine * turn_cosine - head_cosine * turn_sine
    cosine = head_cosine * turn_cosine + head_sine * turn_sine
    seat_sine_standing = seat_sine * turn_cosine - seat_cosine * turn_sine
    steering = caster(front_radius=front_loaded, offset=offset, sine=sine, cosine=cosine)
    # The head tube's top keeps its distance from the seat tube's axis, square to it.
    top_to_seat_axis = reach * seat_sine + stack * seat_cosine - seat_tube_offset
    return Solved(
        head_angle=head_angle - turn,
        seat_tube_angle=seat_tube_angle - turn,
        reach=standing_reach,
        stack=standing_stack,
        effective_top_tube=top_to_seat_axis / seat_sine_standing,
        bb_drop=rear_y_standing,
        bb_drop_front=front_y_standing,
        bb_height=rear_loaded - rear_y_standing,
        chainstay_length=length(rear_x, rear_y),
        rear_centre=-rear_x_standing,
        front_centre=front_x_standing,
        front_centre_straight=length(front_x_standing, front_y_standing),
        wheelbase=wheelbase,
        trail=steering.trail,
        mechanical_trail=steering.mechanical_trail,
        wheel_flop=steering.wheel_flop,
        turn=turn,
        turn_cosine=turn_cosine,
        turn_sine=turn_sine,
        axle_distance=axle_distance,
    )


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Standing:
    """One build, or an array of builds, standing on level ground.

    Lengths [mm], angles [deg], all of the broadcast shape of the inputs.

    Parameters
    ----------
    head_angle, seat_tube_angle : float or array [deg]
        Steering axis and seat tube from the level.
    reach, stack : float or array [mm]
        BB centre to the head tube's top, level and upright.
    effective_top_tube : float or array [mm]
        Level, from the head tube's top to the seat tube's axis.
    bb_drop, bb_drop_front : float or array [mm]
        How far the BB lies below the rear and the front axle.
    bb_height : float or array [mm]
        BB centre above the ground.
    chainstay_length : float or array [mm]
        BB centre to rear axle, straight.
    rear_centre, front_centre : float or array [mm]
        BB centre to rear and front axle, level; their sum is the wheelbase.
    front_centre_straight : float or array [mm]
        BB centre to front axle, straight.
    wheelbase : float or array [mm]
        Between the axles, level.
    trail : float or array [mm]
        From the front contact forward to the steering axis, on the ground:
        ``(Rf cos HA − offset)/sin HA``.
    mechanical_trail : float or array [mm]
        The same, square to the steering axis: ``trail × sin HA``.
    wheel_flop : float or array [mm]
        ``trail × sin HA × cos HA``.
    turn : float or array [deg]
        From the drawn to the standing attitude; positive lifts the front.
    turn_cosine, turn_sine : float or array
        Of the turn.
    front_radius, rear_radius : float or array [mm]
        Loaded wheel radii.
    """

    head_angle: Num
    seat_tube_angle: Num
    reach: Num
    stack: Num
    effective_top_tube: Num
    bb_drop: Num
    bb_drop_front: Num
    bb_height: Num
    chainstay_length: Num
    rear_centre: Num
    front_centre: Num
    front_centre_straight: Num
    wheelbase: Num
    trail: Num
    mechanical_trail: Num
    wheel_flop: Num
    turn: Num
    turn_cosine: Num
    turn_sine: Num
    front_radius: Num
    rear_radius: Num

    def place(self, x: Num, y: Num) -> tuple[Num, Num]:
        """A point of the frame, from the drawn to the standing attitude [mm]."""
        return rotate(x, y, cosine=self.turn_cosine, sine=self.turn_sine)

    @property
    def rear_axle(self) -> tuple[Num, Num]:
        """Rear axle (x, y) [mm] from the BB centre."""
        return -self.rear_centre, self.bb_drop

    @property
    def front_axle(self) -> tuple[Num, Num]:
        """Front axle (x, y) [mm] from the BB centre."""
        return self.front_centre, self.bb_drop_front

    @property
    def head_tube_top(self) -> tuple[Num, Num]:
        """Head tube's top (x, y) [mm] from the BB centre."""
        return self.reach, self.stack


def arguments(build: Build, state: State) -> dict[str, Num]:
    """The plain numbers of a build in a state, named as `solve` takes them.

    Parameters
    ----------
    build : Build
        Frame with what is fitted.
    state : State
        How far fork and tyres are pressed in.

    Returns
    -------
    dict of str to float or array
        Keyword arguments for `solve` [mm, deg].
    """
    frame = build.frame
    return {
        "reach": frame.reach,
        "stack": frame.stack,
        "head_angle": frame.head_angle,
        "head_tube_length": frame.head_tube_length,
        "seat_tube_angle": frame.seat_tube_angle,
        "seat_tube_offset": frame.seat_tube_offset,
        "chainstay_length": frame.chainstay_length,
        "bb_drop": frame.bb_drop,
        "slot_angle": frame.slot_angle,
        "slot_position": build.slot_position,
        "axle_to_crown": build.fork.along,
        "offset": build.fork.offset,
        "lower_headset_stack": build.lower_headset_stack,
        "front_radius": build.front_radius,
        "rear_radius": build.rear_radius,
        "fork_compression": state.fork_compression,
        "front_deflection": state.front_deflection,
        "rear_deflection": state.rear_deflection,
    }


def stand(build: Build, state: State | None = None) -> Standing:
    """Stand a build on level ground.

    Parameters
    ----------
    build : Build
        One build, or arrays of builds that broadcast.
    state : State, optional
        How far fork and tyres are pressed in; unloaded if not given.

    Returns
    -------
    Standing
        Every figure of the standing bike, of the broadcast shape.

    Raises
    ------
    ContradictoryInput
        A compression beyond the fork's travel, a tyre pressed flat to the
        axle, wheels that cannot both touch the ground or that overlap, a front
        axle behind the rear one, a tube that would come to lie level.
    InvalidInput
        Arrays whose shapes do not broadcast.

    Notes
    -----
    Turn = ``asin((Rf − Rr)/L) − a`` with d from rear to front axle, L its
    length and a its slope. Source: plane geometry; checked against a
    general-purpose root finder and Moore, Human Control of a Bicycle, UC Davis
    2012, chapter Physical Parameters.

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> standing = stand(trail_build())
    >>> round(standing.head_angle, 2), round(standing.wheelbase, 1)
    (68.0, 1179.9)
    """
    state = State.unloaded() if state is None else state
    given = arguments(build, state)
    shape = check_shapes(given)
    _check_state(build, state)
    # Builds that cannot stand are refused by name below, not by a warning here.
    with np.errstate(invalid="ignore", divide="ignore"):
        solved = solve(**given)
    front = build.front_radius - state.front_deflection
    rear = build.rear_radius - state.rear_deflection
    _check_wheels(front, rear, solved.axle_distance)
    _check_attitude(build, solved)
    values = solved._asdict() | {"front_radius": front, "rear_radius": rear}
    del values["axle_distance"]
    return Standing(**{name: _spread(value, shape) for name, value in values.items()})


def _spread(value: Num, shape: tuple[int, ...]) -> Num:
    """A figure at the builds' common shape, also when it depends on few of the inputs."""
    if not shape:
        return float(value)
    return value if np.shape(value) == shape else np.broadcast_to(value, shape)


def _check_state(build: Build, state: State) -> None:
    """Refuse a fork pressed in beyond its travel and tyres pressed to the axle."""
    used = state.fork_compression
    wrong = used > build.fork.travel
    refuse(wrong, ContradictoryInput, "fork_compression", used, refused.WithinTravel())
    for end in ("front", "rear"):
        name, pressed = f"{end}_deflection", getattr(state, f"{end}_deflection")
        wrong = pressed >= getattr(build, f"{end}_radius")
        refuse(wrong, ContradictoryInput, name, pressed, refused.LessThanWheelRadius())


def _check_wheels(front: Num, rear: Num, axle_distance: Num) -> None:
    """Refuse wheels that overlap, which covers wheels that cannot both touch.

    One wheel could only keep the other off the ground when its radius exceeded
    the other's by more than the distance between the axles; it would then
    overlap it.
    """
    wrong = front + rear >= axle_distance
    refuse(wrong, ContradictoryInput, "front_radius", front, refused.WheelsApart())


def _check_attitude(build: Build, solved: Solved) -> None:
    """Refuse a build that would stand back to front, or with a tube fallen level.

    The turn comes from an arc sine, which is the whole truth only up to 90°.
    """
    frame, behind = build.frame, solved.turn_cosine <= 0
    refuse(behind, ContradictoryInput, "frame.reach", frame.reach, refused.FrontAxleAhead())
    for tube in ("head_angle", "seat_tube_angle"):
        name, fallen = f"frame.{tube}", sin(getattr(solved, tube)) <= 0
        refuse(fallen, ContradictoryInput, name, getattr(frame, tube), refused.TubeNotLevel())
