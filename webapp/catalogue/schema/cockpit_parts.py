"""Data of the parts the rider touches: stem, handlebar, post, saddle, pedal.

Lengths in mm, angles in degrees.
"""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator

from webapp.catalogue.schema.fields import Mismatch, deg, mm
from webapp.catalogue.schema.wheel_parts import PartData
from webapp.common.text.language import tr


class StemData(PartData):
    """A stem, square to the steering axis when its angle is 0."""

    length: Annotated[
        float, mm("steerer axis to bar clamp axis", 0, 160, "longer stems are not sold")
    ]
    angle: Annotated[
        float,
        deg(
            "rise above the square to the steering axis",
            -45,
            60,
            "stems are not made outside this range",
        ),
    ]
    clamp_height: Annotated[
        float, mm("height taken on the steerer", 10, 80, "all stems are in this range")
    ]
    steerer_diameter: Annotated[
        float, mm("steerer clamp diameter", 22, 40, "all bicycle steerers are in this range")
    ]
    bar_diameter: Annotated[float, mm("bar clamp diameter", 20, 40, "all bars are in this range")]


class HandlebarData(PartData):
    """A handlebar, described from its clamp outwards."""

    rise: Annotated[
        float, mm("rise of the ends over the clamp", -60, 160, "all bars are in this range")
    ]
    width: Annotated[float, mm("width over the ends", 350, 900, "all bars are in this range")]
    backsweep: Annotated[
        float,
        deg("turn of the grips to the rear, seen from above", 0, 60, "all bars are in this range"),
    ]
    upsweep: Annotated[
        float,
        deg("turn of the grips upwards, seen from behind", -30, 30, "all bars are in this range"),
    ]
    sweep_start: Annotated[
        float,
        mm("where the sweep starts, out from the middle", 0, 450, "it starts on the bar"),
    ]
    grip_from_end: Annotated[
        float,
        mm("middle of the hand, in from the bar's end", 0, 200, "hands lie on the grips"),
    ] = 65.0
    clamp_diameter: Annotated[float, mm("clamp diameter", 20, 40, "all stems are in this range")]
    forward: Annotated[
        float,
        mm(
            "throw of the bar forward of its clamp before the sweep",
            -60,
            150,
            "all bars are in this range",
        ),
    ] = 0.0

    @model_validator(mode="after")
    def _grips_beyond_the_sweep(self) -> Self:
        if self.sweep_start + self.grip_from_end > self.width / 2:
            raise Mismatch(
                "width", tr("wide enough for the hands to lie outside the sweep's start")
            )
        return self


class PostData(PartData):
    """A seat post, rigid (travel 0) or dropper."""

    diameter: Annotated[float, mm("diameter", 22, 40, "all seat tubes are in this range")]
    length: Annotated[
        float,
        mm(
            "whole length, shaft's lower end to rail clamp",
            100,
            700,
            "none are sold outside this range",
        ),
    ]
    offset: Annotated[
        float,
        mm("setback of the rail clamp behind the axis", -30, 60, "all posts are in this range"),
    ] = 0.0
    travel: Annotated[float, mm("travel; 0 when rigid", 0, 280, "no dropper has more")] = 0.0
    min_insertion: Annotated[
        float, mm("least insertion stated by the maker", 40, 350, "a post must be held")
    ]
    collar_to_rail: Annotated[
        float | None,
        mm(
            "dropper: collar to rail clamp when up and fully inserted",
            40,
            400,
            "none are sold outside this range",
        ),
    ] = None
    below_collar: Annotated[
        float | None,
        mm(
            "dropper: length from the collar to the lower end",
            80,
            450,
            "none are sold outside this range",
        ),
    ] = None
    cable_room: Annotated[
        float, mm("room a cable needs below the lower end", 0, 80, "bends need no more")
    ] = 0.0

    @model_validator(mode="after")
    def _dropper_lengths(self) -> Self:
        lengths = (self.collar_to_rail, self.below_collar)
        if self.travel > 0 and None in lengths:
            raise Mismatch("travel", tr("0, or with collar_to_rail and below_collar given"))
        if self.travel == 0 and lengths != (None, None):
            raise Mismatch(
                "travel", tr("more than 0; a rigid post has no collar_to_rail, below_collar")
            )
        if self.min_insertion < 2 * self.diameter:
            raise Mismatch("min_insertion", tr("at least 2 diameters (16 CFR 1512.15(b))"))
        return self


class SaddleData(PartData):
    """A saddle, measured at the place the rider sits."""

    stack: Annotated[float, mm("rail axis to top", 20, 100, "all saddles are in this range")]
    rail_forward: Annotated[
        float,
        mm("how far it slides forward from the rails' middle", 0, 60, "rails are no longer"),
    ]
    rail_back: Annotated[
        float, mm("how far it slides back from the rails' middle", 0, 60, "rails are no longer")
    ]
    length: Annotated[float, mm("whole length", 150, 350, "all saddles are in this range")] = 270.0
    width: Annotated[float, mm("greatest width", 100, 300, "all saddles are in this range")] = 145.0


class PedalData(PartData):
    """A pedal, as far as the ground and the toe are concerned."""

    width: Annotated[
        float, mm("crank face to the outer edge", 50, 160, "all pedals are in this range")
    ]
    thickness: Annotated[
        float, mm("thickness at the outer edge", 5, 60, "all pedals are in this range")
    ]
    centre: Annotated[
        float,
        mm("crank face to the middle of the platform", 20, 100, "all pedals are in this range"),
    ]
    length: Annotated[
        float, mm("length along the bike", 30, 160, "all pedals are in this range")
    ] = 100.0
    holds_foot: Annotated[bool, Field(description="holds the foot, so that no toe moves")] = False
