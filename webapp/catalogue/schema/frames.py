"""Data of a frame revision and of its sizes.

What every size of a revision shares (fittings, limits, tolerances, what it was
drawn with) is in `RevisionData`; the numbers of one size are in `SizeData`.
Lengths in mm, angles in degrees, masses in kg; side view from the drive side,
x forward, y up, origin at the BB centre.
"""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from webapp.catalogue.schema.fields import (
    BeadSeatDiameter,
    Chainline,
    Data,
    Kilograms,
    Mismatch,
    Name,
    Rotor,
    Slug,
    Standard,
    Text,
    TyreWidth,
    deg,
    mm,
    number,
)
from webapp.common.text.language import tr

Place = Literal["seat tube", "down tube", "under the down tube", "top tube", "fork", "rear"]
Length = Annotated[float, mm("length", 0, 1200, "no part of a frame is longer")]


class DrawnWithData(Data):
    """The fork, headset and wheels the sizes were drawn with."""

    axle_to_crown: Annotated[
        float, mm("axle to crown of the fork drawn", 350, 640, "forks lie within")
    ]
    axle_to_crown_measured: Literal["along", "straight"]
    offset: Annotated[float, mm("offset of the fork drawn", 0, 90, "no fork has other")]
    travel: Annotated[float, mm("travel of the fork drawn", 0, 220, "forks have no more")] = 0.0
    lower_headset_stack: Annotated[
        float, mm("headset below the head tube", 0, 25, "no cup is taller")
    ]
    front_radius: Annotated[float, mm("front wheel radius", 250, 420, "adult wheels lie within")]
    rear_radius: Annotated[float, mm("rear wheel radius", 250, 420, "adult wheels lie within")]
    slot_position: Annotated[
        float, mm("axle position in its slot when drawn", 0, 60, "slots are no longer")
    ] = 0.0


class TopTubeData(Data):
    """Where the top tube's centreline runs, for standover."""

    below_head_tube_top: Annotated[
        float, mm("head tube top down its axis to the centreline", 0, 250, "it meets the tube")
    ]
    along_seat_tube: Annotated[
        float, mm("BB up the seat tube's axis to the centreline", 150, 700, "it meets the tube")
    ]
    diameter: Annotated[float, mm("top tube diameter", 20, 80, "no tube is other")]


class PostRoom(Data):
    """Room for a seat post inside the seat tube of one size."""

    depth: Annotated[
        float, mm("clear bore from the seat tube's top down", 50, 700, "it is inside the tube")
    ]
    boss_depth: Annotated[
        float | None,
        mm("seat tube's top to the upper bottle boss", 50, 700, "it is on the tube"),
    ] = None
    boss_intrudes: Annotated[
        bool, Field(description="boss threads reach into the bore and stop a post")
    ] = False


class BottleMount(Data):
    """A pair of bosses for a bottle cage, and the bottle that goes there."""

    name: Name
    place: Place
    mount: Annotated[Standard, Field(description="threaded mount it is")]
    boss_from_bb: Annotated[
        float | None, mm("lower boss from the BB along the tube", 0, 700, "it is on the tube")
    ] = None
    bottle_length: Annotated[float, mm("longest bottle", 80, 400, "no bottle is other")]
    bottle_diameter: Annotated[float, mm("thickest bottle", 40, 140, "no bottle is other")]
    post_depth_lost: Annotated[
        float, mm("post depth lost while this mount is used", 0, 300, "it is inside the tube")
    ] = 0.0


class StatureRange(Data):
    """The riders one size was drawn for, as the builder's size chart prints them."""

    shortest: Annotated[float, mm("shortest rider, barefoot", 1000, 2300, "adults lie within")]
    tallest: Annotated[float, mm("tallest rider, barefoot", 1000, 2300, "adults lie within")]

    @model_validator(mode="after")
    def _upright(self) -> Self:
        if self.tallest <= self.shortest:
            raise Mismatch("tallest", tr("more than the shortest"))
        return self


class AsSold(Data):
    """What one size is usually sold with, and how far its stem may be changed."""

    stem: Annotated[Slug, Field(description="stem's name in addresses")]
    handlebar: Annotated[Slug, Field(description="handlebar's name in addresses")]
    spacers: Annotated[float, mm("spacers under the stem", 0, 80, "steerers bend")]
    crank: Annotated[Slug, Field(description="crank's name in addresses")]
    posts: Annotated[
        tuple[Slug, ...],
        Field(min_length=1, description="posts it is sold with, the usual one first"),
    ]
    stem_shortest: Annotated[
        float, mm("shortest stem the size may carry", 20, 130, "stems are sold within")
    ]
    stem_longest: Annotated[
        float, mm("longest stem the size may carry", 20, 130, "stems are sold within")
    ]

    @model_validator(mode="after")
    def _stems_rise(self) -> Self:
        if self.stem_longest < self.stem_shortest:
            raise Mismatch("stem_longest", tr("at least the shortest"))
        return self


class SizeData(Data):
    """The drawn numbers of one size."""

    reach: Annotated[float, mm("reach", 280, 620, "adult frames lie within")]
    stack: Annotated[float, mm("stack", 400, 800, "adult frames lie within")]
    head_angle: Annotated[float, deg("head angle", 55, 80, "bicycles steer well within")]
    head_tube_length: Annotated[float, mm("head tube", 70, 300, "head tubes lie within")]
    seat_tube_angle: Annotated[float, deg("seat tube angle", 60, 85, "riders sit within")]
    seat_tube_offset: Annotated[
        float,
        mm("seat tube axis ahead of the BB centre", -60, 90, "the tube must clear the BB"),
    ] = 0.0
    seat_tube_length: Annotated[
        float, mm("seat tube, BB centre to top", 280, 700, "adult frames lie within")
    ]
    chainstay_length: Annotated[
        float, mm("chainstay at slot position 0", 380, 560, "wheel and chain need it")
    ]
    bb_drop: Annotated[
        float, mm("BB below the rear axle at slot position 0", -30, 120, "pedals need the room")
    ]
    slot_length: Annotated[
        float, mm("slot length; 0 for a fixed axle", 0, 60, "slots are no longer")
    ] = 0.0
    slot_angle: Annotated[
        float, deg("slot angle, rising to the rear", -30, 90, "wheels must come out")
    ] = 0.0
    top_tube: TopTubeData
    post: PostRoom
    bottle_mounts: tuple[BottleMount, ...] = ()
    stem_length: Annotated[
        float, mm("stem length the size was drawn for", 20, 130, "stems are sold within")
    ]
    riders: StatureRange | None = None
    as_sold: AsSold | None = None
    mass: Kilograms | None = None
    drawn_with: DrawnWithData | None = None

    @model_validator(mode="after")
    def _one_frame(self) -> Self:
        if self.top_tube.along_seat_tube > self.seat_tube_length:
            raise Mismatch("seat_tube_length", tr("longer than top_tube.along_seat_tube"))
        if self.top_tube.below_head_tube_top > self.head_tube_length:
            raise Mismatch("head_tube_length", tr("longer than top_tube.below_head_tube_top"))
        if self.post.depth > self.seat_tube_length:
            raise Mismatch("seat_tube_length", tr("longer than the post's bore, post.depth"))
        return self


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
    between: Annotated[float, mm("width between the inner faces", 20, 200, "stays lie within")]


class StayShape(Data):
    """The inside of the rear triangle, as far as a tyre meets it."""

    bridge: Annotated[
        float, mm("rear face of bridge or yoke behind the BB", 0, 200, "bridges lie within")
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
    smallest: Annotated[int, number("smallest ring", 18, 60, "teeth", "none is sold")]
    largest_chain: Annotated[int, number("largest ring", 18, 70, "teeth", "none is sold")]
    largest_belt: Annotated[
        int | None, number("largest belt ring", 30, 80, "teeth", "none is sold")
    ] = None
    per_mm_chainline: Annotated[
        float, number("teeth gained per mm further out", 0, 4, "teeth/mm", "stays flare slowly")
    ] = 0.0
    per_mm_slot: Annotated[
        float, number("teeth gained per mm of slide", 0, 1, "teeth/mm", "stays stay put")
    ] = 0.0


class BottomBracket(Data):
    """The bottom bracket shell."""

    standard: Standard
    shell_width: Annotated[float, mm("shell width", 60, 130, "no bicycle shell is other")]
    chainline_min: Chainline
    chainline_max: Chainline


class BrakeLimits(Data):
    """The rear brake mount and the rotors it allows."""

    mount: Standard
    rotor_min: Rotor
    rotor_max: Rotor


class ForkLimits(Data):
    """Forks the builder allows in the frame."""

    steerer_fits: Annotated[Standard, Field(description="head tube standard, met by the headset")]
    axle_to_crown_min: Annotated[float, mm("shortest fork, along", 350, 640, "forks lie within")]
    axle_to_crown_max: Annotated[float, mm("longest fork, along", 350, 640, "forks lie within")]
    travel_max: Annotated[float, mm("longest travel", 0, 220, "forks have no more")]


class SpacerLimits(Data):
    """Spacers between headset and stem."""

    most: Annotated[float, mm("most spacers", 0, 80, "steerers bend")]
    step: Annotated[float, mm("smallest spacer", 1, 20, "spacers are sold within")] = 5.0


class LuggageMount(Data):
    """A place for luggage and what it may carry."""

    name: Name
    place: Place
    mount: Annotated[Standard, Field(description="threaded mount it is, met by extras")]
    load_max: Kilograms


class Masses(Data):
    """What the builder permits, ISO 4210-2 style."""

    rider_and_luggage: Kilograms
    whole_bike: Kilograms


class Tolerances(Data):
    """How far a built frame may differ from its drawing, each ±."""

    reach: Length = 3.0
    stack: Length = 3.0
    head_angle: Annotated[float, deg("± head angle", 0, 3, "wider is no tolerance")] = 0.3
    head_tube_length: Length = 1.0
    seat_tube_angle: Annotated[float, deg("± seat tube angle", 0, 3, "wider is none")] = 0.3
    seat_tube_offset: Length = 1.5
    seat_tube_length: Length = 3.0
    chainstay_length: Length = 2.0
    bb_drop: Length = 2.0
    slot_length: Length = 0.5
    slot_angle: Annotated[float, deg("± slot angle", 0, 3, "wider is no tolerance")] = 0.5
    tyre_room: Length = 1.5
    slot_position: Annotated[float, mm("± set axle position", 0, 5, "a rule reads finer")] = 0.5
    wheel_radius_nominal: Annotated[
        float, mm("± wheel radius of a tyre nobody measured", 0, 20, "tyres are truer")
    ] = 5.0
    wheel_radius_measured: Annotated[
        float, mm("± wheel radius of a measured tyre", 0, 20, "tyres are truer")
    ] = 1.5
    saddle_height: Annotated[float, mm("± set saddle height", 0, 20, "a tape reads finer")] = 3.0


class RevisionData(Data):
    """What all sizes of one revision share."""

    drawn_with: DrawnWithData
    rear_axles: Annotated[tuple[Standard, ...], Field(min_length=1)]
    bottom_bracket: BottomBracket
    fork: ForkLimits
    post_diameter: Annotated[float, mm("seat post diameter", 22, 40, "no post is other")]
    clamp_diameter: Annotated[float, mm("seat clamp diameter", 25, 50, "no clamp is other")]
    clamp_height: Annotated[
        float, mm("collar above the seat tube's top", 0, 30, "no clamp is taller")
    ] = 0.0
    rear_brake: BrakeLimits | None = None
    tyre_room: Annotated[tuple[TyreRoom, ...], Field(min_length=1)]
    stays: StayShape | None = None
    rings: RingLimits
    belt_opening: Annotated[bool, Field(description="the rear triangle opens for a belt")] = False
    derailleur_mount: Annotated[Standard | None, Field(description="hanger; none without")] = None
    reaction_arm_mount: Annotated[
        bool, Field(description="a coaster brake's reaction arm can be fixed")
    ] = False
    mounts: Annotated[
        tuple[Standard, ...], Field(description="threaded mounts of the frame, met by extras")
    ] = ()
    luggage: tuple[LuggageMount, ...] = ()
    masses: Masses
    usage_class: Annotated[int, number("usage class", 1, 6, "", "EN 17406 has classes 1 to 6")]
    spacers: SpacerLimits
    standover_at: Annotated[
        float, mm("standover measured ahead of the BB by", -100, 300, "over the top tube")
    ] = 0.0
    tolerances: Tolerances = Tolerances()
    note: Text = ""

    @model_validator(mode="after")
    def _rims_once(self) -> Self:
        stated = [(room.bead_seat_diameter, room.slot_position) for room in self.tyre_room]
        if len(set(stated)) < len(stated):
            raise Mismatch("tyre_room", tr("one entry for each rim size and axle position"))
        return self
