"""Limits of what goes onto a frame: room for tyres and rings, and what its mounts take.

Lengths in mm, masses in kg.
"""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from webapp.catalogue.schema.fields import (
    BeadSeatDiameter,
    BossStandard,
    BrakeMountStandard,
    Chainline,
    Data,
    HeadTubeStandard,
    Kilograms,
    Mismatch,
    Name,
    Rotor,
    ShellStandard,
    TyreWidth,
    mm,
    number,
)
from webapp.common.text.language import tr

Place = Literal["seat tube", "down tube", "under the down tube", "top tube", "fork", "rear"]


class TyreRoom(Data):
    """The widest rear tyres the builder states for one rim size.

    A tyre up to ``recommended`` is clear and one up to ``largest`` goes in, from
    ``slot_position`` backwards; a rim size may be stated for several positions.
    """

    bead_seat_diameter: BeadSeatDiameter
    slot_position: Annotated[
        float, mm("axle position from which this holds", 0, 60, "slots are no longer")
    ] = 0.0
    recommended: TyreWidth
    largest: TyreWidth

    @model_validator(mode="after")
    def _recommended_first(self) -> Self:
        if self.recommended > self.largest:
            raise Mismatch("recommended", tr("at most the largest tyre"))
        return self


class StayStation(Data):
    """Clear width between the stays at one place."""

    behind: Annotated[
        float, mm("behind the BB, towards the axle at slot position 0", 0, 500, "stays end there")
    ]
    between: Annotated[
        float, mm("width between the inner faces", 20, 200, "stays lie in this range")
    ]


class StayShape(Data):
    """The inside of the rear triangle, where a tyre could touch it."""

    bridge: Annotated[
        float, mm("rear face of bridge or yoke behind the BB", 0, 200, "bridges lie in this range")
    ]
    stations: Annotated[tuple[StayStation, ...], Field(min_length=2)]

    @model_validator(mode="after")
    def _from_the_bridge_backwards(self) -> Self:
        places = [station.behind for station in self.stations]
        if places != sorted(set(places)):
            raise Mismatch("stations", tr("from front to rear, each place once"))
        if places[0] > self.bridge:
            raise Mismatch("stations", tr("beginning at the bridge or before it"))
        return self


class RingLimits(Data):
    """Ring sizes the chainstays leave room for, at the stated chainline."""

    chainline: Chainline
    smallest: Annotated[
        int, number("smallest ring", 18, 60, "teeth", "none are sold outside this range")
    ]
    largest_chain: Annotated[
        int, number("largest ring", 18, 70, "teeth", "none are sold outside this range")
    ]
    largest_belt: Annotated[
        int | None, number("largest belt ring", 30, 80, "teeth", "none are sold outside this range")
    ] = None
    per_mm_chainline: Annotated[
        float, number("teeth gained per mm further out", 0, 4, "teeth/mm", "stays flare slowly")
    ] = 0.0
    per_mm_slot: Annotated[
        float, number("teeth gained per mm of slide", 0, 1, "teeth/mm", "stays stay put")
    ] = 0.0


class BottomBracket(Data):
    """The bottom bracket shell."""

    standard: ShellStandard
    shell_width: Annotated[
        float, mm("shell width", 60, 130, "all bicycle shells are in this range")
    ]
    chainline_min: Chainline
    chainline_max: Chainline


class BrakeLimits(Data):
    """The rear brake mount and the rotors it allows."""

    mount: BrakeMountStandard
    rotor_min: Rotor
    rotor_max: Rotor


class ForkLimits(Data):
    """Forks the builder allows in the frame."""

    steerer_fits: Annotated[
        HeadTubeStandard, Field(description="head tube standard, met by the headset")
    ]
    axle_to_crown_min: Annotated[
        float, mm("shortest fork, along", 350, 640, "forks lie in this range")
    ]
    axle_to_crown_max: Annotated[
        float, mm("longest fork, along", 350, 640, "forks lie in this range")
    ]
    travel_max: Annotated[float, mm("longest travel", 0, 220, "forks have no more")]


class SpacerLimits(Data):
    """Spacers between headset and stem."""

    most: Annotated[float, mm("most spacers", 0, 80, "steerers bend")]
    step: Annotated[float, mm("smallest spacer", 1, 20, "spacers are sold in this range")] = 5.0


class LuggageMount(Data):
    """A place for luggage and what it may carry."""

    name: Name
    place: Place
    mount: Annotated[BossStandard, Field(description="threaded mount it is, met by extras")]
    load_max: Kilograms


class Masses(Data):
    """What the builder permits, ISO 4210-2 style."""

    rider_and_luggage: Kilograms
    whole_bike: Kilograms
