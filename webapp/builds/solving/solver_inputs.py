"""From a build's parts to what the solver takes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from types import MappingProxyType
from typing import TypeVar

from geometry.bike import (
    Build,
    Cockpit,
    Fork,
    Handlebar,
    Seat,
    Standing,
    State,
    Stem,
    radius,
    stand,
)
from geometry.clearance import Post, SeatTube
from webapp.builds.choice.build_choice import BuildChoice
from webapp.builds.choice.places import PLACE_OF
from webapp.builds.solving.seat_range import SeatRange, post_of, range_of, size_tube
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
from webapp.common.memory import Memory, Same
from webapp.common.text.language import tr
from webapp.rider.body import rider_saddle_height
from webapp.rider.saddle_line import SaddleLine, saddle_line

D = TypeVar("D", bound=PartData)

UNLOADED, SAGGED, BOTTOMED = "unloaded", "sagged", "bottomed"
STATE_NAMES = {UNLOADED: tr("unloaded"), SAGGED: tr("sagged"), BOTTOMED: tr("bottomed")}


@dataclass(frozen=True, kw_only=True, eq=False)
class Saddle:
    """How the saddle of a build is set, computed only when asked for, which most checks never do.

    Parameters
    ----------
    catalogue : Catalogue
    choice : BuildChoice
    build : Build
    standing : Standing
        The build on the ground.
    unset : Seat
        At any height.
    size : SizeView
    post : PostData
    crank_length : float [mm]
    """

    catalogue: Catalogue
    choice: BuildChoice
    build: Build
    standing: Standing
    unset: Seat
    size: SizeView
    post: PostData
    crank_length: float

    @cached_property
    def seat(self) -> Seat:
        """At the height chosen, or the rider's, or in the middle of the post's range."""
        height = self.choice.saddle_height or self._rider_height() or self.reach.middle
        return replace(self.unset, height=height)

    def _line(self) -> SaddleLine:
        """The line along which its rider's seat rises; the same for all riders."""
        seat = self.unset
        set_to = seat.height, seat.post_offset, seat.rail_position, seat.saddle_stack
        return self.catalogue.memory.of(
            ("saddle line", Same(self.build), *set_to),
            lambda: saddle_line(self.standing, self.build, seat),
        )

    @cached_property
    def reach(self) -> SeatRange:
        """Saddle heights the post reaches; the same object for builds that share them."""
        memory, size, post, seat = self.catalogue.memory, self.size, self.post, self.unset
        return memory.of_very(
            ("seat range", seat.post_offset, seat.saddle_stack),
            (self.build, size, post),
            lambda: range_of(
                _fitted(memory, size, post), self.standing, seat, cable_room=post.cable_room
            ),
        )

    def _rider_height(self) -> float | None:
        """The saddle height of the rider the build is for, if that is known and can be had."""
        rider = self.choice.rider
        if rider is None or not rider.known:
            return None
        return rider_saddle_height(
            rider,
            self._line(),
            crank_length=self.crank_length,
            knee_flexion=self.catalogue.style(rider.style).windows.knee_flexion,
        )


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
    build, cockpit
        The solver's inputs; the same object for all builds of a catalogue that share it.
    saddle : Saddle
    states : mapping of name to State
        ``unloaded``; ``sagged``, fork and tyres pressed in by the rider (a rigid
        fork's tyres alone); and with a suspension fork ``bottomed``.
    crank_length : float [mm]
    memory : Memory
        Of the catalogue the parts are from.
    """

    size: SizeView
    parts: Mapping[str, AnyPart]
    extras: tuple[PartView[ExtraData], ...]
    build: Build
    cockpit: Cockpit
    saddle: Saddle
    states: Mapping[str, State]
    crank_length: float
    memory: Memory = field(repr=False, compare=False)

    def with_parts(self, parts: Mapping[str, AnyPart]) -> Assembly:
        """The same build of other parts, where they leave it standing as it did.

        As quick as `BuildChoice.with_parts`, which goes with it.
        """
        made = object.__new__(Assembly)
        made.__dict__.update(self.__dict__, parts=parts)
        return made

    def with_extras(self, extras: tuple[PartView[ExtraData], ...]) -> Assembly:
        """The same build with other extras."""
        made = self.with_parts(self.parts)
        made.__dict__["extras"] = extras
        return made

    def seated(self, choice: BuildChoice, parts: Mapping[str, AnyPart]) -> Assembly:
        """The same build with another post or saddle.

        Raises
        ------
        Invalid, GeometryError
            As `assemble`.
        """
        made = self.with_parts(parts)
        post, unset = _on_its_post(self.memory, choice, parts, self.size)
        made.__dict__["saddle"] = replace(self.saddle, choice=choice, post=post, unset=unset)
        return made

    def unstood(self, parts: Mapping[str, AnyPart]) -> Assembly:
        """The same build of other parts that may leave it standing otherwise.

        For what asks for its parts alone: to ask how it stands is an error.
        """
        made = self.with_parts(parts)
        for name in ("build", "cockpit", "saddle", "states", "crank_length"):
            del made.__dict__[name]
        return made

    @property
    def seat_range(self) -> SeatRange:
        """Saddle heights the post reaches."""
        return self.saddle.reach

    @property
    def seat(self) -> Seat:
        """The saddle as it is set."""
        return self.saddle.seat

    def standing(self, state: str) -> Standing:
        """The build on the ground in one of its states."""
        if state == UNLOADED:
            return self.saddle.standing
        key = ("standing", Same(self.build), Same(self.states), state)
        return self.memory.of(key, lambda: stand(self.build, self.states[state]))

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


def assemble(
    catalogue: Catalogue, choice: BuildChoice, *, found: Mapping[str, AnyPart] | None = None
) -> Assembly:
    """Put a build together for the solver.

    Parameters
    ----------
    catalogue : Catalogue
        The revision the build is of.
    choice : BuildChoice
    found : mapping of place to AnyPart, optional
        Its parts, where the caller has looked them up already.

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
    parts = parts_in(catalogue, choice) if found is None else found
    memory = catalogue.memory
    size = catalogue.size(choice.size)
    build = _build(catalogue, choice, parts, size)
    standing = memory.of(("standing", Same(build)), lambda: stand(build))
    crank = data_in(parts, "crank", CrankData).length
    post, unset = _on_its_post(memory, choice, parts, size)
    saddle = Saddle(
        catalogue=catalogue,
        choice=choice,
        build=build,
        standing=standing,
        unset=unset,
        size=size,
        post=post,
        crank_length=crank,
    )
    return Assembly(
        size=size,
        parts=parts,
        extras=tuple(catalogue.part(ExtraData, slug) for slug in choice.extras),
        build=build,
        cockpit=_cockpit(catalogue, choice, parts),
        saddle=saddle,
        states=_states(catalogue, choice, parts, build.fork),
        crank_length=crank,
        memory=memory,
    )


def _build(
    catalogue: Catalogue, choice: BuildChoice, parts: Mapping[str, AnyPart], size: SizeView
) -> Build:
    headset = data_in(parts, "headset", HeadsetData)
    fork = data_in(parts, "fork", ForkData)
    front, rear = (data_in(parts, place, TyreData) for place in ("tyre_front", "tyre_rear"))
    key = ("build", Same(size), Same(headset), Same(fork), Same(front), Same(rear), choice.slot)
    return catalogue.memory.of(
        key,
        lambda: Build(
            frame=size.frame,
            fork=fork_of(fork),
            lower_headset_stack=headset.lower_stack,
            front_radius=tyre_radius(front),
            rear_radius=tyre_radius(rear),
            slot_position=choice.slot,
        ),
    )


def sag_percent(choice: BuildChoice, fork: ForkData) -> float:
    """Sag of the build [% of travel]: as chosen, or the fork's usual."""
    return fork.sag_fraction * 100 if choice.sag is None else choice.sag


def _states(
    catalogue: Catalogue, choice: BuildChoice, parts: Mapping[str, AnyPart], fork: Fork
) -> Mapping[str, State]:
    data = data_in(parts, "fork", ForkData)
    front, rear = (data_in(parts, place, TyreData) for place in ("tyre_front", "tyre_rear"))
    sag = sag_percent(choice, data)

    def make() -> Mapping[str, State]:
        tyres = {"front_deflection": front.pressed_in, "rear_deflection": rear.pressed_in}
        used = State.sagged(fork, fraction=sag / 100).fork_compression
        states = {UNLOADED: State.unloaded(), SAGGED: State(fork_compression=used, **tyres)}
        if fork.travel > 0:
            states[BOTTOMED] = State(fork_compression=fork.travel, **tyres)
        return MappingProxyType(states)

    return catalogue.memory.of(("states", Same(data), Same(front), Same(rear), sag), make)


def _cockpit(catalogue: Catalogue, choice: BuildChoice, parts: Mapping[str, AnyPart]) -> Cockpit:
    headset = data_in(parts, "headset", HeadsetData)
    stem = data_in(parts, "stem", StemData)
    bar = data_in(parts, "handlebar", HandlebarData)
    key = ("cockpit", Same(headset), Same(stem), Same(bar), choice.spacers)
    return catalogue.memory.of(
        key,
        lambda: Cockpit(
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
        ),
    )


# Only stands in until the post's range is known; no figure is computed from it.
_ANY_HEIGHT = 700.0


def _on_its_post(
    memory: Memory, choice: BuildChoice, parts: Mapping[str, AnyPart], size: SizeView
) -> tuple[PostData, Seat]:
    """A build's post, and the saddle on it at any height."""
    post = data_in(parts, "post", PostData)
    _fitted(memory, size, post)
    return post, _seat(memory, choice, post, data_in(parts, "saddle", SaddleData))


def _seat(memory: Memory, choice: BuildChoice, post: PostData, saddle: SaddleData) -> Seat:
    """The saddle at any height."""
    set_to = {
        "height": choice.saddle_height or _ANY_HEIGHT,
        "post_offset": post.offset,
        "rail_position": choice.rail,
        "saddle_stack": saddle.stack,
    }
    return memory.of(("seat", *set_to.values()), lambda: Seat(**set_to))


def _fitted(memory: Memory, size: SizeView, post: PostData) -> tuple[SeatTube, Post]:
    """Seat tube and post; refuses a post that fits no frame at all."""
    return memory.of_very(
        "tube and post", (size, post), lambda: (size_tube(size.frame, size.data), post_of(post))
    )
