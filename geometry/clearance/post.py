"""The seat post: what saddle heights it reaches, and the largest dropper that fits.

All along the post's axis, from the BB centre's foot on it::

    saddle top ──────────  ┐ saddle stack
    rails      ──────────  ┤
                           │ head: what stays out when pushed fully in,
                           │       of a dropper fully extended
    seat tube top ═══════  ┤ ┐
                           │ │ insertion, at most the body or the depth,
                           │ ┘           at least both makers' minimum
    BB foot    ──────────  ┘

A post is its body, which can go into the tube, and its head, which cannot. The
saddle top is at ``tube + body − insertion + head + stack``.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.bike import MoreThanSeatOffset
from geometry.checks import Check, Source, judge
from geometry.clearance.remedies import HeldByHead
from geometry.clearance.statements import DeeperSeatTube, LongerPost, SaddleOnPost, ShorterPost
from geometry.core import Checked, InvalidInput, Num, Statement, checked, number, plain, refuse

_POST_BAND = 5.0  # a range left with less than this is tight [mm, common practice]


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class SeatTube(Checked):
    """The seat tube as a post sees it.

    Parameters
    ----------
    length : float or array [mm]
        From the BB centre's foot on the axis to the tube's top.
    depth : float or array [mm]
        Straight, free bore below the top: to a bend, a boss's bolt, a reducer.
    least_insertion : float or array [mm]
        Wanted by the frame's builder.
    offset : float or array [mm]
        Of the axis from the BB centre, square to it.

    Raises
    ------
    InvalidInput
        Not finite, or an impossible size.
    """

    length: Num = number("mm", above=0)
    depth: Num = number("mm", above=0)
    least_insertion: Num = number("mm", least=0, default=0.0)
    offset: Num = number("mm", default=0.0)


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Post(Checked):
    """A rigid or dropper post; arrays for a catalogue of them.

    Parameters
    ----------
    body : float or array [mm]
        From its lowest point to the collar, or to where it can go in no further.
    head : float or array [mm]
        From there to the middle of the saddle's rails, fully extended.
    least_insertion : float or array [mm]
        Its maker's, from the lowest point of the shaft.
    travel : float or array [mm]
        Of a dropper; 0 for a rigid post.

    Raises
    ------
    InvalidInput
        Not finite, or an impossible size; a travel longer than the head.
    """

    body: Num = number("mm", above=0)
    head: Num = number("mm", least=0)
    least_insertion: Num = number("mm", above=0)
    travel: Num = number("mm", least=0, default=0.0)

    def __post_init__(self) -> None:
        Checked.__post_init__(self)
        wrong = np.asarray(self.travel) > self.head
        refuse(wrong, InvalidInput, "travel", self.travel, HeldByHead())


def least_insertion(diameter: Num, *, stated: Num = 0.0) -> Num:
    """Least insertion of a post: twice its diameter, or more if its maker says so.

    Parameters
    ----------
    diameter : float or array [mm]
        Of the post.
    stated : float or array [mm]
        By its maker; 0 for none.

    Returns
    -------
    float or array [mm]
        From the lowest point of the shaft.

    Raises
    ------
    InvalidInput
        A diameter not above 0, a negative statement.

    Notes
    -----
    Source: 16 CFR 1512.15(b).

    Examples
    --------
    >>> least_insertion(31.6), least_insertion(31.6, stated=100.0)
    (63.2, 100.0)
    """
    diameter = checked("diameter", diameter, "mm", above=0)
    return plain(np.maximum(2.0 * diameter, checked("stated", stated, "mm", least=0)))


def free_depth(*, straight: Num, boss: Num | None = None, bottle: bool = False) -> Num:
    """How deep a post can go, with or without a bottle on the seat tube.

    Parameters
    ----------
    straight : float or array [mm]
        Bore below the tube's top to where it bends or narrows.
    boss : float or array or None [mm]
        Below the top, where the bolt of the upper bottle boss would come in;
        ``None`` for a tube without bosses.
    bottle : bool
        Whether a bottle is bolted on.

    Returns
    -------
    float or array [mm]

    Raises
    ------
    InvalidInput
        A depth not above 0.

    Examples
    --------
    >>> free_depth(straight=260.0, boss=190.0), free_depth(straight=260.0, boss=190.0, bottle=True)
    (260.0, 190.0)
    """
    straight = checked("straight", straight, "mm", above=0)
    if boss is None or not bottle:
        return straight
    return plain(np.minimum(straight, checked("boss", boss, "mm", above=0)))


def along_axis_height(saddle_height: Num, *, offset: Num = 0.0) -> Num:
    """Saddle top above the BB's foot on the post's axis, along it.

    Parameters
    ----------
    saddle_height : float or array [mm]
        Straight from the BB centre to the saddle top.
    offset : float or array [mm]
        Of the axis from the BB centre.

    Returns
    -------
    float or array [mm]
        ``√(height² − offset²)``.

    Raises
    ------
    InvalidInput
        A height not above the offset.

    Examples
    --------
    >>> along_axis_height(730.0, offset=0.0)
    730.0
    """
    height = checked("saddle_height", saddle_height, "mm", above=0)
    offset = checked("offset", offset, "mm")
    wrong = height <= np.abs(offset)
    refuse(wrong, InvalidInput, "saddle_height", height, MoreThanSeatOffset())
    return plain(np.sqrt(height * height - offset * offset))


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class PostRange:
    """Saddle heights a post reaches in a frame, all along the axis [mm].

    Parameters
    ----------
    lowest, highest : float or array [mm]
        Pushed in as far as it goes, and pulled out to its minimum insertion. A
        lowest above the highest means that it cannot be fitted safely at all.
    """

    lowest: Num
    highest: Num


def post_range(tube: SeatTube, post: Post, *, saddle_stack: Num) -> PostRange:
    """Saddle heights a post reaches in a frame, fully extended.

    Parameters
    ----------
    tube : SeatTube
        The frame's.
    post : Post
        Broadcasts with the tube.
    saddle_stack : float or array [mm]
        From the rails to the saddle's top.

    Returns
    -------
    PostRange

    Raises
    ------
    InvalidInput
        A negative saddle stack.

    Examples
    --------
    >>> tube = SeatTube(length=420.0, depth=250.0, least_insertion=100.0)
    >>> post = Post(body=270.0, head=220.0, least_insertion=90.0, travel=170.0)
    >>> reach = post_range(tube, post, saddle_stack=45.0)
    >>> reach.lowest, reach.highest
    (705.0, 855.0)
    """
    stack = checked("saddle_stack", saddle_stack, "mm", least=0)
    whole = tube.length + post.body + post.head + stack
    deepest = np.minimum(post.body, tube.depth)
    least = np.maximum(post.least_insertion, tube.least_insertion)
    return PostRange(lowest=plain(whole - deepest), highest=plain(whole - least))


def insertion(tube: SeatTube, post: Post, *, saddle_height: Num, saddle_stack: Num) -> Num:
    """How deep the post goes in for a saddle height, for the assembly notes.

    Parameters
    ----------
    tube, post : SeatTube, Post
        As fitted.
    saddle_height : float or array [mm]
        Straight from the BB centre to the saddle top.
    saddle_stack : float or array [mm]
        From the rails to the saddle's top.

    Returns
    -------
    float or array [mm]
        Of the post's lowest point below the seat tube's top; whether that is
        deep enough is `post_check`'s to say.

    Raises
    ------
    InvalidInput
        As for `along_axis_height`.

    Examples
    --------
    >>> tube = SeatTube(length=420.0, depth=250.0)
    >>> post = Post(body=270.0, head=220.0, least_insertion=90.0, travel=170.0)
    >>> insertion(tube, post, saddle_height=730.0, saddle_stack=45.0)
    225.0
    """
    stack = checked("saddle_stack", saddle_stack, "mm", least=0)
    along = along_axis_height(saddle_height, offset=tube.offset)
    return plain(tube.length + post.body + post.head + stack - along)


def post_check(
    tube: SeatTube,
    post: Post,
    *,
    saddle_height: float,
    saddle_stack: float,
    source: str = Source.BUILDER,
) -> Check[Statement]:
    """Whether a rider's saddle height lies within what the post reaches.

    Parameters
    ----------
    tube, post : SeatTube, Post
        One of each.
    saddle_height : float [mm]
        Straight from the BB centre to the saddle top.
    saddle_stack : float [mm]
        From the rails to the saddle's top.
    source : str
        Who states depth and minimum insertion.

    Returns
    -------
    Check
        Code ``post.range``, of safety; the limit is the nearer end of the range,
        tight within 5 mm of it.

    Raises
    ------
    InvalidInput
        As for `insertion`.

    Examples
    --------
    >>> tube = SeatTube(length=420.0, depth=250.0, least_insertion=100.0)
    >>> post = Post(body=270.0, head=220.0, least_insertion=90.0, travel=170.0)
    >>> post_check(tube, post, saddle_height=690.0, saddle_stack=45.0).remedy
    ShorterPost(by=20.0)
    """
    along = float(along_axis_height(saddle_height, offset=tube.offset))
    reach = post_range(tube, post, saddle_stack=saddle_stack)
    lowest, highest = float(reach.lowest), float(reach.highest)
    low = along - lowest <= highest - along
    return judge(
        "post.range",
        figure=along,
        limit=lowest if low else highest,
        unit="mm",
        reason=SaddleOnPost(height=along, lowest=lowest, highest=highest),
        source=source,
        remedy=_post_remedy(along, lowest, highest),
        sense="at least" if low else "at most",
        band=_POST_BAND,
        safety=True,
    )


def _post_remedy(along: float, lowest: float, highest: float) -> Statement:
    """What would bring a saddle height well within a post's range."""
    if lowest > highest:
        return DeeperSeatTube(by=float(np.ceil(lowest - highest)))
    over, under = along + _POST_BAND - highest, lowest + _POST_BAND - along
    if over > under:
        return LongerPost(by=float(np.ceil(over)))
    return ShorterPost(by=float(np.ceil(under)))


def largest_travel(
    tube: SeatTube, posts: Post, *, saddle_height: Num, saddle_stack: Num
) -> tuple[Num, Num]:
    """Largest dropper travel that fits, for any sizes and riders at once.

    Parameters
    ----------
    tube : SeatTube
        Fields of shape S.
    posts : Post
        A catalogue: fields of shape (k,).
    saddle_height : float or array [mm]
        Straight from the BB centre to the saddle top; broadcasts with S, say
        sizes (m, 1) and riders (n,).
    saddle_stack : float or array [mm]
        From the rails to the saddle's top; broadcasts likewise.

    Returns
    -------
    travel : float or array [mm]
        NaN where no post of the catalogue fits.
    which : float or array
        Its place in the catalogue, −1 where none fits.

    Raises
    ------
    InvalidInput
        As for `along_axis_height`.

    Examples
    --------
    >>> tube = SeatTube(length=420.0, depth=250.0)
    >>> posts = Post(body=[200.0, 235.0, 270.0], head=[175.0, 205.0, 235.0],
    ...              least_insertion=90.0, travel=[125.0, 150.0, 180.0])
    >>> largest_travel(tube, posts, saddle_height=710.0, saddle_stack=45.0)
    (150.0, 1.0)
    """
    along = along_axis_height(saddle_height, offset=tube.offset)
    rows = np.broadcast_arrays(
        *(np.asarray(v, float) for v in (along, tube.length, tube.depth, tube.least_insertion)),
        checked("saddle_stack", saddle_stack, "mm", least=0),
    )
    height, length, depth, least, stack = (row[..., None] for row in rows)
    wide = SeatTube(length=length, depth=depth, least_insertion=least)
    reach = post_range(wide, posts, saddle_stack=stack)
    fits = (reach.lowest <= height) & (height <= reach.highest)
    travel = np.where(fits, posts.travel, -1.0)
    which, most = np.argmax(travel, axis=-1), np.max(travel, axis=-1)
    none = most < 0
    return plain(np.where(none, np.nan, most)), plain(np.where(none, -1.0, which))
