"""Bottles: whether one fits its mount, and whether a dropper post needs its place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from geometry.checks import Ask, Check, Source, judge, unknown
from geometry.clearance.post import Post, SeatTube, free_depth, insertion, largest_travel
from geometry.clearance.statements import (
    BossNotKnown,
    BottleOnMount,
    DropperAtMost,
    MountRoomNotKnown,
    NoBottleOnMount,
    NoBottleOnSeatTube,
    OtherBottle,
    PostBesideBottle,
)
from geometry.core import AnyOf, Checked, Statement, number


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class BottleMount(Checked):
    """The room at one mount.

    Parameters
    ----------
    name : str
        "seat tube", "down tube".
    length : float [mm]
        Free length for bottle and cage, the bottle being drawn out included.
    diameter : float [mm]
        Thickest bottle.
    """

    name: str
    length: float = number("mm", above=0)
    diameter: float = number("mm", above=0)


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Bottle(Checked):
    """A bottle.

    Parameters
    ----------
    name : str
        "0.6 litre".
    length, diameter : float [mm]
        With its cap.
    """

    name: str
    length: float = number("mm", above=0)
    diameter: float = number("mm", above=0)


def bottle_check(
    mount: BottleMount | None, bottle: Bottle, *, others: Sequence[Bottle] = ()
) -> Check[Statement]:
    """Whether a bottle fits a mount.

    Parameters
    ----------
    mount : BottleMount or None
        ``None`` when its room is not known.
    bottle : Bottle
        The one wished.
    others : sequence of Bottle
        To be had instead; the remedy names the longest that fits.

    Returns
    -------
    Check
        Code ``bottle.<mount>``. The figure is the smaller of the lengths and
        diameters left over.

    Examples
    --------
    >>> mount = BottleMount(name="seat tube", length=190.0, diameter=75.0)
    >>> small, large = (Bottle(name="0.5 litre", length=180.0, diameter=74.0),
    ...                 Bottle(name="0.75 litre", length=250.0, diameter=74.0))
    >>> bottle_check(mount, large, others=[small]).remedy
    OtherBottle(bottle='0.5 litre')
    """
    if mount is None:
        missing, ask = MountRoomNotKnown(), Ask(whom=Source.BUILDER)
        return unknown("bottle", missing=missing, source=Source.BUILDER, remedy=ask)
    left = _left(mount, bottle)
    fitting = [other for other in others if _left(mount, other) >= 0]
    longest = max(fitting, key=lambda other: other.length, default=None)
    return judge(
        f"bottle.{mount.name.replace(' ', '_')}",
        figure=left,
        limit=0.0,
        unit="mm",
        reason=BottleOnMount(
            bottle=bottle.name,
            length=bottle.length,
            diameter=bottle.diameter,
            mount=mount.name,
            room_length=mount.length,
            room_diameter=mount.diameter,
        ),
        source=Source.BUILDER,
        remedy=OtherBottle(bottle=longest.name) if longest else NoBottleOnMount(mount=mount.name),
    )


def _left(mount: BottleMount, bottle: Bottle) -> float:
    return min(mount.length - bottle.length, mount.diameter - bottle.diameter)


def dropper_and_bottle_check(
    tube: SeatTube,
    post: Post,
    *,
    saddle_height: float,
    saddle_stack: float,
    boss: float | None,
    posts: Post | None = None,
) -> Check[Statement]:
    """Whether a dropper leaves the seat tube's bottle its bolts, and both ways out if not.

    Parameters
    ----------
    tube : SeatTube
        Its depth as without a bottle.
    post : Post
        The dropper fitted.
    saddle_height, saddle_stack : float [mm]
        As in `geometry.clearance.post.post_check`.
    boss : float or None [mm]
        Below the seat tube's top, where the upper bolt comes in; ``None`` when
        that is not known.
    posts : Post, optional
        The catalogue of droppers, to name the largest that leaves the bottle.

    Returns
    -------
    Check
        Code ``post.bottle``. Figure and limit are the insertion needed and the
        depth above the bolt.

    Raises
    ------
    InvalidInput
        As in `geometry.clearance.post.insertion`.

    Examples
    --------
    >>> tube = SeatTube(length=420.0, depth=260.0)
    >>> droppers = Post(body=[200.0, 270.0], head=[175.0, 220.0], least_insertion=90.0,
    ...                 travel=[125.0, 170.0])
    >>> long = Post(body=270.0, head=220.0, least_insertion=90.0, travel=170.0)
    >>> dropper_and_bottle_check(tube, long, saddle_height=730.0, saddle_stack=45.0, boss=190.0,
    ...                          posts=droppers).remedy.ways
    (NoBottleOnSeatTube(), DropperAtMost(travel=125.0))
    """
    code, source = "post.bottle", Source.BUILDER
    if boss is None:
        return unknown(code, missing=BossNotKnown(), source=source, remedy=Ask(whom=source))
    above = float(free_depth(straight=tube.depth, boss=boss, bottle=True))
    needed = float(insertion(tube, post, saddle_height=saddle_height, saddle_stack=saddle_stack))
    ways: list[Statement] = [NoBottleOnSeatTube()]
    if posts is not None and needed > above:
        travel, which = largest_travel(
            replace(tube, depth=above),
            posts,
            saddle_height=saddle_height,
            saddle_stack=saddle_stack,
        )
        ways += [DropperAtMost(travel=float(travel))] if which >= 0 else []
    return judge(
        code,
        figure=needed,
        limit=above,
        unit="mm",
        reason=PostBesideBottle(needed=needed, left=above),
        source=source,
        remedy=AnyOf(ways=tuple(ways)),
        sense="at most",
    )
