"""Posture of the likeliest body on one size with one cockpit, as it is ridden."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace

import numpy as np

from geometry.rider import Linkage, PostureWindows
from geometry.sizing import postures
from webapp.fit.candidate_builds import SizeStand


def posture_on(
    stood: SizeStand, cockpit: int, links: Linkage, windows: PostureWindows
) -> Mapping[str, float]:
    """Figures by the names of their windows.

    Parameters
    ----------
    stood : SizeStand
    cockpit : int
        Which of its fittings.
    links : Linkage
        One rider, arrays of shape (1,).
    windows : PostureWindows

    Returns
    -------
    mapping of str to float
        [mm, deg].
    """
    rows = stood.cockpits.rows
    columns = {f.name: getattr(rows, f.name)[cockpit : cockpit + 1] for f in fields(rows)}
    row = replace(rows, **columns)
    found = postures(row, links, windows)
    _, saddle_y = row.saddle(found.saddle_height)
    stem = stood.fittings[cockpit].stem.data
    length = float(getattr(stem, "length"))  # noqa: B009  # part data of any kind
    drawn_for = stood.assembly.size.data.stem_length
    return {
        **{name: float(value[0, 0]) for name, value in found.figures.items()},
        "bar_above_saddle": float(row.grip_y[0] - np.ravel(saddle_y)[0]),
        "grips_to_rear_axle": float(row.grip_x[0] - stood.ridden.rear_axle[0]),
        "stem_departure": length - drawn_for,
    }
