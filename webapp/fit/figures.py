"""Posture of the likeliest body on each size with one of its cockpits, as it is ridden."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from geometry.rider import Linkage, PostureWindows
from geometry.sizing import SoldSizes, postures
from webapp.fit.candidate_builds import SizeStand


def postures_on(
    stands: Sequence[SizeStand],
    cockpits: Sequence[int],
    links: Linkage,
    windows: PostureWindows,
) -> tuple[Mapping[str, float], ...]:
    """Figures by the names of their windows, for each size; worked out as one array.

    Parameters
    ----------
    stands : sequence of SizeStand
    cockpits : sequence of int
        Which of its fittings each has.
    links : Linkage
        One rider, arrays of shape (1,).
    windows : PostureWindows

    Returns
    -------
    tuple of mapping of str to float
        [mm, deg].
    """
    pairs = list(zip(stands, cockpits, strict=True))
    rows = SoldSizes.together([stood.cockpits.rows.only([at]) for stood, at in pairs])
    found = postures(rows, links, windows)
    _, saddle_y = rows.saddle(found.saddle_height)
    return tuple(
        {
            **{name: float(value[i, 0]) for name, value in found.figures.items()},
            "bar_above_saddle": float(rows.grip_y[i] - saddle_y[i, 0]),
            "grips_to_rear_axle": float(rows.grip_x[i] - stood.ridden.rear_axle[0]),
            "stem_departure": _departure(stood, at),
        }
        for i, (stood, at) in enumerate(pairs)
    )


def _departure(stood: SizeStand, cockpit: int) -> float:
    """How much longer its stem is than the one the size was drawn for [mm]."""
    length = float(getattr(stood.fittings[cockpit].stem.data, "length"))  # noqa: B009  # any kind
    return length - stood.assembly.size.data.stem_length
