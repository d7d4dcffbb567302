"""The seat post in its frame: heights it reaches, the longest dropper, bottles beside it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import permutations
from typing import Any

import numpy as np

from geometry.checks import Check
from geometry.clearance import (
    Bottle,
    BottleMount,
    Post,
    SeatTube,
    bottle_check,
    dropper_and_bottle_check,
    largest_travel,
    post_check,
)
from geometry.core import FloatArray, GeometryError
from webapp.builds.fitting.calculations.remembered import remembered
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.sentences import WordedCheck, worded
from webapp.builds.solving.seat_range import post_of, posts_of, size_tube
from webapp.catalogue.reading.views import PartView
from webapp.catalogue.schema.part_kinds import ExtraData, PostData
from webapp.common.text.language import tr

_ROUNDING = 1e-6  # heights straight from the BB, not along the post [mm]
BUILDER = tr("builder's depth of the seat tube, post maker's minimum insertion; 16 CFR 1512.15(b)")


def post_checks(setup: Setup, *, failing: bool = False) -> Iterator[WordedCheck]:
    """Post and bottles of one build.

    Parameters
    ----------
    setup : Setup
    failing : bool
        Whether only what fails is wanted.

    Yields
    ------
    WordedCheck
        ``post.range``; with a dropper and bosses on the seat tube, ``post.bottle``;
        for each bottle among the extras ``bottle.<slug>``.
    """
    yield from _reach_checks(setup, failing=failing)
    if not failing:  # at worst tight
        yield from _beside_a_bottle(setup)
    yield from bottle_checks(setup, failing=failing)


def posts_surely_reach(_setup: Setup, others: Sequence[Setup]) -> list[bool]:
    """Which builds surely fail nothing of `post_checks` that is a part's: beside a bottle a
    post is at worst tight, and a bottle is an extra.

    Parameters
    ----------
    others : sequence of Setup

    Returns
    -------
    list of bool
        False where only the checks can tell.
    """
    return [_surely_reaches(each) for each in others]


def _surely_reaches(setup: Setup) -> bool:
    reach, height = setup.assembly.seat_range, float(setup.assembly.seat.height)
    return reach.lowest + _ROUNDING < height < reach.highest - _ROUNDING


@remembered
def _reach_checks(setup: Setup, *, failing: bool = False) -> Iterator[WordedCheck]:
    """The post alone; a rider's saddle is at a height of its own."""
    data, reach = setup.data("post", PostData), setup.assembly.seat_range
    if data is not None:
        height = float(setup.assembly.seat.height)
        check = post_check(
            reach.tube, reach.post, saddle_height=height, saddle_stack=reach.stack, source=BUILDER
        )
        yield from setup.told(check, "post", "frame", failing=failing)


@remembered
def _beside_a_bottle(setup: Setup, *, failing: bool = False) -> Iterator[WordedCheck]:
    """Whether a dropper leaves the seat tube's bottle its bolts.

    A bottle there is optional, and the frame has other mounts: a post that excludes it is rated
    tight, not no.
    """
    del failing  # it never does
    data = setup.data("post", PostData)
    lost = [m.post_depth_lost for m in setup.assembly.size.data.bottle_mounts
            if m.place == "seat tube"]  # fmt: skip
    if data is None or not lost or data.travel == 0:
        return
    reach = setup.assembly.seat_range
    check = worded(
        dropper_and_bottle_check(
            reach.tube,
            reach.post,
            saddle_height=float(setup.assembly.seat.height),
            saddle_stack=reach.stack,
            boss=float(reach.tube.depth) - lost[0],
            posts=droppers_as_one(setup),
        )
    )
    if data.cable_room and check.figure is not None and check.limit is not None:
        # The workshop is told the post's own depth; here the cable below it counts too.
        words = tr(
            "The post goes {depth:.0f} mm in and its cable needs {room:g} mm below it; "
            "the bottle's bolt leaves {left:.0f} mm",
            depth=check.figure - data.cable_room,
            room=data.cable_room,
            left=check.limit,
        )
        check = replace(check, reason=words)
    yield replace(check, outcome="tight") if check.outcome == "no" else check


@remembered
def bottle_checks(setup: Setup, *, failing: bool = False) -> Iterator[WordedCheck]:
    """Each bottle chosen, on a mount of its own; as many as possible on mounts where they fit."""
    chosen = [
        (part.slug, _bottle(part.name, part.data))
        for part in setup.extras("bottle")
        if part.data.length and part.data.diameter
    ]
    if not chosen:
        return
    mounts = bottle_mounts(setup)
    others = [_bottle(p.name, p.data) for p in bottles_sold(setup)]
    bottles = [bottle for _, bottle in chosen]
    for (slug, bottle), mount in zip(chosen, _on_mounts(bottles, mounts), strict=True):
        if mounts and mount is None:
            yield replace(_no_mount_left(bottle, mounts), code=f"bottle.{slug}")
        else:
            answer = bottle_check(mount, bottle, others=others)
            for check in setup.told(answer, failing=failing):
                yield replace(check, code=f"bottle.{slug}")


def _on_mounts(
    bottles: Sequence[Bottle], mounts: Sequence[BottleMount]
) -> tuple[BottleMount | None, ...]:
    """The mount of each bottle, one bottle a mount; None for those that are left over.

    Of all ways to spread them the one in which most bottles fit, and among those the
    one with most room at its tightest.
    """
    margins = [[bottle_check(mount, each).margin or 0.0 for mount in mounts] for each in bottles]

    def worth(spread: tuple[int, ...]) -> tuple[int, int, float]:
        found = [margins[each][at] for at, each in enumerate(spread) if each >= 0]
        return sum(margin >= 0 for margin in found), len(found), min(found, default=0.0)

    # For each mount the number of its bottle; -1 leaves it empty.
    numbers = [*range(len(bottles)), *[-1] * len(mounts)]
    best = max(permutations(numbers, len(mounts)), key=worth)
    taken = {each: mounts[at] for at, each in enumerate(best) if each >= 0}
    return tuple(taken.get(at) for at in range(len(bottles)))


def _no_mount_left(bottle: Bottle, mounts: Sequence[BottleMount]) -> WordedCheck:
    return Check(
        code="bottle",
        outcome="no",
        reason=tr(
            "{name}: each of the {count} mounts of this size holds one bottle, and they are taken",
            name=bottle.name,
            count=len(mounts),
        ),
        source=tr("builder"),
        remedy=tr("one bottle less"),
    )


def bottle_mounts(setup: Setup) -> list[BottleMount]:
    """The size's mounts for bottles."""
    return [
        BottleMount(name=m.name, length=m.bottle_length, diameter=m.bottle_diameter)
        for m in setup.assembly.size.data.bottle_mounts
    ]


def bottles_sold(setup: Setup) -> list[PartView[ExtraData]]:
    """Bottles to be had."""
    return [
        part
        for part in setup.catalogue.offered(ExtraData)
        if part.data.use == "bottle"
        and part.data.length is not None
        and part.data.diameter is not None
    ]


def _bottle(name: str, data: ExtraData) -> Bottle:
    return Bottle(name=name, length=data.length or 0.0, diameter=data.diameter or 0.0)


@dataclass(frozen=True, kw_only=True, eq=False)
class BottleFits:
    """Every bottle to be had against every mount of the size.

    Parameters
    ----------
    mounts : tuple of BottleMount
    bottles : tuple of str
        Their names.
    answers : tuple of tuple of str
        ``"fits"`` or ``"too large"``, a line a mount.
    """

    mounts: tuple[BottleMount, ...]
    bottles: tuple[str, ...]
    answers: tuple[tuple[str, ...], ...]


def bottle_fits(setup: Setup) -> BottleFits:
    """Which bottles go on which mount of a build's size."""
    mounts = bottle_mounts(setup)
    bottles = [_bottle(part.name, part.data) for part in bottles_sold(setup)]
    return BottleFits(
        mounts=tuple(mounts),
        bottles=tuple(bottle.name for bottle in bottles),
        answers=tuple(
            tuple(
                tr("too large") if bottle_check(mount, bottle).outcome == "no" else tr("fits")
                for bottle in bottles
            )
            for mount in mounts
        ),
    )


def droppers_of(setup: Setup) -> list[PostData]:
    """Dropper posts to be had for the frame."""
    diameter = setup.catalogue.revision.data.post_diameter
    return [
        post.data
        for post in setup.catalogue.offered(PostData)
        if post.data.travel > 0 and post.data.diameter == diameter and _is_possible(post.data)
    ]


def _is_possible(post: PostData) -> bool:
    """Whether a post's lengths agree; one whose do not is refused where it is chosen."""
    try:
        post_of(post)
    except GeometryError:
        return False
    return True


def droppers_as_one(setup: Setup) -> Post | None:
    """The same as one post, its numbers arrays; None without any."""

    def make() -> Post | None:
        droppers = droppers_of(setup)
        return posts_of(droppers) if droppers else None

    return setup.catalogue.memory.of("droppers", make)


def longest_droppers(setup: Setup, heights: Sequence[float]) -> FloatArray:
    """Largest dropper travel for every size and several riders.

    Parameters
    ----------
    setup : Setup
        For the saddle, and the posts to be had.
    heights : sequence of float, shape (n,) [mm]
        Saddle heights, straight from the BB centre.

    Returns
    -------
    array of float, shape (sizes, n) [mm]
        NaN where no dropper of the frame's post diameter fits.
    """
    droppers, sizes = droppers_as_one(setup), setup.catalogue.sizes
    if droppers is None:
        return np.full((len(sizes), len(heights)), np.nan)
    tubes = [size_tube(size.frame, size.data) for size in sizes]
    columns: Any = {
        name: np.array([[float(getattr(tube, name))] for tube in tubes])
        for name in ("length", "depth", "offset")
    }
    travel, _ = largest_travel(
        SeatTube(**columns),
        droppers,
        saddle_height=np.asarray(heights, dtype=float),
        saddle_stack=setup.assembly.seat_range.stack,
    )
    return np.asarray(travel, dtype=float)
