"""The answer to "which size": chances, checks, figures and reasons, in one value."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from geometry.rider import (
    BodyBelief,
    BodyCaution,
    Linkage,
    Measurement,
    PostureWindows,
    comfortable_level,
    linkage,
)
from geometry.sizing.distance import NONE, Judgement, judge, posture_distance
from geometry.sizing.next_measurement import NextMeasurement, next_measurements
from geometry.sizing.posture_figures import JUDGED, CockpitGrid, Seating, postures, seat
from geometry.sizing.sentences import Reason, SizeFigures, differences, reasons, summary

DRAWS = 2000
"""Bodies drawn for one answer; the chance of a size is then good to about 1 in 100."""

SEED = 20120404
"""The same numbers always get the same answer."""

RIVAL = 0.5
"""A second size at least this share as likely as the first makes the rider between two [1]."""

Verdict = Literal["one", "between", "none"]


@dataclass(frozen=True)
class SizeAnswer:
    """One size for one rider.

    Parameters
    ----------
    size : str
        Name.
    best : float
        Probability that it is the best size [1].
    acceptable : float
        Probability that it is acceptable [1].
    room_chance, post_chance : float
        Probability that straddle room, and the post, suit the rider [1].
    figures : SizeFigures
        Of the expected body on the cockpit that suits such bodies best.
    reasons : tuple of Reason
        Why, in words and figures.
    """

    size: str
    best: float
    acceptable: float
    room_chance: float
    post_chance: float
    figures: SizeFigures
    reasons: tuple[Reason, ...]


@dataclass(frozen=True)
class Fit:
    """Which size, how sure, and why.

    Parameters
    ----------
    style : str
        Riding style of the windows.
    verdict : {'one', 'between', 'none'}
        One size, between two, or none of these sizes.
    leading : tuple of str
        The size or the two sizes; empty for none.
    none : float
        Probability that no size is acceptable [1].
    sizes : tuple of SizeAnswer
        From small to large.
    summary : str
        The answer in a sentence or two.
    differences : tuple of Reason
        Between two sizes: what the larger would feel like beside the smaller.
    measure_next : tuple of NextMeasurement
        What would settle it, the most useful first.
    cautions : tuple of BodyCaution
        Where the estimate of the body leaves the data.
    """

    style: str
    verdict: Verdict
    leading: tuple[str, ...]
    none: float
    sizes: tuple[SizeAnswer, ...]
    summary: str
    differences: tuple[Reason, ...]
    measure_next: tuple[NextMeasurement, ...]
    cautions: tuple[BodyCaution, ...]


def size_up(
    belief: BodyBelief,
    grid: CockpitGrid,
    windows: PostureWindows,
    *,
    given: Sequence[Measurement] = (),
    draws: int = DRAWS,
    seed: int = SEED,
) -> Fit:
    """Which size suits a rider, how sure that is, and why.

    Parameters
    ----------
    belief : BodyBelief
        What is believed of the body, from `condition`.
    grid : CockpitGrid
        Sizes and cockpits.
    windows : PostureWindows
        The riding style's windows.
    given : sequence of Measurement
        What the belief came from, so as not to ask for it again.
    draws : int
        Bodies drawn.
    seed : int
        Of the draws; the same seed gives the same answer.

    Returns
    -------
    Fit
        Verdict, chances, figures, reasons.

    Raises
    ------
    NoSolution
        A leg too short for the cranks of some size.

    Examples
    --------
    >>> from geometry.rider import condition
    >>> from geometry.examples import TRAIL, example_grid
    >>> told = [Measurement("stature", 1780.0, "told"), Measurement("crotch_height", 850.0)]
    >>> fit = size_up(condition(told), example_grid(), TRAIL, given=told)
    >>> fit.verdict, fit.leading
    ('between', ('M', 'L'))
    """
    rng = np.random.default_rng(seed)
    bodies = belief.draw(draws, rng)
    judged = judge(bodies, grid, windows)
    seating = seat(grid, linkage(bodies), windows)
    shares = judged.shares()
    verdict, order = _verdict(shares)
    sizes = _answers(belief, grid, windows, judged=judged, seating=seating)
    leading = tuple(sizes[i] for i in order)
    asks = next_measurements(bodies, judged.best, given=given, rng=rng)
    none = float(shares[NONE])
    return Fit(
        style=windows.style,
        verdict=verdict,
        leading=tuple(answer.size for answer in leading),
        none=none,
        sizes=sizes,
        summary=summary(
            [(answer.size, answer.best) for answer in leading],
            none=none,
            figures=[answer.figures for answer in sizes],
            windows=windows,
        ),
        differences=differences(*(a.figures for a in leading)) if verdict == "between" else (),
        measure_next=asks,
        cautions=belief.cautions,
    )


def _verdict(shares: np.ndarray) -> tuple[Verdict, list[int]]:
    """One, between or none, and the leading sizes from small to large."""
    sizes = shares[:NONE]
    order = [int(i) for i in np.argsort(-sizes)[:2]]
    if shares[NONE] >= sizes.sum():
        return "none", []
    if sizes[order[-1]] < RIVAL * sizes[order[0]] or len(order) == 1:
        return "one", order[:1]
    return "between", sorted(order)


def _answers(
    belief: BodyBelief,
    grid: CockpitGrid,
    windows: PostureWindows,
    *,
    judged: Judgement,
    seating: Seating,
) -> tuple[SizeAnswer, ...]:
    """One answer a size: chances from the draws, figures of the expected body."""
    shares = judged.shares()
    room = (seating.straddle_room >= windows.straddle_room_least).mean(axis=1)
    post = (np.abs(seating.saddle_miss) <= windows.saddle_tolerance).mean(axis=1)
    links = linkage(belief.mean_body())
    answers = []
    for i, size in enumerate(grid.sizes):
        cockpit = int(judged.cockpit_distance[i].argmin())
        figures = size_figures(grid, i, cockpit, links=links, windows=windows)
        answers.append(
            SizeAnswer(
                size=size,
                best=float(shares[i]),
                acceptable=float(judged.acceptable[i].mean()),
                room_chance=float(room[i]),
                post_chance=float(post[i]),
                figures=figures,
                reasons=reasons(figures, windows),
            )
        )
    return tuple(answers)


def size_figures(
    grid: CockpitGrid, size: int, cockpit: int, *, links: Linkage, windows: PostureWindows
) -> SizeFigures:
    """Every figure of one body on one size with one cockpit.

    Parameters
    ----------
    grid : CockpitGrid
        Sizes and cockpits.
    size, cockpit : int
        Which, from 0.
    links : Linkage
        One rider, arrays of shape (1,).
    windows : PostureWindows
        The riding style's windows.

    Returns
    -------
    SizeFigures
        Plain floats [mm, °].

    Examples
    --------
    >>> from geometry.rider import condition
    >>> from geometry.examples import TRAIL, example_grid
    >>> rider = linkage(condition([]).mean_body())
    >>> figures = size_figures(example_grid(), 2, 12, links=rider, windows=TRAIL)
    >>> figures.size, round(figures.straddle_room)
    ('M', 95)
    """
    seating = seat(grid, links, windows)
    found = postures(grid, size, links=links, seating=seating, windows=windows)
    distance = np.broadcast_to(posture_distance(found, windows), (len(grid.grip_x[size]), 1))
    named = {name: np.broadcast_to(getattr(found, name), distance.shape) for name in JUDGED}
    hip_x, hip_y = seating.hip[0][size, 0], seating.hip[1][size, 0]
    suits = comfortable_level(
        grid.grip_y[size, cockpit] - hip_y,
        links=links,
        grip_half_width=grid.grip_half_width[size, cockpit],
        trunk=windows.trunk_angle,
        elbow=windows.elbow_flexion,
    )
    return SizeFigures(
        size=grid.sizes[size],
        cockpit=cockpit,
        posture={name: float(value[cockpit, 0]) for name, value in named.items()},
        distance=float(distance[cockpit, 0]),
        reachable=bool(np.broadcast_to(found.reachable, distance.shape)[cockpit, 0]),
        reach_surplus=float(grid.grip_x[size, cockpit] - hip_x - suits[0]),
        saddle_height=float(seating.saddle_height[size, 0]),
        saddle_miss=float(seating.saddle_miss[size, 0]),
        straddle_room=float(seating.straddle_room[size, 0]),
    )
