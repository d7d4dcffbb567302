"""Where hands and seat are: grips and saddle of a standing build.

The steerer carries upper headset stack, spacers and stem above the head tube::

        u up the axis       G grip centre (rise and sweep from the bar's centre)
        |   stem   _.-H  bar clamp's centre
        |    _.-'   angle from square to the steering axis, positive rises
        W--'   half the stem's clamp height above the spacers
        |
        T  head tube's top

The saddle sits on the post's axis at the saddle height, a straight distance
from the BB centre; the effective seat angle is that line's slope.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from geometry.angles import Num, cos, degrees, length, radians, sin
from geometry.errors import ContradictoryInput
from geometry.fixed_points import from_head_tube_top, on_seat_axis
from geometry.inputs import Checked, number, plain, refuse
from geometry.parts import Build
from geometry.stance import Standing


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Stem(Checked):
    """A stem clamped on the steerer.

    Parameters
    ----------
    length : float or array [mm]
        Steerer's centre to bar's centre, along the stem.
    angle : float or array [deg]
        From square to the steering axis; positive rises.
    clamp_height : float or array [mm]
        Height of the clamp on the steerer.
    """

    length: Num = number("mm", least=0)
    angle: Num = number("degrees", least=-90, most=90, default=0.0)
    clamp_height: Num = number("mm", least=0, default=40.0)


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Handlebar(Checked):
    """A handlebar whose grips sweep back and up from where its bends end.

    Parameters
    ----------
    width : float or array [mm]
        Over both ends.
    rise : float or array [mm]
        From the clamp's centre up to where the sweep starts.
    backsweep, upsweep : float or array [deg]
        Of the grip sections.
    sweep_start : float or array [mm]
        From the bar's centre outward to where the sweep starts.
    grip_from_end : float or array [mm]
        Grip centre from the bar's end, along the bar's width.
    forward : float or array [mm]
        Throw of the bar ahead of its clamp before the sweep.
    roll : float or array [deg]
        Turn of the bar in the stem, positive tips the rise forward; at 0 the
        rise stands parallel to the steering axis.
    """

    width: Num = number("mm", above=0)
    rise: Num = number("mm", default=0.0)
    backsweep: Num = number("degrees", least=-89, most=89, default=0.0)
    upsweep: Num = number("degrees", least=-89, most=89, default=0.0)
    sweep_start: Num = number("mm", least=0, default=60.0)
    grip_from_end: Num = number("mm", least=0, default=65.0)
    forward: Num = number("mm", default=0.0)
    roll: Num = number("degrees", least=-180, most=180, default=0.0)

    def __post_init__(self) -> None:
        Checked.__post_init__(self)
        wrong = self.grip_out <= self.sweep_start
        remedy = "half the bar's width must hold the sweep's start and the grip"
        refuse(wrong, ContradictoryInput, "width", self.width, remedy)

    @property
    def grip_out(self) -> Num:
        """Grip centre from the bike's middle, to the side [mm]."""
        return self.width / 2 - self.grip_from_end


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Cockpit(Checked):
    """What sits on top of the head tube.

    Parameters
    ----------
    stem : Stem
    handlebar : Handlebar
    upper_headset_stack : float or array [mm]
        From the head tube's top to the top of the headset's cover.
    spacers : float or array [mm]
        Under the stem.
    """

    stem: Stem
    handlebar: Handlebar
    upper_headset_stack: Num = number("mm", least=0, default=0.0)
    spacers: Num = number("mm", least=0, default=0.0)


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Hands:
    """Bar and grips of a standing build, from the BB centre [mm].

    Parameters
    ----------
    stem_foot : (x, y)
        Where the stem's centreline leaves the steering axis.
    bar : (x, y)
        Bar clamp's centre.
    grips : (x, y)
        Grip centres; both lie on one side view point.
    grip_out : float or array [mm]
        Grip centres to either side of the bike's middle.
    to_rear_axle : float or array [mm]
        Grips to rear axle, level.
    to_rear_axle_straight : float or array [mm]
        Grips to rear axle, straight, in the side view.
    height : float or array [mm]
        Grips above the ground.
    """

    stem_foot: tuple[Num, Num]
    bar: tuple[Num, Num]
    grips: tuple[Num, Num]
    grip_out: Num
    to_rear_axle: Num
    to_rear_axle_straight: Num
    height: Num


def hands(standing: Standing, cockpit: Cockpit) -> Hands:
    """Grips from stem length and angle, spacers, bar rise, width and sweep.

    Parameters
    ----------
    standing : Standing
        The build on the ground.
    cockpit : Cockpit
        Stem, bar, headset's upper stack and spacers.

    Returns
    -------
    Hands
        Points [mm] from the BB centre, and distances to the rear axle.

    Notes
    -----
    Up the axis ``u = (−cos HA, sin HA)``, forward ``n = (sin HA, cos HA)``.
    Bar = top + (upper stack + spacers + clamp/2) u + length (cos s·n + sin s·u).
    Past the sweep's start the grip section runs out by e = grip_out − start,
    back by ``e tan(backsweep)`` less the throw, and up by ``e tan(upsweep)``. Source: plane
    geometry on the makers' usual dimensions; common practice of the trade.

    Examples
    --------
    >>> from geometry.examples import trail_build, trail_cockpit
    >>> from geometry.stance import stand
    >>> found = hands(stand(trail_build()), trail_cockpit())
    >>> [round(v) for v in found.grips]
    [423, 715]
    """
    places = places_on_axis(cockpit)
    grips = _along(standing, *places.grips)
    level = grips[0] + standing.rear_centre
    above = grips[1] - standing.bb_drop
    return Hands(
        stem_foot=_along(standing, *places.stem_foot),
        bar=_along(standing, *places.bar),
        grips=grips,
        grip_out=cockpit.handlebar.grip_out,
        to_rear_axle=plain(level),
        to_rear_axle_straight=plain(np.sqrt(level * level + above * above)),
        height=plain(grips[1] + standing.bb_height),
    )


class Places(NamedTuple):
    """Points of a cockpit as (up the steering axis, square ahead of it) from the top [mm]."""

    stem_foot: tuple[Any, Any]
    bar: tuple[Any, Any]
    grips: tuple[Any, Any]


def places_on_axis(cockpit: Cockpit) -> Places:
    """Where stem, bar and grips lie along and square to the steering axis.

    Parameters
    ----------
    cockpit : Cockpit
        Stem, bar, headset's upper stack and spacers.

    Returns
    -------
    Places
        Each (up, forward) [mm] from the head tube's top; formula and source as in `hands`.

    Examples
    --------
    >>> from geometry.examples import trail_cockpit
    >>> places_on_axis(trail_cockpit()).bar
    (39.0, 50.0)
    """
    stem, bar = cockpit.stem, cockpit.handlebar
    lift = cockpit.upper_headset_stack + cockpit.spacers + stem.clamp_height / 2
    up = lift + stem.length * sin(stem.angle)
    forward = stem.length * cos(stem.angle)
    run = bar.grip_out - bar.sweep_start
    rise = bar.rise + run * np.tan(radians(bar.upsweep))
    back = run * np.tan(radians(bar.backsweep)) - bar.forward
    grip_up = up + rise * cos(bar.roll) + back * sin(bar.roll)
    grip_forward = forward + rise * sin(bar.roll) - back * cos(bar.roll)
    return Places((lift, 0.0), (plain(up), plain(forward)), (grip_up, grip_forward))


def _along(standing: Standing, up: Any, forward: Any) -> tuple[Num, Num]:
    """A point by its distances along and square to the steering axis, from the head tube's top."""
    x, y = from_head_tube_top(
        reach=standing.reach,
        stack=standing.stack,
        sine=sin(standing.head_angle),
        cosine=cos(standing.head_angle),
        up=up,
        forward=forward,
    )
    return plain(x), plain(y)


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Seat(Checked):
    """How the saddle is set.

    Parameters
    ----------
    height : float or array [mm]
        Straight from the BB centre to the saddle's top, where the post's axis
        meets its level.
    post_offset : float or array [mm]
        Of the post's clamp behind its axis, square to it (setback).
    rail_position : float or array [mm]
        Saddle slid forward (+) or back (−) from the rails' middle.
    saddle_stack : float or array [mm]
        Rails' centre to saddle top.
    """

    height: Num = number("mm", above=0)
    post_offset: Num = number("mm", default=0.0)
    rail_position: Num = number("mm", default=0.0)
    saddle_stack: Num = number("mm", least=0, default=45.0)


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Seated:
    """Saddle of a standing build, from the BB centre [mm].

    Parameters
    ----------
    post_top : (x, y)
        Where the post's axis reaches the saddle's height.
    clamp : (x, y)
        Centre of the post's clamp, at the height of the rails.
    saddle : (x, y)
        Saddle top above the rails' middle.
    effective_seat_angle : float or array [deg]
        BB centre to ``post_top``, from the level.
    post_above_bb : float or array [mm]
        From the BB centre's foot on the post's axis up to the clamp, along it.
    height : float or array [mm]
        Saddle top above the ground.
    """

    post_top: tuple[Num, Num]
    clamp: tuple[Num, Num]
    saddle: tuple[Num, Num]
    effective_seat_angle: Num
    post_above_bb: Num
    height: Num


def seated(standing: Standing, build: Build, seat: Seat) -> Seated:
    """Saddle from saddle height, post offset and the saddle's place on its rails.

    Parameters
    ----------
    standing : Standing
        The build on the ground.
    build : Build
        For the seat tube's offset.
    seat : Seat
        How the saddle is set.

    Returns
    -------
    Seated
        Points [mm] from the BB centre, effective seat angle [deg].

    Raises
    ------
    ContradictoryInput
        A saddle height that the post's axis, passing the BB at its offset,
        never comes down to.

    Notes
    -----
    The point on the axis at distance h of the BB lies ``sqrt(h² − offset²)``
    up the axis and is seen ``asin(offset/h)`` steeper than it. Rails lie level; the
    clamp is ``post_offset`` behind the axis, square to it. Source: plane geometry.

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> from geometry.stance import stand
    >>> build = trail_build()
    >>> found = seated(stand(build), build, Seat(height=740.0))
    >>> round(found.effective_seat_angle, 1)
    74.0
    """
    offset = build.frame.seat_tube_offset
    remedy = "must exceed the seat tube's offset from the BB"
    refuse(seat.height <= np.abs(offset), ContradictoryInput, "height", seat.height, remedy)
    sine, cosine = sin(standing.seat_tube_angle), cos(standing.seat_tube_angle)
    run = np.sqrt(seat.height * seat.height - offset * offset)
    top_x, top_y = on_seat_axis(offset=offset, sine=sine, cosine=cosine, up=run)
    rails_y = top_y - seat.saddle_stack
    back = seat.post_offset
    # The clamp lies `back` square behind the axis, at the rails' level.
    up_axis = (rails_y - offset * cosine + back * cosine) / sine
    clamp_x = offset * sine - up_axis * cosine - back * sine
    return Seated(
        post_top=(plain(top_x), plain(top_y)),
        clamp=(plain(clamp_x), plain(rails_y)),
        saddle=(plain(clamp_x + seat.rail_position), plain(top_y)),
        effective_seat_angle=plain(
            standing.seat_tube_angle + degrees(np.arcsin(offset / seat.height))
        ),
        post_above_bb=plain(up_axis),
        height=plain(top_y + standing.bb_height),
    )


def saddle_height_of(standing: Standing, build: Build, seat: Seat, *, post_above_bb: Num) -> Num:
    """Saddle height that a post's clamp at a given place gives; inverse of `seated`.

    Parameters
    ----------
    standing : Standing
        The build on the ground.
    build : Build
        For the seat tube's offset.
    seat : Seat
        Post offset and saddle stack; its height is not used.
    post_above_bb : float or array [mm]
        From the BB centre's foot on the post's axis up to the clamp, along it.

    Returns
    -------
    float or array [mm]
        Straight from the BB centre to where the axis meets the saddle's level.

    Raises
    ------
    ContradictoryInput
        A post set back so far that its saddle would lie below the BB.

    Notes
    -----
    The saddle's level is a saddle stack above the clamp; the axis reaches it
    ``(stack − offset·cos) / sin`` further up, with the post's setback taken
    square to the axis. Source: plane geometry.

    Examples
    --------
    >>> from geometry.examples import trail_build
    >>> from geometry.stance import stand
    >>> build, seat = trail_build(), Seat(height=740.0, post_offset=20.0)
    >>> standing = stand(build)
    >>> clamp = seated(standing, build, seat).post_above_bb
    >>> round(saddle_height_of(standing, build, seat, post_above_bb=clamp), 6)
    740.0
    """
    sine, cosine = sin(standing.seat_tube_angle), cos(standing.seat_tube_angle)
    run = post_above_bb + (seat.saddle_stack - seat.post_offset * cosine) / sine
    remedy = "the saddle would lie below the bottom bracket"
    refuse(np.asarray(run) <= 0, ContradictoryInput, "post_above_bb", post_above_bb, remedy)
    return plain(length(run, build.frame.seat_tube_offset))
