"""The parts of a build as the rules of fit see them: a name and its properties."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from geometry.standards import Part
from geometry.wheels import measured_width
from webapp.build.assembling import Assembly, tyre_radius
from webapp.build.choice import PLACE_OF
from webapp.catalogue.frames import fork_of
from webapp.catalogue.part_data import (
    BrakeData,
    CrankData,
    DerailleurData,
    ForkData,
    FrontHubData,
    HubData,
    PartData,
    RimData,
    RingData,
    SaddleData,
    SprocketData,
    TyreData,
)
from webapp.catalogue.views import Catalogue, PartView

Properties = dict[str, Any]
FRAME, POSITIONS = "frame", "positions"

# A hub that states none takes no rotor: a mismatch, not a gap in what is known.
NO_ROTOR = "no rotor"


def roles_of(catalogue: Catalogue, assembly: Assembly) -> dict[str, Part]:
    """Every place of a build, the frame and the positions, for the rules of fit.

    Parameters
    ----------
    catalogue : Catalogue
    assembly : Assembly

    Returns
    -------
    dict of place to Part
        An empty place is there too, named as empty, so that rules can ask for it.
    """
    roles = {place: part_role(assembly, place, assembly.parts.get(place)) for place in PLACE_OF}
    roles[FRAME] = _frame(catalogue, assembly)
    roles[POSITIONS] = _positions(assembly)
    return roles


def part_role(assembly: Assembly, place: str, part: PartView | None) -> Part:
    """One part, in one place of a build, for the rules of fit."""
    if part is None:
        label = PLACE_OF[place].label.lower()
        return Part(name=f"no {label}", properties=_EMPTY.get(place, {}))
    properties = part.data.model_dump()
    describe = _DESCRIBE.get(PLACE_OF[place].kind)
    if describe is not None:
        properties |= describe(part.data, assembly, place)
    if place == "post":
        properties["heights"] = (assembly.seat_range.lowest, assembly.seat_range.highest)
    return Part(name=part.name, properties=properties)


_EMPTY: Mapping[str, Properties] = {
    "derailleur": {"present": False},
    "brake": {"ends": 0, "has_front": False, "has_rear": False},
}


def _bead(assembly: Assembly, place: str) -> int | None:
    part = assembly.parts.get(place)
    return part.data.bead_seat_diameter if part and isinstance(part.data, RimData) else None


def _fork(data: PartData, assembly: Assembly, _place: str) -> Properties:
    assert isinstance(data, ForkData)  # noqa: S101  # the kind decides the class
    room = {tyre.bead_seat_diameter: tyre for tyre in data.tyres}
    here = room.get(_bead(assembly, "rim_front") or 0)
    return {
        "axle_to_crown": fork_of(data).along,
        "wheel_sizes": frozenset(room),
        "takes_rim": here is not None,
        "widest_tyre": here.widest if here else None,
        "largest_radius": here.largest_radius if here else None,
        "has_largest_radius": here is not None and here.largest_radius is not None,
        "rotors": (data.rotor_min, data.rotor_max) if data.rotor_min else None,
    }


def _rim(data: PartData, _assembly: Assembly, _place: str) -> Properties:
    assert isinstance(data, RimData)  # noqa: S101  # the kind decides the class
    known = data.tyre_min is not None and data.tyre_max is not None
    return {
        "tyre_range": (data.tyre_min, data.tyre_max) if known else None,
        "has_tyre_range": known,
        "takes_tubeless": frozenset({True, False}) if data.tubeless else frozenset({False}),
    }


def _tyre(data: PartData, assembly: Assembly, place: str) -> Properties:
    assert isinstance(data, TyreData)  # noqa: S101  # the kind decides the class
    rim = assembly.parts.get(place.replace("tyre", "rim"))
    return {
        "radius": tyre_radius(data),
        "width_on_rim": width_on_rim(data, rim),
        "tubeless": data.needs_tubeless_rim,
    }


def width_on_rim(tyre: TyreData, rim: PartView | None) -> float:
    """Width of a tyre as it measures on its rim [mm]; nominal where nobody measured it."""
    if tyre.measured_width is None or tyre.measured_on is None:
        return tyre.nominal_width
    if rim is None or not isinstance(rim.data, RimData):
        return tyre.measured_width
    width = measured_width(
        tyre.measured_width,
        measured_on=tyre.measured_on,
        rim_inner_width=rim.data.inner_width,
    )
    return float(width)


def _ring(data: PartData, assembly: Assembly, _place: str) -> Properties:
    assert isinstance(data, RingData)  # noqa: S101  # the kind decides the class
    sprocket = assembly.parts.get("sprocket")
    known = sprocket is not None and isinstance(sprocket.data, SprocketData)
    return {"ratio": data.teeth / sprocket.data.teeth[-1] if known else None}  # type: ignore[union-attr]


def _sprocket(data: PartData, _assembly: Assembly, _place: str) -> Properties:
    assert isinstance(data, SprocketData)  # noqa: S101  # the kind decides the class
    return {"count": len(data.teeth), "largest": data.teeth[-1]}


def _hub(data: PartData, _assembly: Assembly, _place: str) -> Properties:
    assert isinstance(data, HubData)  # noqa: S101  # the kind decides the class
    derailleur = data.drive == "derailleur"
    return {
        "needs_derailleur": derailleur,
        "most_sprockets": 99 if derailleur else 1,
        "has_smallest_ratio": data.smallest_ratio is not None,
        "brakes_needed": 1 if data.needs_reaction_arm else 2,
        "rotor_fixing": data.rotor_fixing or NO_ROTOR,
    }


def _front_hub(data: PartData, _assembly: Assembly, _place: str) -> Properties:
    assert isinstance(data, FrontHubData)  # noqa: S101  # the kind decides the class
    return {"rotor_fixing": data.rotor_fixing or NO_ROTOR}


def _crank(data: PartData, _assembly: Assembly, _place: str) -> Properties:
    assert isinstance(data, CrankData)  # noqa: S101  # the kind decides the class
    return {"bottom_brackets": frozenset(data.bottom_bracket)}


def _derailleur(data: PartData, _assembly: Assembly, _place: str) -> Properties:
    assert isinstance(data, DerailleurData)  # noqa: S101  # the kind decides the class
    return {"present": True}


def _brake(data: PartData, _assembly: Assembly, _place: str) -> Properties:
    assert isinstance(data, BrakeData)  # noqa: S101  # the kind decides the class
    found: Properties = {"ends": sum(end is not None for end in (data.front, data.rear))}
    for name, end in (("front", data.front), ("rear", data.rear)):
        found[f"has_{name}"] = end is not None
        found[f"{name}_mount"] = end.mount if end else None
        found[f"{name}_rotor"] = end.rotor if end else None
        found[f"{name}_fixing"] = end.rotor_fixing if end else None
    return found


def _saddle(data: PartData, _assembly: Assembly, _place: str) -> Properties:
    assert isinstance(data, SaddleData)  # noqa: S101  # the kind decides the class
    return {"rails": (-data.rail_back, data.rail_forward)}


_DESCRIBE: Mapping[str, Callable[[PartData, Assembly, str], Properties]] = {
    "fork": _fork,
    "rim": _rim,
    "tyre": _tyre,
    "ring": _ring,
    "sprocket": _sprocket,
    "hub": _hub,
    "front-hub": _front_hub,
    "crank": _crank,
    "derailleur": _derailleur,
    "brake": _brake,
    "saddle": _saddle,
}


def _frame(catalogue: Catalogue, assembly: Assembly) -> Part:
    data = catalogue.revision.data
    rear = {room.bead_seat_diameter: room for room in data.tyre_room}
    here = rear.get(_bead(assembly, "rim_rear") or 0)
    out = assembly.build.slot_position
    rings = data.rings
    further = rings.per_mm_slot * float(out)
    return Part(
        name=f"{catalogue.model.name} frame",
        properties={
            "head_tube": data.fork.steerer_fits,
            "fork_lengths": (data.fork.axle_to_crown_min, data.fork.axle_to_crown_max),
            "fork_travel": data.fork.travel_max,
            "wheel_sizes": frozenset(rear),
            "takes_rim": here is not None,
            "largest_tyre": here.largest if here else None,
            "rear_axles": frozenset(data.rear_axles),
            "post_diameter": data.post_diameter,
            "bottom_bracket": data.bottom_bracket.standard,
            "smallest_ring": rings.smallest,
            "largest_chain_ring": int(rings.largest_chain + further),
            "largest_belt_ring": int(rings.largest_belt + further) if rings.largest_belt else None,
            "loops": frozenset({"chain", "belt"} if data.belt_opening else {"chain"}),
            "reaction_arms": frozenset({True, False} if data.reaction_arm_mount else {False}),
            "derailleur_mount": data.derailleur_mount or "none",
            "brake_mount": data.rear_brake.mount if data.rear_brake else "none",
            "rotors": (data.rear_brake.rotor_min, data.rear_brake.rotor_max)
            if data.rear_brake
            else (0, 0),
            "most_spacers": data.spacers.most,
        },
    )


def _positions(assembly: Assembly) -> Part:
    return Part(
        name="this build",
        properties={
            "spacers": assembly.cockpit.spacers,
            "rail": assembly.seat.rail_position,
            "saddle_height": assembly.seat.height,
        },
    )
