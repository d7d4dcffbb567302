"""Invented sizes, cockpits and posture windows, for examples and calibration.

Plausible numbers of no real bicycle: a trail hardtail in five sizes, three stems,
and spacers from none to 40 mm, with a builder's windows for four ways of riding.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from geometry.core import cos, sin
from geometry.rider import PostureWindows, Window
from geometry.sizing import CockpitGrid

TRAIL = PostureWindows(
    style="trail",
    trunk_angle=Window(48.0, 68.0),
    elbow_flexion=Window(8.0, 42.0, weight=0.5),
    shoulder_angle=Window(38.0, 78.0),
    bar_above_saddle=Window(-80.0, 80.0, weight=0.25),
    standing_trunk_angle=Window(26.0, 50.0),
    standing_elbow_flexion=Window(30.0, 90.0, weight=0.5),
    grips_to_rear_axle=Window(780.0, 980.0, weight=0.0),
    stem_departure=Window(-20.0, 20.0, weight=3.0),
    straddle_room_least=50.0,
    straddle_room_clear=70.0,
    knee_flexion=30.0,
    saddle_tolerance=5.0,
    standing_hip_behind=150.0,
    standing_knee_flexion=35.0,
)

STYLES = {
    "trail": TRAIL,
    "long distance": replace(
        TRAIL,
        style="long distance",
        trunk_angle=Window(42.0, 62.0),
        shoulder_angle=Window(42.0, 82.0),
        bar_above_saddle=Window(-70.0, 90.0, weight=0.25),
        standing_trunk_angle=Window(24.0, 50.0, weight=0.5),
    ),
    "loaded": replace(
        TRAIL,
        style="loaded",
        trunk_angle=Window(50.0, 70.0),
        bar_above_saddle=Window(-40.0, 120.0, weight=0.5),
        standing_trunk_angle=Window(26.0, 54.0, weight=0.5),
    ),
    "in between": replace(
        TRAIL,
        style="in between",
        trunk_angle=Window(45.0, 66.0),
        standing_trunk_angle=Window(25.0, 52.0, weight=0.75),
    ),
}

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
DRAWN_FOR_STEM = 50.0


def example_grid() -> CockpitGrid:
    """Five invented sizes with thirty cockpits each: three stems, five spacers, two bars.

    Grips are `stack + spacers + half a stem clamp` up the steering axis, the stem's
    length square to it, and the bar's rise and sweep away.

    >>> example_grid().grip_x.shape
    (5, 30)
    """
    stem, spacer, rise = (a.ravel() for a in np.meshgrid(STEMS, SPACERS, RISES))
    up = spacer + 20.0
    x = stem * sin(HEAD_ANGLE) - up * cos(HEAD_ANGLE) - GRIP_BEHIND_CLAMP
    y = stem * cos(HEAD_ANGLE) + up * sin(HEAD_ANGLE) + rise
    whole = np.ones((len(SIZES), len(stem)))
    each = np.ones(len(SIZES))
    return CockpitGrid(
        sizes=SIZES,
        grip_x=REACH[:, np.newaxis] + x,
        grip_y=STACK[:, np.newaxis] + y,
        grip_half_width=GRIP_HALF_WIDTH * whole,
        stem_departure=(stem - DRAWN_FOR_STEM) * whole,
        post_x=0.0 * each,
        post_y=0.0 * each,
        post_angle=SEAT_ANGLE * each,
        saddle_lowest=SEAT_TUBE + 130.0,
        saddle_highest=SEAT_TUBE + 385.0,
        standover=325.0 + SEAT_TUBE,
        rear_axle_x=-430.0 * each,
        crank_length=170.0 * each,
    )
