"""Every size with every cockpit offered, as it stands with one fork, wheels and axle position.

Only sizes are looped over; the cockpits of a size are solved as arrays. What was
solved is remembered as long as the catalogue it came from.
"""

from __future__ import annotations

import weakref
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from geometry.bike import Cockpit, Handlebar, Standing, Stem, hands, stand, standover
from geometry.core import FloatArray
from geometry.sizing import CockpitGrid
from webapp.builds.choice.build_choice import BuildChoice, pairs_of
from webapp.builds.solving.seat_range import SeatRange, seat_range
from webapp.builds.solving.solver_inputs import Assembly, assemble
from webapp.catalogue.reading.views import Catalogue, PartView
from webapp.catalogue.schema.part_kinds import PartData, PostData
from webapp.rider.saddle_line import SaddleLine, saddle_line

MOST_SPACER_STEPS = 4
"""Heights of spacers tried; finer steps move a trunk by less than a degree."""

_MOST_KEPT = 32


@dataclass(frozen=True, kw_only=True)
class Fitting:
    """One cockpit by its parts: stem, handlebar, spacers [mm]."""

    stem: PartView
    handlebar: PartView
    spacers: float


@dataclass(frozen=True, kw_only=True)
class PostReach:
    """One post in one size: the saddle heights it reaches [mm]."""

    post: PartView
    reach: SeatRange


@dataclass(frozen=True, kw_only=True, eq=False)
class SizeStand:
    """One size as it stands.

    Parameters
    ----------
    assembly : Assembly
        With the usual cockpit.
    standing : Standing
    posts : tuple of PostReach
        In the builder's order.
    line : SaddleLine
        What a saddle height means on it.
    """

    assembly: Assembly
    standing: Standing
    posts: tuple[PostReach, ...]
    line: SaddleLine


@dataclass(frozen=True, kw_only=True, eq=False)
class FitGrid:
    """Sizes and cockpits for sizing, with the parts each stands for.

    Parameters
    ----------
    grid : CockpitGrid
        Sizes by their names, small to large.
    fittings : tuple of Fitting
        The cockpits, in the grid's order.
    stands : tuple of SizeStand
        The sizes, in the grid's order.
    """

    grid: CockpitGrid
    fittings: tuple[Fitting, ...]
    stands: tuple[SizeStand, ...]


_kept: dict[tuple[int, tuple[tuple[str, str], ...]], tuple[weakref.ref[Catalogue], FitGrid]] = {}


def fit_grid(catalogue: Catalogue, choice: BuildChoice) -> FitGrid:
    """The grid of a reference build, remembered while the catalogue lives.

    Parameters
    ----------
    catalogue : Catalogue
    choice : BuildChoice
        For fork, wheels, headset, crank, saddle and axle position; its size and
        cockpit do not matter.

    Returns
    -------
    FitGrid

    Raises
    ------
    Invalid
        A place that decides how the bike stands is empty.
    GeometryError
        Parts that cannot stand together.
    """
    key = (id(catalogue), tuple(p for p in pairs_of(choice) if p[0] not in _FREE))
    kept = _kept.get(key)
    if kept is not None and kept[0]() is catalogue:  # an id may be used again
        return kept[1]
    found = _solve(catalogue, choice)
    if len(_kept) >= _MOST_KEPT:
        _kept.clear()
    _kept[key] = (weakref.ref(catalogue), found)
    return found


_FREE = frozenset({"size", "scope", "stem", "handlebar", "spacers", "saddle_height", "finish"})
"""Fields of a build that the fit is free to choose, or that do not move anything."""


def _solve(catalogue: Catalogue, choice: BuildChoice) -> FitGrid:
    fittings = _fittings(catalogue)
    stands = tuple(_stand(catalogue, replace(choice, size=s.slug)) for s in catalogue.sizes)
    columns = [_column(each, fittings, catalogue) for each in stands]
    arrays = {name: np.array([column[name] for column in columns]) for name in columns[0]}
    names = tuple(size.name for size in catalogue.sizes)
    return FitGrid(grid=CockpitGrid(sizes=names, **arrays), fittings=fittings, stands=stands)


def _fittings(catalogue: Catalogue) -> tuple[Fitting, ...]:
    """Every stem with every height of spacers with every bar."""
    limits = catalogue.revision.data.spacers
    heights = spacer_heights(limits.most, limits.step)
    return tuple(
        Fitting(stem=stem, handlebar=bar, spacers=spacers)
        for stem in catalogue.offered("stem")
        for spacers in heights
        for bar in catalogue.offered("handlebar")
    )


def spacer_heights(most: float, step: float) -> tuple[float, ...]:
    """Heights of spacers to try, from none to the most, on the builder's steps.

    Parameters
    ----------
    most, step : float [mm]
        The builder's limits.

    Returns
    -------
    tuple of float [mm]
        At most `MOST_SPACER_STEPS`, evenly spread.

    Examples
    --------
    >>> spacer_heights(30, 5), spacer_heights(10, 5), spacer_heights(0, 5)
    ((0.0, 10.0, 20.0, 30.0), (0.0, 5.0, 10.0), (0.0,))
    """
    steps = int(most // step)
    count = min(steps + 1, MOST_SPACER_STEPS)
    places = np.rint(np.linspace(0, steps, count))
    return tuple(float(place * step) for place in places)


def _stand(catalogue: Catalogue, choice: BuildChoice) -> SizeStand:
    """One size with the chosen fork, wheels and axle; shorter slots at their end."""
    size = catalogue.size(choice.size)
    assembly = assemble(catalogue, replace(choice, slot=min(choice.slot, size.data.slot_length)))
    standing = stand(assembly.build)
    return SizeStand(
        assembly=assembly,
        standing=standing,
        posts=_posts(catalogue, assembly, standing),
        line=saddle_line(standing, assembly.build, assembly.seat),
    )


def _posts(catalogue: Catalogue, assembly: Assembly, standing: Standing) -> tuple[PostReach, ...]:
    found = []
    for post in catalogue.offered("post"):
        if not isinstance(post.data, PostData):
            continue
        seat = replace(assembly.seat, post_offset=post.data.offset)
        size = assembly.size.data
        reach = seat_range(standing, assembly.build, seat, post=post.data, size=size)
        found.append(PostReach(post=post, reach=reach))
    return tuple(found)


def _column(
    stood: SizeStand, fittings: Sequence[Fitting], catalogue: Catalogue
) -> Mapping[str, Any]:
    """What sizing needs of one size: arrays over its cockpits, and single numbers."""
    assembly, standing = stood.assembly, stood.standing
    found = hands(standing, _cockpits(fittings, assembly))
    lengths = _values([each.stem.data for each in fittings], "length")
    ahead = catalogue.revision.data.standover_at
    return {
        "grip_x": found.grips[0],
        "grip_y": found.grips[1],
        "grip_half_width": found.grip_out,
        "stem_departure": lengths - assembly.size.data.stem_length,
        "post_x": stood.line.rider.x,
        "post_y": stood.line.rider.y,
        "post_angle": stood.line.rider.angle,
        "saddle_lowest": stood.line.from_post(min(each.reach.lowest for each in stood.posts)),
        "saddle_highest": stood.line.from_post(max(each.reach.highest for each in stood.posts)),
        "standover": float(standover(standing, assembly.build, ahead=ahead)),
        "rear_axle_x": float(standing.rear_axle[0]),
        "crank_length": assembly.crank_length,
    }


def _cockpits(fittings: Sequence[Fitting], assembly: Assembly) -> Cockpit:
    """All cockpits of one size as one, its numbers arrays."""
    stems = [each.stem.data for each in fittings]
    bars = [each.handlebar.data for each in fittings]
    stem = {name: _values(stems, name) for name in ("length", "angle", "clamp_height")}
    bar = {name: _values(bars, name) for name in _BAR}
    return Cockpit(
        stem=Stem(**stem),
        handlebar=Handlebar(**bar),
        upper_headset_stack=assembly.cockpit.upper_headset_stack,
        spacers=np.array([each.spacers for each in fittings]),
    )


_BAR = ("width", "rise", "backsweep", "upsweep", "sweep_start", "grip_from_end", "forward")


def _values(parts: Sequence[PartData], name: str) -> FloatArray:
    found: NDArray[np.float64] = np.array([getattr(part, name) for part in parts], dtype=np.float64)
    return found
