"""Where the hands are: bar and grips of a standing build.

The steerer carries upper headset stack, spacers and stem above the head tube::

        u up the axis       G grip centre (rise and sweep from the bar's centre)
        |   stem   _.-H  bar clamp's centre
        |    _.-'   angle from square to the steering axis, positive rises
        W--'   half the stem's clamp height above the spacers
        |
        T  head tube's top
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from geometry.bike.frame_points import from_head_tube_top
from geometry.bike.remedies import WiderBar
from geometry.bike.standing import Standing
from geometry.core import Checked, ContradictoryInput, Num, cos, number, plain, radians, refuse, sin


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
        refuse(wrong, ContradictoryInput, "width", self.width, WiderBar())

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
    >>> from geometry.bike import stand
    >>> found = hands(stand(trail_build()), trail_cockpit())
    >>> [round(v) for v in found.grips]
    [451, 724]
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

    stem_foot: tuple[Num, Num]
    bar: tuple[Num, Num]
    grips: tuple[Num, Num]


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


def _along(standing: Standing, up: Num, forward: Num) -> tuple[Num, Num]:
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
