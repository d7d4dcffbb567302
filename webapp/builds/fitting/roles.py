"""The parts of a build as the rules of fit see them: a name and its properties."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import singledispatch
from typing import Any, cast

from geometry.bike import measured_width
from webapp.builds.choice.places import PLACE_OF
from webapp.builds.fitting.rule import FitPart
from webapp.builds.solving.solver_inputs import Assembly, tyre_radius
from webapp.catalogue.reading.frame_inputs import fork_of
from webapp.catalogue.reading.views import Catalogue, PartView
from webapp.catalogue.schema.part_kinds import (
    BrakeData,
    CrankData,
    DerailleurData,
    ExtraData,
    ForkData,
    FrontHubData,
    HubData,
    PartData,
    RimData,
    RingData,
    SaddleData,
    SprocketData,
    TransmissionData,
    TyreData,
)
from webapp.common.text.language import tr

Properties = dict[str, Any]
FRAME, POSITIONS = "frame", "positions"

# A part that has nothing of a kind says so: that is a mismatch, not missing data.
NOTHING = ""


MOST_BUILDS = 16
"""Of how many builds the roles are kept together: of those a request asks about."""


def roles_of(catalogue: Catalogue, assembly: Assembly) -> Mapping[str, FitPart]:
    """Every place of a build, the frame and the positions, for the rules of fit.

    Parameters
    ----------
    catalogue : Catalogue
    assembly : Assembly

    Returns
    -------
    mapping of place to FitPart
        An empty place is there too, named as empty, so that rules can ask for it.
    """
    together = assembly.memory.nested("roles of builds", most=MOST_BUILDS)
    positions = _positions(assembly)
    read = (assembly.parts, positions)
    return together.of_very("roles", read, lambda: _roles_of(catalogue, assembly, positions))


def _roles_of(catalogue: Catalogue, assembly: Assembly, positions: FitPart) -> dict[str, FitPart]:
    called = catalogue.trade_names
    roles = {place: part_role(assembly, place, called) for place in PLACE_OF}
    roles[FRAME] = assembly.memory.of("frame's role", lambda: _frame(catalogue))
    roles[POSITIONS] = positions
    return roles


# Roles that also say something about another place's part.
_ALSO: Mapping[str, tuple[str, ...]] = {
    "rim_front": ("tyre_front",),
    "rim_rear": ("tyre_rear",),
    "crank": ("ring",),
    "transmission": ("hub",),
}


def roles_read_with(place: str) -> tuple[str, ...]:
    """Other roles that follow from the part of a place, or that its own role follows from."""
    beside = _BESIDE.get(place)
    return (*_ALSO.get(place, ()), *((beside,) if beside else ()))


_BESIDE = {place: of for of, places in _ALSO.items() for place in places}
_ROLE_OF = {place: f"role of {place}" for place in PLACE_OF}


def roles_with(roles: Mapping[str, FitPart], assembly: Assembly, place: str) -> dict[str, FitPart]:
    """The roles of a build in which the part of one place was changed.

    Parameters
    ----------
    roles : mapping of place to FitPart
        As from `roles_of`, before the change.
    assembly : Assembly
        After it.
    place : str

    Returns
    -------
    dict of place to FitPart
    """
    changed = (place, *_ALSO.get(place, ()))
    called = roles[FRAME].called
    return {**roles, **{at: part_role(assembly, at, called) for at in changed}}


def part_role(assembly: Assembly, place: str, called: Callable[[str], str]) -> FitPart:
    """The part in one place of a build, for the rules of fit."""
    beside = _BESIDE.get(place)
    read = (assembly.parts.get(place), beside and assembly.parts.get(beside))
    return assembly.memory.of_very(
        _ROLE_OF[place], read, lambda: _part_role(assembly, place, called)
    )


def _part_role(assembly: Assembly, place: str, called: Callable[[str], str]) -> FitPart:
    part = assembly.parts.get(place)
    if part is None:
        label = PLACE_OF[place].label.lower()
        return FitPart(name=tr("no {label}", label=label), properties=_EMPTY.get(place, {}))
    properties = part.data.model_dump() | properties_of(part.data, assembly, place)
    return FitPart(name=part.name, properties=properties, called=called)


_EMPTY: Mapping[str, Properties] = {
    "derailleur": {"present": False},
    "brake": {"ends": 0, "has_front": False, "has_rear": False},
}


@singledispatch
def properties_of(_data: PartData, _assembly: Assembly, _place: str) -> Properties:
    """What the rules ask of a part beside the fields of its data; by the class of the data."""
    return {}


@properties_of.register
def _fork(data: ForkData, _assembly: Assembly, _place: str) -> Properties:
    return {
        "axle_to_crown": fork_of(data).along,
        "wheel_sizes": frozenset(tyre.bead_seat_diameter for tyre in data.tyres),
        "rotors": (data.rotor_min, data.rotor_max) if data.rotor_min else None,
        "mounts": frozenset(data.mounts),
    }


@properties_of.register
def _rim(data: RimData, _assembly: Assembly, _place: str) -> Properties:
    known = data.tyre_min is not None and data.tyre_max is not None
    return {
        "tyre_range": (data.tyre_min, data.tyre_max) if known else None,
        "has_tyre_range": known,
        "takes_tubeless": frozenset({True, False}) if data.tubeless else frozenset({False}),
    }


@properties_of.register
def _tyre(data: TyreData, assembly: Assembly, place: str) -> Properties:
    rim = assembly.data(place.replace("tyre", "rim"), RimData)
    return {
        "radius": tyre_radius(data),
        "width_on_rim": width_on_rim(data, rim),
        "tubeless": data.needs_tubeless_rim,
    }


def width_on_rim(tyre: TyreData, rim: RimData | None) -> float:
    """Width of a tyre as it measures on its rim [mm]; nominal where nobody measured it."""
    if tyre.measured_width is None or tyre.measured_on is None:
        return tyre.nominal_width
    if rim is None:
        return tyre.measured_width
    width = measured_width(
        tyre.measured_width,
        measured_on=tyre.measured_on,
        rim_inner_width=rim.inner_width,
    )
    return float(width)


@properties_of.register
def _ring(data: RingData, assembly: Assembly, _place: str) -> Properties:
    return {"chainline": chainline_of(data, assembly.data("crank", CrankData))}


def chainline_of(ring: RingData, crank: CrankData | None) -> float | None:
    """A ring's distance from the frame's middle plane on its crank [mm]; None without one."""
    return None if crank is None else crank.chainline + ring.chainline_shift


@properties_of.register
def _sprocket(data: SprocketData, _assembly: Assembly, _place: str) -> Properties:
    smallest, largest = data.teeth[0], data.teeth[-1]
    return {"count": len(data.teeth), "largest": largest, "span": largest - smallest}


@properties_of.register
def _transmission(data: TransmissionData, _assembly: Assembly, _place: str) -> Properties:
    return {"half_links": frozenset({data.fits} if data.half_link_sold else ())}


@properties_of.register
def _hub(data: HubData, assembly: Assembly, _place: str) -> Properties:
    derailleur = data.drive == "derailleur"
    loop = assembly.data("transmission", TransmissionData)
    off = loop.chainline_off if loop else 0.0
    line = data.chainline
    return {
        "needs_derailleur": derailleur,
        "most_sprockets": 99 if derailleur else 1,
        "has_chainline": line is not None,
        "chainlines": None if line is None else (line - off, line + off),
        "brakes_needed": 1 if data.needs_reaction_arm else 2,
        "rotor_fixing": data.rotor_fixing or NOTHING,
    }


@properties_of.register
def _front_hub(data: FrontHubData, _assembly: Assembly, _place: str) -> Properties:
    return {"rotor_fixing": data.rotor_fixing or NOTHING}


@properties_of.register
def _crank(data: CrankData, _assembly: Assembly, _place: str) -> Properties:
    return {"bottom_brackets": frozenset(data.bottom_bracket)}


@properties_of.register
def _derailleur(_data: DerailleurData, _assembly: Assembly, _place: str) -> Properties:
    return {"present": True}


@properties_of.register
def _brake(data: BrakeData, _assembly: Assembly, _place: str) -> Properties:
    found: Properties = {"ends": sum(end is not None for end in (data.front, data.rear))}
    for name, end in (("front", data.front), ("rear", data.rear)):
        found[f"has_{name}"] = end is not None
        found[f"{name}_mount"] = end.mount if end else None
        found[f"{name}_rotor"] = end.rotor if end else None
        found[f"{name}_fixing"] = end.rotor_fixing if end else None
    return found


@properties_of.register
def _saddle(data: SaddleData, _assembly: Assembly, _place: str) -> Properties:
    return {"rails": (-data.rail_back, data.rail_forward)}


def frame_name(catalogue: Catalogue) -> str:
    """What refusals call the frame."""
    return tr("the {name} frame", name=catalogue.model.name)


def _frame(catalogue: Catalogue) -> FitPart:
    data = catalogue.revision.data
    shell = data.bottom_bracket
    return FitPart(
        name=frame_name(catalogue),
        called=catalogue.trade_names,
        properties={
            "head_tube": data.fork.steerer_fits,
            "fork_lengths": (data.fork.axle_to_crown_min, data.fork.axle_to_crown_max),
            "fork_travel": data.fork.travel_max,
            "wheel_sizes": frozenset(room.bead_seat_diameter for room in data.tyre_room),
            "rear_axles": frozenset(data.rear_axles),
            "post_diameter": data.post_diameter,
            "bottom_bracket": shell.standard,
            "chainlines": (shell.chainline_min, shell.chainline_max),
            "smallest_ring": data.rings.smallest,
            "loops": frozenset({"chain", "belt"} if data.belt_opening else {"chain"}),
            "derailleur_mount": data.derailleur_mount or NOTHING,
            "brake_mount": data.rear_brake.mount if data.rear_brake else NOTHING,
            "has_brake_mount": data.rear_brake is not None,
            "rotors": (data.rear_brake.rotor_min, data.rear_brake.rotor_max)
            if data.rear_brake
            else None,
            "most_spacers": data.spacers.most,
        },
    )


def extra_roles(
    catalogue: Catalogue, roles: Mapping[str, FitPart], part: PartView[ExtraData]
) -> Iterator[dict[str, FitPart]]:
    """One extra beside the rest of a build, once for each mount it needs.

    Parameters
    ----------
    catalogue : Catalogue
    roles : mapping of place to FitPart
        As from `roles_of`.
    part : PartView of ExtraData
        The extra.

    Yields
    ------
    dict of place to FitPart
        With ``extra``, and ``bike``: frame and fork, whose mounts it may use.
    """
    memory, frame, fork = catalogue.memory, roles[FRAME], roles["fork"]
    bike = memory.of_very("frame with fork", (frame, fork), lambda: _bike(catalogue, frame, fork))
    for extra in memory.of_very("extra", (part,), lambda: _extra(catalogue, part)):
        yield {**roles, "extra": extra, "bike": bike}


def _bike(catalogue: Catalogue, frame: FitPart, fork: FitPart) -> FitPart:
    of_fork = cast("frozenset[str]", fork.properties["mounts"])
    return FitPart(
        name=tr("{name} with {name_2}", name=frame.name, name_2=fork.name),
        properties={"mounts": frozenset(catalogue.revision.data.mounts) | of_fork},
        called=catalogue.trade_names,
    )


def _extra(catalogue: Catalogue, part: PartView[ExtraData]) -> tuple[FitPart, ...]:
    """An extra with each mount it needs."""
    data = part.data
    sizes = frozenset(data.wheel_sizes)
    known = data.model_dump() | {"wheel_sizes": sizes, "for_some_wheels": bool(sizes)}
    return tuple(
        FitPart(
            name=part.name,
            properties=known | {"mount": mount, "has_mount": mount is not None},
            called=catalogue.trade_names,
        )
        for mount in data.mounts or (None,)
    )


def _positions(assembly: Assembly) -> FitPart:
    stand_at = {"spacers": assembly.cockpit.spacers, "rail": assembly.saddle.unset.rail_position}
    key = ("positions", *stand_at.values())
    return assembly.memory.of(key, lambda: FitPart(name=tr("this build"), properties=stand_at))
