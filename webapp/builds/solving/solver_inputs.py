"""From a build's parts to what the solver takes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import TypeVar

from geometry.bike import Build, Cockpit, Fork, Handlebar, Seat, State, Stem, radius, stand
from webapp.builds.choice.build_choice import BuildChoice
from webapp.builds.choice.places import PLACE_OF
from webapp.builds.solving.seat_range import SeatRange, seat_range
from webapp.catalogue.reading.frame_inputs import fork_of
from webapp.catalogue.reading.views import AnyPart, Catalogue, PartView, SizeView
from webapp.catalogue.schema.part_kinds import (
    CrankData,
    ExtraData,
    ForkData,
    HandlebarData,
    HeadsetData,
    PartData,
    PostData,
    SaddleData,
    StemData,
    TyreData,
)
from webapp.common.errors import Invalid
from webapp.common.text.language import tr
from webapp.rider.body import rider_saddle_height
from webapp.rider.rider_input import Rider

D = TypeVar("D", bound=PartData)

UNLOADED, SAGGED, BOTTOMED = "unloaded", "sagged", "bottomed"
STATE_NAMES = {UNLOADED: tr("unloaded"), SAGGED: tr("sagged"), BOTTOMED: tr("bottomed")}


@dataclass(frozen=True, kw_only=True)
class Assembly:
    """One build as the solver takes it.

    Parameters
    ----------
    size : SizeView
        The frame size.
    parts : mapping of place to AnyPart
        What sits in every filled place.
    extras : tuple of PartView of ExtraData
    build, cockpit, seat
        The solver's inputs.
    states : mapping of name to State
        ``unloaded``; ``sagged``, fork and tyres pressed in by the rider (a rigid
        fork's tyres alone); and with a suspension fork ``bottomed``.
    seat_range : SeatRange
        Saddle heights the post reaches.
    crank_length : float [mm]
    """

    size: SizeView
    parts: Mapping[str, AnyPart]
    extras: tuple[PartView[ExtraData], ...]
    build: Build
    cockpit: Cockpit
    seat: Seat
    states: Mapping[str, State]
    seat_range: SeatRange
    crank_length: float

    def data(self, place: str, kind: type[D]) -> D | None:
        """Data of the part in a place; None where it is empty."""
        part = self.parts.get(place)
        return None if part is None else part.of(kind).data


def data_in(parts: Mapping[str, AnyPart], place: str, kind: type[D]) -> D:
    """Data of the part in a place that must be filled.

    Raises
    ------
    Invalid
        When the place is empty.
    """
    part = parts.get(place)
    if part is None:
        raise Invalid(place, "", tr("choose a {part}", part=PLACE_OF[place].label.lower()))
    return part.of(kind).data


def tyre_radius(tyre: TyreData) -> float:
    """Free wheel radius over a tyre [mm]; a measured one wins over the nominal size."""
    if tyre.measured_radius is not None:
        return tyre.measured_radius
    return radius(nominal_width=tyre.nominal_width, bead_seat_diameter=tyre.bead_seat_diameter)


def parts_in(catalogue: Catalogue, choice: BuildChoice) -> Mapping[str, AnyPart]:
    """The part in every filled place."""
    return MappingProxyType(
        {
            place: catalogue.part(PLACE_OF[place].kind, slug)
            for place, slug in choice.parts.items()
            if slug
        }
    )


def assemble(catalogue: Catalogue, choice: BuildChoice) -> Assembly:
    """Put a build together for the solver.

    Parameters
    ----------
    catalogue : Catalogue
        The revision the build is of.
    choice : BuildChoice

    Returns
    -------
    Assembly

    Raises
    ------
    Invalid
        A place that decides how the bike stands is empty.
    GeometryError
        Parts that cannot stand together at all, such as wheels that overlap.
    """
    parts = parts_in(catalogue, choice)
    size = catalogue.size(choice.size)
    headset = data_in(parts, "headset", HeadsetData)
    fork_data = data_in(parts, "fork", ForkData)
    front, rear = (data_in(parts, place, TyreData) for place in ("tyre_front", "tyre_rear"))
    build = Build(
        frame=size.frame,
        fork=fork_of(fork_data),
        lower_headset_stack=headset.lower_stack,
        front_radius=tyre_radius(front),
        rear_radius=tyre_radius(rear),
        slot_position=choice.slot,
    )
    post = data_in(parts, "post", PostData)
    crank = data_in(parts, "crank", CrankData).length
    seat = _seat(parts, choice, post)
    reach = seat_range(stand(build), build, seat, post=post, size=size.data)
    wanted = choice.saddle_height or _rider_height(catalogue, choice.rider, build, seat, crank)
    return Assembly(
        size=size,
        parts=parts,
        extras=tuple(catalogue.part(ExtraData, slug) for slug in choice.extras),
        build=build,
        cockpit=_cockpit(parts, choice, headset),
        seat=replace(seat, height=wanted or reach.middle),
        states=_states(build.fork, sag_percent(choice, fork_data), front=front, rear=rear),
        seat_range=reach,
        crank_length=crank,
    )


def _rider_height(
    catalogue: Catalogue, rider: Rider | None, build: Build, seat: Seat, crank: float
) -> float | None:
    """The saddle height of the rider the build is for, if that is known and can be had."""
    if rider is None or not rider.known:
        return None
    knee = catalogue.style(rider.style).windows.knee_flexion
    return rider_saddle_height(rider, build, seat, crank_length=crank, knee_flexion=knee)


def sag_percent(choice: BuildChoice, fork: ForkData) -> float:
    """Sag of the build [% of travel]: as chosen, or the fork's usual."""
    return fork.sag_fraction * 100 if choice.sag is None else choice.sag


def _states(fork: Fork, sag: float, *, front: TyreData, rear: TyreData) -> Mapping[str, State]:
    tyres = {"front_deflection": front.pressed_in, "rear_deflection": rear.pressed_in}
    used = State.sagged(fork, fraction=sag / 100).fork_compression
    states = {UNLOADED: State.unloaded(), SAGGED: State(fork_compression=used, **tyres)}
    if fork.travel > 0:
        states[BOTTOMED] = State(fork_compression=fork.travel, **tyres)
    return MappingProxyType(states)


def _cockpit(parts: Mapping[str, AnyPart], choice: BuildChoice, headset: HeadsetData) -> Cockpit:
    stem = data_in(parts, "stem", StemData)
    bar = data_in(parts, "handlebar", HandlebarData)
    return Cockpit(
        stem=Stem(length=stem.length, angle=stem.angle, clamp_height=stem.clamp_height),
        handlebar=Handlebar(
            width=bar.width,
            rise=bar.rise,
            backsweep=bar.backsweep,
            upsweep=bar.upsweep,
            sweep_start=bar.sweep_start,
            grip_from_end=bar.grip_from_end,
            forward=bar.forward,
        ),
        upper_headset_stack=headset.upper_stack,
        spacers=choice.spacers,
    )


# Only stands in until the post's range is known; no figure is computed from it.
_ANY_HEIGHT = 700.0


def _seat(parts: Mapping[str, AnyPart], choice: BuildChoice, post: PostData) -> Seat:
    return Seat(
        height=choice.saddle_height or _ANY_HEIGHT,
        post_offset=post.offset,
        rail_position=choice.rail,
        saddle_stack=data_in(parts, "saddle", SaddleData).stack,
    )
