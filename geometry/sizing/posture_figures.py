"""The postures of many bodies on the sizes as sold, in arrays."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from geometry.core import FloatArray
from geometry.rider import (
    SHOE_SOLE,
    Linkage,
    PostureWindows,
    reach_posture,
    saddle_height,
    seated_hip,
    standing_hip,
)
from geometry.sizing.sold import SoldSizes


@dataclass(frozen=True, eq=False)
class Postures:
    """Postures of n bodies on S sizes; every array has shape (S, n).

    Parameters
    ----------
    saddle_height : array
        BB centre to saddle top for the wanted knee flexion [mm].
    straddle_room : array
        Shod crotch height less the standover [mm].
    figures : dict of str to array
        By the names of `geometry.sizing.rules.FIGURES` [°].
    """

    saddle_height: FloatArray
    straddle_room: FloatArray
    figures: dict[str, FloatArray]


def postures(
    sold: SoldSizes, links: Linkage, windows: PostureWindows, *, further: float = 0.0
) -> Postures:
    """Postures of every body on every size.

    Parameters
    ----------
    sold : SoldSizes
        S sizes.
    links : Linkage
        n riders.
    windows : PostureWindows
        The riding style's windows.
    further : float
        Grips ahead of where they are sold [mm].

    Returns
    -------
    Postures

    Raises
    ------
    NoSolution
        A leg too short for the cranks of some size.

    Examples
    --------
    >>> from geometry.examples import TRAIL, example_sizes
    >>> from geometry.rider import mean_bodies
    >>> from geometry.rider import linkage
    >>> found = postures(example_sizes(), linkage(mean_bodies()), TRAIL)
    >>> found.saddle_height[2].round(0).tolist(), found.figures["trunk_angle"].shape
    ([752.0, 685.0], (5, 2))
    """
    axis, cranks = sold.post_axis(), sold.crank_length[:, np.newaxis]
    height = saddle_height(links, axis=axis, crank_length=cranks, knee_flexion=windows.knee_flexion)
    hip_x, hip_y = seated_hip(links, sold.saddle(height))
    stand_x, stand_y = standing_hip(links, windows)
    x, y = sold.grip_x[:, np.newaxis] + further, sold.grip_y[:, np.newaxis]
    shared: dict[str, Any] = {
        "links": links,
        "grip_half_width": sold.grip_half_width[:, np.newaxis],
    }
    seated = reach_posture(
        x - hip_x, y - hip_y, trunk=windows.trunk_angle, elbow=windows.elbow_flexion, **shared
    )
    standing = reach_posture(
        x - stand_x,
        y - stand_y,
        trunk=windows.standing_trunk_angle,
        elbow=windows.standing_elbow_flexion,
        **shared,
    )
    return Postures(
        saddle_height=height,
        straddle_room=links.crotch_height + SHOE_SOLE - sold.standover[:, np.newaxis],
        figures={
            "trunk_angle": seated.trunk_angle,
            "elbow_flexion": seated.elbow_flexion,
            "shoulder_angle": seated.shoulder_angle,
            "standing_trunk_angle": standing.trunk_angle,
            "standing_elbow_flexion": standing.elbow_flexion,
        },
    )
