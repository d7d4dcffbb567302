"""Data of fork and wheels: fork, headset, rim, tyre, hubs, axle, brake.

Lengths in mm, angles in degrees, masses in kg.
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
    FrontAxleStandard,
    HeadTubeStandard,
    Kilograms,
    Mismatch,
    RearAxleStandard,
    Rotor,
    RotorFixing,
    SprocketMount,
    SteererStandard,
    Text,
    TyreWidth,
    mm,
    number,
)
from webapp.common.text.language import tr


class PartData(Data):
    """What every part carries, whatever its kind."""

    mass: Kilograms | None = None
    usage_class: Annotated[
        int | None, number("usage class stated by its maker", 1, 6, "", "EN 17406 has 1 to 6")
    ] = None
    note: Text = ""


class ForkTolerance(Data):
    """How far a fork as delivered may differ from its data."""

    axle_to_crown: Annotated[
        float, mm("± on axle-to-crown", 0, 10, "a fork further off is a wrong fork")
    ] = 2.0
    offset: Annotated[float, mm("± on offset", 0, 5, "a fork further off is a wrong fork")] = 1.0


class ForkTyre(Data):
    """One wheel size a fork takes, with the room it has for the tyre."""

    bead_seat_diameter: BeadSeatDiameter
    widest: TyreWidth
    recommended: TyreWidth | None = None
    largest_radius: Annotated[
        float | None,
        mm(
            "room from the axle to the crown or arch",
            250,
            420,
            "all adult wheels need room in this range",
        ),
    ] = None
    between_legs: Annotated[
        float | None,
        mm("width between the legs beside the tyre", 30, 160, "forks lie in this range"),
    ] = None
    crown_radius: Annotated[
        float | None,
        mm("axle to the crown's underside, extended", 250, 640, "forks lie in this range"),
    ] = None

    @model_validator(mode="after")
    def _recommended_first(self) -> Self:
        if self.recommended is not None and self.recommended > self.widest:
            raise Mismatch("recommended", tr("at most the widest tyre"))
        return self


class ForkData(PartData):
    """A fork: how it sets the front of the frame, and what it takes."""

    axle_to_crown: Annotated[
        float,
        mm(
            "axle to crown race seat, unloaded",
            350,
            640,
            "forks for 559 to 622 rims lie in this range",
        ),
    ]
    axle_to_crown_measured: Annotated[
        Literal["along", "straight"],
        Field(description="measured along the steering axis, or straight from axle to crown"),
    ]
    offset: Annotated[
        float,
        mm("offset of the axle ahead of the steering axis", 0, 90, "all forks are in this range"),
    ]
    travel: Annotated[
        float, mm("travel; 0 for a rigid fork", 0, 220, "single crown forks have no more")
    ] = 0.0
    sag_fraction: Annotated[
        float,
        number("share of the travel used at rest", 0, 0.5, "", "more is a fork set too soft"),
    ] = 0.0
    steerer: Annotated[SteererStandard, Field(description="steerer standard, met by the headset")]
    steerer_clamp_diameter: Annotated[
        float, mm("steerer diameter at the stem", 22, 40, "all bicycle steerers are in this range")
    ]
    axle: Annotated[
        FrontAxleStandard, Field(description="front axle standard, met by the front hub")
    ]
    tyres: Annotated[tuple[ForkTyre, ...], Field(min_length=1)]
    brake_mount: Annotated[
        BrakeMountStandard | None, Field(description="none for a fork without")
    ] = None
    rotor_min: Rotor | None = None
    rotor_max: Rotor | None = None
    mounts: Annotated[
        tuple[BossStandard, ...], Field(description="threaded mounts for racks, mudguards, cages")
    ] = ()
    tolerance: ForkTolerance = ForkTolerance()

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        if self.travel == 0 and self.sag_fraction > 0:
            raise Mismatch("sag_fraction", tr("0: a fork without travel has no sag"))
        if (self.brake_mount is None) != (self.rotor_min is None or self.rotor_max is None):
            raise Mismatch(
                "brake_mount", tr("given together with rotor_min and rotor_max, or none")
            )
        if self.rotor_min and self.rotor_max and self.rotor_min > self.rotor_max:
            raise Mismatch("rotor_min", tr("at most rotor_max"))
        return self


class HeadsetData(PartData):
    """A headset: the height it adds below and above the head tube, and what it joins."""

    lower_stack: Annotated[
        float, mm("height below the head tube", 0, 25, "headset cups are no taller")
    ]
    upper_stack: Annotated[
        float, mm("height above the head tube, under the spacers", 0, 45, "no cover is taller")
    ]
    fits: Annotated[
        HeadTubeStandard, Field(description="head tube standard of the frame it presses into")
    ]
    steerer: Annotated[SteererStandard, Field(description="steerer standard it guides")]


class RimData(PartData):
    """A rim, sold as half of a built wheel."""

    bead_seat_diameter: BeadSeatDiameter
    inner_width: Annotated[
        float, mm("width between the rim's walls", 13, 100, "all bicycle rims are in this range")
    ]
    spoke_holes: Annotated[int, number("spoke holes", 16, 48, "", "no others are drilled")] = 32
    tubeless: bool = True
    tyre_min: TyreWidth | None = None
    tyre_max: TyreWidth | None = None


TYRE_DEFLECTION_SHARE = 0.15
"""Of a tyre's width that rider and bike press it in where nobody measured it [CP]."""


class TyreData(PartData):
    """A tyre: its nominal size and, where somebody measured one, its real size."""

    bead_seat_diameter: BeadSeatDiameter
    nominal_width: TyreWidth
    measured_radius: Annotated[
        float | None,
        mm("free radius as measured", 250, 420, "tyres on 406 to 635 rims lie in this range"),
    ] = None
    measured_width: TyreWidth | None = None
    measured_on: Annotated[
        float | None,
        mm(
            "inner width of the rim the width was measured on",
            13,
            100,
            "all rims are in this range",
        ),
    ] = None
    needs_tubeless_rim: bool = False
    deflection: Annotated[
        float | None,
        mm(
            "how far it is pressed in with the rider aboard; empty: 15 % of its width",
            0,
            50,
            "a tyre pressed in further runs on its rim",
        ),
    ] = None

    @property
    def pressed_in(self) -> float:
        """Free minus loaded radius with the rider aboard [mm]; as stated, or of its width."""
        if self.deflection is not None:
            return self.deflection
        return TYRE_DEFLECTION_SHARE * (self.measured_width or self.nominal_width)

    @model_validator(mode="after")
    def _width_with_its_rim(self) -> Self:
        if (self.measured_width is None) != (self.measured_on is None):
            raise Mismatch("measured_width", tr("given together with measured_on, or neither"))
        return self


class FrontHubData(PartData):
    """A front hub."""

    axle: Annotated[FrontAxleStandard, Field(description="front axle standard, met by the fork")]
    rotor_fixing: Annotated[RotorFixing | None, Field(description="none: no disc brake")] = None
    spoke_holes: Annotated[int, number("spoke holes", 16, 48, "", "no others are drilled")] = 32


Drive = Literal["derailleur", "hub-gear", "single-freewheel", "single-coaster"]


class HubData(PartData):
    """A rear hub, which decides the type of drive."""

    drive: Annotated[Drive, Field(description="type of drive this hub makes")]
    axle: Annotated[
        RearAxleStandard, Field(description="rear axle standard, met by the axle fitting")
    ]
    sprocket_mount: Annotated[SprocketMount, Field(description="what sprockets must fit")]
    gear_ratios: Annotated[
        tuple[
            Annotated[
                float, number("inside gear ratio", 0.1, 6, "", "none are made outside this range")
            ],
            ...,
        ],
        Field(min_length=1, description="turns of the wheel per turn of the sprocket, each gear"),
    ] = (1.0,)
    smallest_ratio: Annotated[
        float | None,
        number(
            "smallest ring : sprocket ratio allowed",
            0.5,
            4,
            "",
            "none are stated outside this range",
        ),
    ] = None
    needs_reaction_arm: bool = False
    chainline: Chainline | None = None
    rotor_fixing: Annotated[RotorFixing | None, Field(description="none: no disc brake")] = None
    spoke_holes: Annotated[int, number("spoke holes", 16, 48, "", "no others are drilled")] = 32

    @model_validator(mode="after")
    def _coaster_has_an_arm(self) -> Self:
        if self.drive == "single-coaster" and not self.needs_reaction_arm:
            raise Mismatch("needs_reaction_arm", tr("true: a coaster brake always needs its arm"))
        return self


class AxleData(PartData):
    """What joins hub and frame at the rear: a through axle, or plates for a nutted axle."""

    standard: Annotated[RearAxleStandard, Field(description="axle standard it makes of the frame")]
    fastening: Literal["through", "nutted", "quick-release"]
    width: Annotated[float, mm("over-locknut or hub width", 70, 200, "all hubs are in this range")]
    diameter: Annotated[float, mm("axle diameter", 5, 25, "all bicycle axles are in this range")]


class BrakeEnd(Data):
    """One end of a pair of brakes."""

    mount: Annotated[BrakeMountStandard, Field(description="mount on the fork or frame")]
    rotor: Rotor
    rotor_fixing: Annotated[RotorFixing, Field(description="how the rotor fixes to the hub")]


class BrakeData(PartData):
    """Brakes as sold for one bike; an end left out is braked by other means (coaster)."""

    front: BrakeEnd | None = None
    rear: BrakeEnd | None = None
