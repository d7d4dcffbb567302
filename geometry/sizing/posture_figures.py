"""Sizes and cockpits as they stand, and the posture of many bodies on all of them.

The input of sizing is plain arrays: where grips, post and top tube are on each
size with each cockpit the builder allows. Postures come out as figures that the
builder's windows can judge (`geometry.sizing.distance`).
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

import numpy as np

from geometry.core import ContradictoryInput, FloatArray, InvalidInput, refuse
from geometry.rider import (
    SHOE_SOLE,
    Linkage,
    PostAxis,
    PostureWindows,
    reach_posture,
    saddle_height,
    seated_hip,
    standing_hip,
)


@dataclass(frozen=True, eq=False)
class CockpitGrid:
    """Sizes and the cockpits allowed on each, as they stand on the ground.

    However the builds were solved, this is all that sizing needs of them. Sizes
    run from small to large. Origin at the BB centre, x forward, y up.

    Parameters
    ----------
    sizes : tuple of str, length S
        Names.
    grip_x, grip_y : array, shape (S, C)
        Centre of the grips [mm].
    grip_half_width : array, shape (S, C)
        Grip from the mid-plane [mm].
    stem_departure : array, shape (S, C)
        Stem length minus the one the frame was drawn for [mm].
    post_x, post_y, post_angle : array, shape (S,)
        A point of the post's axis [mm] and its angle from the level [°].
    saddle_lowest, saddle_highest : array, shape (S,)
        Saddle heights that the posts allow [mm].
    standover : array, shape (S,)
        Floor to top tube where the rider straddles it [mm].
    rear_axle_x : array, shape (S,)
        Level, behind the BB centre and so negative [mm].
    crank_length : array, shape (S,)
        [mm].

    Raises
    ------
    ContradictoryInput
        Shapes that do not belong together.
    InvalidInput
        Numbers that are not finite.
    """

    sizes: tuple[str, ...]
    grip_x: FloatArray
    grip_y: FloatArray
    grip_half_width: FloatArray
    stem_departure: FloatArray
    post_x: FloatArray
    post_y: FloatArray
    post_angle: FloatArray
    saddle_lowest: FloatArray
    saddle_highest: FloatArray
    standover: FloatArray
    rear_axle_x: FloatArray
    crank_length: FloatArray

    def __post_init__(self) -> None:
        by_cockpit = np.shape(self.grip_x)
        for field in fields(self)[1:]:
            value = getattr(self, field.name)
            cockpit = field.name.startswith(("grip", "stem"))
            expected = by_cockpit if cockpit else by_cockpit[:1]
            if np.shape(value) != expected or len(self.sizes) != expected[0]:
                remedy = f"give an array of shape {expected} for {len(self.sizes)} sizes"
                raise ContradictoryInput(field.name, np.shape(value), remedy)
            refuse(~np.isfinite(value), InvalidInput, field.name, value, "give finite numbers")

    def post_axis(self) -> PostAxis:
        """Posts' axes, shape (S, 1) each."""
        columns = (self.post_x, self.post_y, self.post_angle)
        x, y, angle = (column[:, np.newaxis] for column in columns)
        return PostAxis(x=x, y=y, angle=angle)


@dataclass(frozen=True, eq=False)
class Seating:
    """What hangs on size and body alone, each of shape (S, n).

    Parameters
    ----------
    saddle_height : array
        BB centre to saddle top for the wanted knee flexion [mm].
    saddle_miss : array
        That height beyond what the posts allow: positive when the post is too
        short, negative when it cannot go low enough, 0 between [mm].
    straddle_room : array
        Shod crotch height minus standover [mm].
    saddle, hip : tuple of array
        Saddle top and hip joint, x, y [mm].
    """

    saddle_height: FloatArray
    saddle_miss: FloatArray
    straddle_room: FloatArray
    saddle: tuple[FloatArray, FloatArray]
    hip: tuple[FloatArray, FloatArray]


@dataclass(frozen=True, eq=False)
class PostureFigures:
    """Figures of a posture that the windows judge, broadcastable arrays.

    Parameters
    ----------
    trunk_angle, elbow_flexion, shoulder_angle, bar_above_saddle, \
standing_trunk_angle, standing_elbow_flexion, grips_to_rear_axle, stem_departure : array
        As in `PostureWindows` [° or mm].
    reachable : array of bool
        False where straight arms end short of the grips, seated or standing.
    """

    trunk_angle: Any
    elbow_flexion: Any
    shoulder_angle: Any
    bar_above_saddle: Any
    standing_trunk_angle: Any
    standing_elbow_flexion: Any
    grips_to_rear_axle: Any
    stem_departure: Any
    reachable: Any


JUDGED = tuple(field.name for field in fields(PostureFigures) if field.name != "reachable")
"""Figures that have a window of the same name."""


def seat(grid: CockpitGrid, links: Linkage, windows: PostureWindows) -> Seating:
    """Saddle, hip and straddle room of every body on every size.

    Parameters
    ----------
    grid : CockpitGrid
        S sizes.
    links : Linkage
        n riders.
    windows : PostureWindows
        For the knee flexion.

    Returns
    -------
    Seating
        Arrays of shape (S, n).

    Raises
    ------
    NoSolution
        A leg too short for the cranks of some size.

    Examples
    --------
    >>> from geometry.rider import mean_bodies
    >>> from geometry.examples import TRAIL, example_grid
    >>> from geometry.rider import linkage
    >>> seating = seat(example_grid(), linkage(mean_bodies()), TRAIL)
    >>> seating.saddle_height[2].round(0).tolist()
    [752.0, 685.0]
    """
    axis = grid.post_axis()
    cranks = grid.crank_length[:, np.newaxis]
    height = saddle_height(links, axis=axis, crank_length=cranks, knee_flexion=windows.knee_flexion)
    saddle = axis.saddle(height)
    hip = seated_hip(links, saddle)
    lowest, highest = grid.saddle_lowest[:, np.newaxis], grid.saddle_highest[:, np.newaxis]
    return Seating(
        saddle_height=height,
        saddle_miss=height - np.clip(height, lowest, highest),
        straddle_room=links.crotch_height + SHOE_SOLE - grid.standover[:, np.newaxis],
        saddle=(np.asarray(saddle[0]), np.asarray(saddle[1])),
        hip=(np.asarray(hip[0]), np.asarray(hip[1])),
    )


def postures(
    grid: CockpitGrid,
    size: int,
    *,
    links: Linkage,
    seating: Seating,
    windows: PostureWindows,
) -> PostureFigures:
    """Figures of every body on every cockpit of one size.

    Parameters
    ----------
    grid : CockpitGrid
        Sizes and cockpits.
    size : int
        Which size.
    links : Linkage
        n riders; their precision is that of the result.
    seating : Seating
        From `seat`.
    windows : PostureWindows
        The riding style's windows.

    Returns
    -------
    PostureFigures
        Arrays that broadcast to (C, n).

    Examples
    --------
    >>> from geometry.rider import mean_bodies
    >>> from geometry.examples import TRAIL, example_grid
    >>> from geometry.rider import linkage
    >>> grid, riders = example_grid(), linkage(mean_bodies())
    >>> found = postures(
    ...     grid, 2, links=riders, seating=seat(grid, riders, TRAIL), windows=TRAIL)
    >>> found.trunk_angle.shape
    (30, 2)
    """
    dtype = links.trunk.dtype
    columns = (grid.grip_x, grid.grip_y, grid.grip_half_width, grid.stem_departure)
    x, y, width, stem = (column[size, :, np.newaxis].astype(dtype) for column in columns)
    saddle_y, hip_x, hip_y = (row[size].astype(dtype) for row in (seating.saddle[1], *seating.hip))
    stand_x, stand_y = (np.asarray(part, dtype) for part in standing_hip(links, windows))
    shared: dict[str, Any] = {"links": links, "grip_half_width": width}
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
    return PostureFigures(
        trunk_angle=seated.trunk_angle,
        elbow_flexion=seated.elbow_flexion,
        shoulder_angle=seated.shoulder_angle,
        bar_above_saddle=y - saddle_y,
        standing_trunk_angle=standing.trunk_angle,
        standing_elbow_flexion=standing.elbow_flexion,
        grips_to_rear_axle=x - dtype.type(grid.rear_axle_x[size]),
        stem_departure=stem,
        reachable=seated.reachable & standing.reachable,
    )
