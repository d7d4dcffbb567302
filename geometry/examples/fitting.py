"""Invented sizes, cockpits, chart, rules and posture windows, for examples and tests.

Plausible numbers of no real bicycle: a trail hardtail in five sizes, three stems,
and spacers from none to 40 mm.
"""

from __future__ import annotations

import numpy as np

from geometry.core import cos, sin
from geometry.rider import PostureWindows, Window
from geometry.sizing import Cockpits, FitRules, Run, SizeChart, SoldSizes, run_of

TRAIL = PostureWindows(
    style="trail",
    trunk_angle=Window(50.0, 72.0, weight=0.25),
    elbow_flexion=Window(8.0, 42.0, weight=0.5),
    shoulder_angle=Window(44.0, 62.0),
    bar_above_saddle=Window(-80.0, 100.0, weight=0.25),
    standing_trunk_angle=Window(28.0, 50.0, weight=2.0),
    standing_elbow_flexion=Window(38.0, 86.0, weight=0.25),
    grips_to_rear_axle=Window(760.0, 960.0, weight=0.0),
    stem_departure=Window(-12.0, 12.0, weight=6.0),
    straddle_room_least=50.0,
    straddle_room_clear=70.0,
    knee_flexion=30.0,
    saddle_tolerance=5.0,
    standing_hip_behind=150.0,
    standing_knee_flexion=35.0,
)

RULES = FitRules(
    posture_share=0.5,
    within=0.75,
    beyond=1.25,
    preference={
        "trunk_angle": 5.0,
        "elbow_flexion": 8.0,
        "shoulder_angle": 7.0,
        "standing_trunk_angle": 5.0,
        "standing_elbow_flexion": 8.0,
    },
    knee_preference=6.5,
    taste_share=0.3,
)

SIZES = ("XS", "S", "M", "L", "XL")
REACH = np.array([403.0, 428.0, 453.0, 478.0, 503.0])
STACK = np.array([610.0, 625.0, 640.0, 655.0, 670.0])
SEAT_TUBE = np.array([370.0, 390.0, 414.0, 440.0, 470.0])
STEMS = (35.0, 50.0, 65.0)
SPACERS = (0.0, 10.0, 20.0, 30.0, 40.0)
RISES = (25.0, 45.0)
HEAD_ANGLE = 68.0
SEAT_ANGLE = 74.5
GRIP_BEHIND_CLAMP = 45.0
GRIP_HALF_WIDTH = 355.0
USUAL = {"stem": 50.0, "spacer": 10.0, "rise": 25.0}
EFFORT = {"stem": 3.0 / 10.0, "spacer": 1.0 / 5.0, "rise": 6.0 / 20.0}

CHART = SizeChart(
    shortest=np.array([1510.0, 1590.0, 1670.0, 1750.0, 1830.0]),
    tallest=np.array([1620.0, 1700.0, 1780.0, 1860.0, 1940.0]),
)


def _grip(size: int, stem: float, spacer: float, rise: float) -> tuple[float, float]:
    """Grips of one size with one cockpit [mm].

    They are `stack + spacers + half a stem clamp` up the steering axis, the stem's
    length square to it, and the bar's rise and sweep away.
    """
    up = spacer + 20.0
    x = stem * sin(HEAD_ANGLE) - up * cos(HEAD_ANGLE) - GRIP_BEHIND_CLAMP
    y = stem * cos(HEAD_ANGLE) + up * sin(HEAD_ANGLE) + rise
    return float(REACH[size] + x), float(STACK[size] + y)


def _sizes(names: tuple[str, ...], grips: list[tuple[float, float]], at: list[int]) -> SoldSizes:
    each = np.ones(len(names))
    seat = SEAT_TUBE[at]
    return SoldSizes(
        sizes=names,
        grip_x=np.array([x for x, _ in grips]),
        grip_y=np.array([y for _, y in grips]),
        grip_half_width=GRIP_HALF_WIDTH * each,
        post_x=0.0 * each,
        post_y=0.0 * each,
        post_angle=SEAT_ANGLE * each,
        sunk=0.0 * each,
        saddle_lowest=seat + 150.0,
        saddle_highest=seat + 385.0,
        any_lowest=seat + 130.0,
        any_highest=seat + 425.0,
        standover=325.0 + seat,
        crank_length=170.0 * each,
        toe_room=110.0 * each,
        toe_least=89.0 * each,
        toe_enough=100.0 * each,
    )


def example_sizes() -> SoldSizes:
    """Five invented sizes, each with a 50 mm stem, 10 mm of spacers and 25 mm of rise.

    >>> example_sizes().grip_x.shape
    (5,)
    """
    grips = [_grip(i, **USUAL) for i in range(len(SIZES))]
    return _sizes(SIZES, grips, list(range(len(SIZES))))


def example_cockpits() -> tuple[Cockpits, ...]:
    """Thirty cockpits a size: three stems, five spacers, two bars.

    >>> len(example_cockpits()), len(example_cockpits()[0].effort)
    (5, 30)
    """
    found = []
    every = [(a, b, c) for a in STEMS for b in SPACERS for c in RISES]
    effort = [
        sum(abs(v - USUAL[n]) * EFFORT[n] for n, v in zip(USUAL, each, strict=True))
        for each in every
    ]
    for size in range(len(SIZES)):
        grips = [_grip(size, *each) for each in every]
        names = tuple(str(each) for each in every)
        rows = _sizes(names, grips, [size] * len(every))
        found.append(Cockpits(rows=rows, effort=np.array(effort)))
    return tuple(found)


def example_run() -> Run:
    """The run of the example's sizes for a trail rider, on the parts it was drawn for.

    >>> example_run().steps.round(1).tolist()
    [25.0, 25.0, 25.0, 25.0]
    """
    sold = example_sizes()
    return run_of(sold, usually=sold, chart=CHART, windows=TRAIL, rules=RULES)
