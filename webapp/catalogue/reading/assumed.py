"""Parts that are assumed where a catalogue offers none of a kind that a frame stands on.

A builder who sells frames alone lists no tyres and no saddles, yet every figure needs
some. Then the fork, headset and wheels that the revision is drawn with carry the
figures, and a plain cockpit, post, saddle and crank carry the rest. Their names say that they
are assumed; they have no price and are never sold. Once real parts of the kind are offered, the
assumed ones are no longer listed, and only addresses that name them still find them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from types import MappingProxyType

from webapp.catalogue.reading.views import ASSUMED_FRONT, AnyPart, PartView, SizeView, assumed_stem
from webapp.catalogue.schema.frames import RevisionData
from webapp.catalogue.schema.part_kinds import (
    CrankData,
    ForkData,
    HandlebarData,
    HeadsetData,
    PartData,
    PostData,
    RimData,
    SaddleData,
    StemData,
    TyreData,
)
from webapp.catalogue.schema.wheel_parts import ForkTyre
from webapp.common.text.language import tr

Named = tuple[str, str, PartData]
"""Name in addresses, name, data."""

_CODE = "drawn-with"  # a fitting standard that no part has: assumed parts are not checked
_NARROWEST, _WIDEST = 18.0, 130.0  # tyres [mm]
_RIM_SHARE = 0.55  # of the tyre's width [E: a general tyre-trade rule]
_SAG = 0.25  # of the travel, where no fork states its own [CP]


def with_assumed(
    parts: Mapping[str, tuple[AnyPart, ...]], revision: RevisionData, sizes: Sequence[SizeView]
) -> Mapping[str, tuple[AnyPart, ...]]:
    """The parts offered, and assumed ones of every kind that is needed and not offered.

    Parameters
    ----------
    parts : mapping of kind to tuple of AnyPart
    revision : RevisionData
        What it is drawn with is what is assumed.
    sizes : sequence of SizeView
        Each has the stem it was drawn for.

    Returns
    -------
    mapping of kind to tuple of AnyPart
    """
    found = dict(parts)
    for kind, made in _MADE.items():
        own = parts.get(kind, ())
        offered = any(not part.retired for part in own)
        found[kind] = (*own, *_views(kind, made(revision, sizes), hidden=offered))
    return MappingProxyType(found)


def _views(kind: str, named: Iterator[Named], *, hidden: bool) -> Iterator[AnyPart]:
    for slug, name, data in named:
        yield PartView(
            slug=slug,
            kind=kind,
            name=name,
            data=data,
            price=None,
            retired=hidden,
            replaced_by=None,
            standard=not hidden and kind != "stem" and slug != ASSUMED_FRONT,
            assumed=True,
        )


def _fork(revision: RevisionData, _sizes: Sequence[SizeView]) -> Iterator[Named]:
    drawn = revision.drawn_with
    rooms = {room.bead_seat_diameter: room.largest for room in revision.tyre_room}
    data = ForkData(
        axle_to_crown=drawn.axle_to_crown,
        axle_to_crown_measured=drawn.axle_to_crown_measured,
        offset=drawn.offset,
        travel=drawn.travel,
        sag_fraction=_SAG if drawn.travel else 0.0,
        steerer=_CODE,
        steerer_clamp_diameter=28.6,
        axle=_CODE,
        tyres=tuple(ForkTyre(bead_seat_diameter=each, widest=rooms[each]) for each in rooms),
    )
    name = tr("fork as drawn, {length:g} mm (assumed)", length=drawn.axle_to_crown)
    yield _CODE, name, data


def _headset(revision: RevisionData, _sizes: Sequence[SizeView]) -> Iterator[Named]:
    lower = revision.drawn_with.lower_headset_stack
    data = HeadsetData(
        lower_stack=lower, upper_stack=12, fits=revision.fork.steerer_fits, steerer=_CODE
    )
    yield _CODE, tr("headset as drawn, {lower:g} mm below (assumed)", lower=lower), data


def _wheel(revision: RevisionData, radius: float) -> tuple[int, float]:
    """Rim and width of the tyre that makes a wheel of this radius, among those with room."""
    room = min(
        revision.tyre_room,
        key=lambda each: abs(each.bead_seat_diameter / 2 + each.recommended - radius),
    )
    width = radius - room.bead_seat_diameter / 2
    return room.bead_seat_diameter, min(max(width, _NARROWEST), _WIDEST)


def _radii(revision: RevisionData) -> tuple[float, ...]:
    """Of the wheels drawn, rear first; one where both are equal."""
    drawn = revision.drawn_with
    return tuple(dict.fromkeys((drawn.rear_radius, drawn.front_radius)))


def _rim(revision: RevisionData, _sizes: Sequence[SizeView]) -> Iterator[Named]:
    for at, radius in enumerate(_radii(revision)):
        diameter, width = _wheel(revision, radius)
        data = RimData(bead_seat_diameter=diameter, inner_width=max(13.0, _RIM_SHARE * width))
        yield _end(at), tr("rim as drawn, {diameter} mm (assumed)", diameter=diameter), data


def _tyre(revision: RevisionData, _sizes: Sequence[SizeView]) -> Iterator[Named]:
    for at, radius in enumerate(_radii(revision)):
        diameter, width = _wheel(revision, radius)
        data = TyreData(bead_seat_diameter=diameter, nominal_width=width, measured_radius=radius)
        yield _end(at), tr("tyre as drawn, radius {radius:g} mm (assumed)", radius=radius), data


def _end(at: int) -> str:
    return ASSUMED_FRONT if at else _CODE


def _stem(_revision: RevisionData, sizes: Sequence[SizeView]) -> Iterator[Named]:
    for length in dict.fromkeys(size.data.stem_length for size in sizes):
        data = StemData(
            length=length, angle=0, clamp_height=40, steerer_diameter=28.6, bar_diameter=31.8
        )
        name = tr("stem the size is drawn for, {length:g} mm (assumed)", length=length)
        yield assumed_stem(length), name, data


def _handlebar(_revision: RevisionData, _sizes: Sequence[SizeView]) -> Iterator[Named]:
    data = HandlebarData(
        rise=20, width=760, backsweep=8, upsweep=4, sweep_start=90, clamp_diameter=31.8
    )
    yield _CODE, tr("plain handlebar, {width:g} mm (assumed)", width=data.width), data


def _post(revision: RevisionData, _sizes: Sequence[SizeView]) -> Iterator[Named]:
    diameter = revision.post_diameter
    data = PostData(diameter=diameter, length=400, min_insertion=max(100.0, 2 * diameter))
    yield _CODE, tr("plain post, {length:g} mm long (assumed)", length=data.length), data


def _saddle(_revision: RevisionData, _sizes: Sequence[SizeView]) -> Iterator[Named]:
    data = SaddleData(stack=45, rail_forward=20, rail_back=20)
    yield _CODE, tr("plain saddle, {stack:g} mm high (assumed)", stack=data.stack), data


def _crank(revision: RevisionData, _sizes: Sequence[SizeView]) -> Iterator[Named]:
    data = CrankData(
        length=170,
        chainline=revision.rings.chainline,
        q_factor=170,
        ring_mount=_CODE,
        bottom_bracket=(revision.bottom_bracket.standard,),
    )
    yield _CODE, tr("cranks of {length:g} mm (assumed)", length=data.length), data


_MADE: Mapping[str, Callable[[RevisionData, Sequence[SizeView]], Iterator[Named]]] = (
    MappingProxyType(
        {
            "fork": _fork,
            "headset": _headset,
            "rim": _rim,
            "tyre": _tyre,
            "stem": _stem,
            "handlebar": _handlebar,
            "post": _post,
            "saddle": _saddle,
            "crank": _crank,
        }
    )
)
"""How the assumed part is made, for each kind without which no figure can be computed."""
