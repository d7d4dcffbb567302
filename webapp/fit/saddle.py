"""Saddle height on one size, its post, and what published rules say beside it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from geometry.rider import (
    BodyBelief,
    Linkage,
    PublishedSaddleHeights,
    linkage,
    published_saddle_heights,
)
from geometry.sizing import SEED, Run, postures
from webapp.fit.candidate_builds import PostReach, SizeStand
from webapp.rider.saddle_line import saddle_line

SPREAD_DRAWS = 300
"""Bodies drawn for the spread of the saddle height."""


@dataclass(frozen=True, kw_only=True)
class SaddleAdvice:
    """Saddle height on one size, with its spread and what published rules say [mm].

    ``spread`` is of body and habit together, ``of_habit`` of how riders of one leg differ;
    ``inseam`` and ``inseam_spread`` are what is believed of the crotch height.
    """

    size: str
    height: float
    spread: float
    of_habit: float
    crank_length: float
    inseam: float
    inseam_spread: float
    rules: PublishedSaddleHeights


def post_and_height(
    stood: SizeStand, links: Linkage, knee_flexion: float
) -> tuple[PostReach, float]:
    """A post that brings the saddle to the rider's height, and that height on it [mm].

    Of the posts that reach, the first sold with the size; else the one most like the
    usual with the most travel; else the one that comes nearest.
    """
    setbacks = {each.post.slug: each.post.data.offset for each in stood.posts}
    by_setback = {
        back: _height_at(stood, back, links, knee_flexion) for back in set(setbacks.values())
    }
    heights = {slug: by_setback[back] for slug, back in setbacks.items()}
    droppers = stood.posts[0].post.data.travel > 0

    def preference(at: tuple[int, PostReach]) -> tuple[float, bool, int, bool, float]:
        place, each = at
        height = heights[each.post.slug]
        miss = max(each.reach.lowest - height, height - each.reach.highest, 0.0)
        other = (each.post.data.travel > 0) != droppers
        return miss, not each.sold, place if each.sold else 0, other, -each.post.data.travel

    _, chosen = min(enumerate(stood.posts), key=preference)
    return chosen, heights[chosen.post.slug]


def _height_at(stood: SizeStand, setback: float, links: Linkage, knee_flexion: float) -> float:
    """Saddle height of a body on a post of some setback in one size [mm]."""
    build = stood.assembly.build
    line = saddle_line(stood.standing, build, replace(stood.assembly.seat, post_offset=setback))
    return line.height_for(
        links, crank_length=stood.assembly.crank_length, knee_flexion=knee_flexion
    )


def saddle_advice(belief: BodyBelief, run: Run, size: str, height: float) -> SaddleAdvice:
    """Saddle height on one size, its spread from draws of the body and from habit.

    Parameters
    ----------
    belief : BodyBelief
    run : Run
    size : str
        Name.
    height : float [mm]
        As the build is set.

    Returns
    -------
    SaddleAdvice
    """
    at, knee = run.sizes.index(size), run.windows.knee_flexion
    bodies = belief.draw(SPREAD_DRAWS, np.random.default_rng(SEED))
    heights = postures(run.sold, linkage(bodies), run.windows).saddle_height[at]
    links = linkage(belief.mean_body())
    bent = replace(run.windows, knee_flexion=knee + run.rules.knee_preference)
    usual, lower = (
        float(postures(run.sold, links, w).saddle_height[at, 0]) for w in (run.windows, bent)
    )
    inseam, inseam_spread = belief.estimate("crotch_height")
    crank = float(run.sold.crank_length[at])
    return SaddleAdvice(
        size=size,
        height=height,
        spread=float(np.hypot(heights.std(), usual - lower)),
        of_habit=usual - lower,
        crank_length=crank,
        inseam=inseam,
        inseam_spread=inseam_spread,
        rules=published_saddle_heights(
            inseam,
            crank_length=crank,
            seat_angle=float(run.sold.post_angle[at]),
            knee_flexion=knee,
        ),
    )
