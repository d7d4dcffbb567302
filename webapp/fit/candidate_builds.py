"""Every size as it is sold, ridden with one fork, one pair of wheels and one axle position.

A size is solved with its own cockpit, crank and posts, sagged by its rider; its other possible
cockpits are solved as arrays. Results are cached as long as the catalogue they came from.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from geometry.bike import Cockpit, Handlebar, Hands, Standing, Stem, hands, stand, standover
from geometry.clearance import TOE_ISO
from geometry.core import FloatArray
from geometry.sizing import Cockpits, SoldSizes
from webapp.builds.choice.build_choice import BuildChoice, pairs_of
from webapp.builds.fitting.calculations.feet import feet_checks
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.solving.seat_range import SeatRange, seat_range
from webapp.builds.solving.solver_inputs import SAGGED, Assembly, assemble
from webapp.catalogue.reading.views import Catalogue, PartView, SizeView
from webapp.catalogue.schema.part_kinds import HandlebarData, PartData, PostData, StemData
from webapp.rider.saddle_line import SaddleLine, saddle_line

STEM_EFFORT, BAR_EFFORT = 3.0, 6.0
"""A mechanic's effort: 1 a spacer, 3 a stem 10 mm longer or shorter, 6 another bar."""

STEM_STEP, SPACER_STEP = 10.0, 5.0
"""Stems and spacers are sold in steps of this [mm]."""

_MOST_KEPT = 32


@dataclass(frozen=True, kw_only=True)
class Fitting:
    """One cockpit by its parts: stem, handlebar, spacers [mm]."""

    stem: PartView[StemData]
    handlebar: PartView[HandlebarData]
    spacers: float


@dataclass(frozen=True, kw_only=True)
class PostReach:
    """One post in one size: the saddle heights it reaches [mm], and whether it is sold with it."""

    post: PartView[PostData]
    reach: SeatRange
    sold: bool


@dataclass(frozen=True, kw_only=True, eq=False)
class SizeStand:
    """One size as it is sold and ridden.

    Parameters
    ----------
    assembly : Assembly
        With cockpit, crank and post as sold.
    standing : Standing
        Unloaded, as saddle and post are set.
    ridden : Standing
        Sunk in by its rider, on a rigid fork by the tyres alone.
    posts : tuple of PostReach
        Those sold with the size first.
    line : SaddleLine
        What a saddle height means on it, unloaded.
    seat_row : mapping of str to float
        The numbers that sizing needs of it besides the grips.
    fittings : tuple of Fitting
        The cockpits it may carry.
    """

    assembly: Assembly
    standing: Standing
    ridden: Standing
    posts: tuple[PostReach, ...]
    line: SaddleLine
    seat_row: Mapping[str, float]
    fittings: tuple[Fitting, ...]

    def hands(self, fitting: Fitting) -> Hands:
        """Bar and grips with one cockpit, as ridden."""
        return hands(self.ridden, _cockpit([fitting], self.assembly))

    @cached_property
    def cockpits(self) -> Cockpits:
        """The fittings for sizing, in their order."""
        count, sold = len(self.fittings), self.sold
        place = _place(self.seat_row, hands(self.ridden, _cockpit(self.fittings, self.assembly)))
        columns = {name: np.broadcast_to(np.asarray(v), (count,)) for name, v in place.items()}
        names = tuple(str(i) for i in range(count))
        effort = np.array([_effort(each, sold) for each in self.fittings])
        return Cockpits(rows=SoldSizes(sizes=names, **columns), effort=effort)

    def row_with(self, fitting: Fitting) -> SoldSizes:
        """This size with one cockpit, as a single row for sizing."""
        place = _place(self.seat_row, self.hands(fitting))
        columns = {name: np.array([float(np.ravel(v)[0])]) for name, v in place.items()}
        return SoldSizes(sizes=(self.assembly.size.name,), **columns)

    @property
    def sold(self) -> Fitting:
        """The cockpit as sold."""
        parts, spacers = self.assembly.parts, float(self.assembly.cockpit.spacers)
        return Fitting(
            stem=parts["stem"].of(StemData),
            handlebar=parts["handlebar"].of(HandlebarData),
            spacers=spacers,
        )


@dataclass(frozen=True, kw_only=True, eq=False)
class CandidateBuilds:
    """Every size for sizing, with the parts behind each number, from small to large."""

    sold: SoldSizes
    stands: tuple[SizeStand, ...]


def candidate_builds(catalogue: Catalogue, choice: BuildChoice) -> CandidateBuilds:
    """The sizes on the parts of a reference build, remembered while the catalogue lives.

    Parameters
    ----------
    catalogue : Catalogue
    choice : BuildChoice
        For fork, wheels, headset, saddle, sag and axle position; its size, cockpit, crank
        and post do not matter.

    Returns
    -------
    CandidateBuilds

    Raises
    ------
    Invalid
        A place that decides how the bike stands is empty.
    GeometryError
        Parts that cannot stand together.
    """
    key = tuple(p for p in pairs_of(choice) if p[0] not in _FREE)
    cache = catalogue.memory.nested("candidate builds", most=_MOST_KEPT)
    return cache.of(key, lambda: _candidate_builds(catalogue, choice))


def _candidate_builds(catalogue: Catalogue, choice: BuildChoice) -> CandidateBuilds:
    stands = _with_toes(
        catalogue, choice, [_stand(catalogue, choice, size) for size in catalogue.sizes]
    )
    names = tuple(size.name for size in catalogue.sizes)
    rows = [_place(each.seat_row, hands(each.ridden, each.assembly.cockpit)) for each in stands]
    columns = {name: np.array([row[name] for row in rows]) for name in rows[0]}
    return CandidateBuilds(sold=SoldSizes(sizes=names, **columns), stands=stands)


_FREE = frozenset(
    {"size", "scope", "stem", "handlebar", "spacers", "crank", "post", "saddle_height", "finish"}
)
"""Fields of a build that each size sets itself, or that do not change posture."""


def as_sold(catalogue: Catalogue, choice: BuildChoice, size: SizeView) -> BuildChoice:
    """A build in one size with what that size is sold with.

    Parameters
    ----------
    catalogue : Catalogue
    choice : BuildChoice
        The rest of the build.
    size : SizeView

    Returns
    -------
    BuildChoice
        Without rider and saddle height; a shorter slot is taken to its end.
    """
    usual = {kind: catalogue.usual(kind, size) for kind in _BROUGHT}
    parts = {kind: part.slug for kind, part in usual.items() if part is not None}
    spacers = size.data.as_sold.spacers if size.data.as_sold else choice.spacers
    return replace(
        choice,
        size=size.slug,
        parts=MappingProxyType({**choice.parts, **parts}),
        spacers=min(spacers, catalogue.revision.data.spacers.most),
        slot=min(choice.slot, size.data.slot_length),
        saddle_height=None,
        rider=None,
    )


_BROUGHT = ("stem", "handlebar", "crank", "post")


def _stand(catalogue: Catalogue, choice: BuildChoice, size: SizeView) -> SizeStand:
    """One size with the chosen fork, wheels and axle."""
    sold = as_sold(catalogue, choice, size)
    assembly = assemble(catalogue, sold)
    standing = stand(assembly.build)
    ridden = stand(assembly.build, assembly.states[SAGGED])
    line = saddle_line(standing, assembly.build, assembly.seat)
    posts = _posts(catalogue, assembly, standing)
    ahead = catalogue.revision.data.standover_at
    return SizeStand(
        assembly=assembly,
        standing=standing,
        ridden=ridden,
        posts=posts,
        line=line,
        seat_row={
            "post_x": float(line.rider.x),
            "post_y": float(line.rider.y),
            "post_angle": float(line.rider.angle),
            "sunk": float(ridden.turn - standing.turn),
            "standover": float(standover(standing, assembly.build, ahead=ahead)),
            "crank_length": assembly.crank_length,
            **_heights(line, posts),
        },
        fittings=_fittings(catalogue, sold, size),
    )


def _with_toes(
    catalogue: Catalogue, choice: BuildChoice, stands: Sequence[SizeStand]
) -> tuple[SizeStand, ...]:
    """The sizes with their toe room, by the same check as a build's."""
    setups = [
        Setup(
            catalogue=catalogue,
            choice=as_sold(catalogue, choice, each.assembly.size),
            assembly=each.assembly,
        )
        for each in stands
    ]
    found = []
    for each, checks in zip(stands, feet_checks(setups), strict=True):
        toe = next(check for check in checks if check.code.startswith("feet.toe"))
        room = np.inf if toe.figure is None else toe.figure
        least = toe.limit or 0.0
        row = {
            **each.seat_row,
            "toe_room": room,
            "toe_least": least,
            "toe_enough": TOE_ISO if least else 0.0,
        }
        found.append(replace(each, seat_row=row))
    return tuple(found)


def _heights(line: SaddleLine, posts: Sequence[PostReach]) -> Mapping[str, float]:
    """Saddle heights of the posts sold, and of every post offered, on the rider's line [mm]."""
    sold = [each.reach for each in posts if each.sold]
    every = [each.reach for each in posts]
    return {
        "saddle_lowest": line.from_post(min(each.lowest for each in sold)),
        "saddle_highest": line.from_post(max(each.highest for each in sold)),
        "any_lowest": line.from_post(min(each.lowest for each in every)),
        "any_highest": line.from_post(max(each.highest for each in every)),
    }


def _fittings(catalogue: Catalogue, sold: BuildChoice, size: SizeView) -> tuple[Fitting, ...]:
    """Every stem, bar and height of spacers one size may carry; the one as sold among them."""
    limits, own = catalogue.revision.data.spacers, catalogue.part(StemData, sold.parts["stem"])
    heights = {float(i * limits.step) for i in range(int(limits.most // limits.step) + 1)}
    stems = [
        stem for stem in catalogue.offered(StemData) if stem == own or _may_carry(stem, own, size)
    ]
    return tuple(
        Fitting(stem=stem, handlebar=bar, spacers=spacers)
        for stem in stems
        for bar in catalogue.offered(HandlebarData)
        for spacers in sorted(heights | {sold.spacers})
    )


def _may_carry(stem: PartView[StemData], own: PartView[StemData], size: SizeView) -> bool:
    """Whether a size may carry a stem: as the builder says, else one step either way."""
    usual, length = own.data.length, stem.data.length
    if size.data.as_sold is None:
        return abs(length - usual) <= STEM_STEP
    return size.data.as_sold.stem_shortest <= length <= size.data.as_sold.stem_longest


def _posts(catalogue: Catalogue, assembly: Assembly, standing: Standing) -> tuple[PostReach, ...]:
    """Posts offered with the saddle heights they reach, those sold with the size first."""
    size, posts = assembly.size.data, catalogue.offered(PostData)
    sold = size.as_sold.posts if size.as_sold else tuple(p.slug for p in posts)
    found = []
    for post in posts:
        seat = replace(assembly.seat, post_offset=post.data.offset)
        reach = seat_range(standing, assembly.build, seat, post=post.data, size=size)
        found.append(PostReach(post=post, reach=reach, sold=post.slug in sold))
    if not any(each.sold for each in found):
        usual = assembly.parts["post"].slug
        found = [replace(each, sold=each.post.slug == usual) for each in found]
    order = {slug: i for i, slug in enumerate(sold)}
    return tuple(sorted(found, key=lambda each: order.get(each.post.slug, len(order))))


def _place(seat_row: Mapping[str, float], at: Hands) -> Mapping[str, Any]:
    """The numbers that sizing needs of a size, its grips included."""
    return {
        "grip_x": at.grips[0], "grip_y": at.grips[1], "grip_half_width": at.grip_out, **seat_row
    }  # fmt: skip


def _effort(fitting: Fitting, sold: Fitting) -> float:
    """A mechanic's effort from the cockpit as sold to another."""
    spacer = abs(fitting.spacers - sold.spacers) / SPACER_STEP
    stem = abs(fitting.stem.data.length - sold.stem.data.length) / STEM_STEP
    other = float(fitting.stem.slug != sold.stem.slug and stem == 0.0)
    bar = float(fitting.handlebar.slug != sold.handlebar.slug)
    return spacer + STEM_EFFORT * (stem + other) + BAR_EFFORT * bar


def _cockpit(fittings: Sequence[Fitting], assembly: Assembly) -> Cockpit:
    """Cockpits of one size as one, its numbers arrays."""
    stems, bars = [each.stem.data for each in fittings], [each.handlebar.data for each in fittings]
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
