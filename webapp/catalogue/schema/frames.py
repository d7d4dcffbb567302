"""Data of a frame revision and of its sizes.

What every size of a revision shares (fittings, limits, tolerances, what it was
drawn with) is in `RevisionData`; the numbers of one size are in `SizeData`.
Lengths in mm, angles in degrees, masses in kg; side view from the drive side,
x forward, y up, origin at the BB centre.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any, Literal, Self

from pydantic import Field, model_validator

from webapp.catalogue.schema.fields import (
    BossStandard,
    Data,
    HangerStandard,
    Kilograms,
    Mismatch,
    Name,
    RearAxleStandard,
    Slug,
    Text,
    deg,
    mm,
    number,
)
from webapp.catalogue.schema.frame_dimensions import (
    Drawn,
    FrameDimension,
    dimensions_of,
    with_numbers,
)
from webapp.catalogue.schema.frame_limits import (
    BottomBracket,
    BrakeLimits,
    ForkLimits,
    LuggageMount,
    Masses,
    Place,
    RingLimits,
    SpacerLimits,
    StayShape,
    TyreRoom,
)
from webapp.catalogue.schema.stated import StatedData
from webapp.common.text.language import tr

Length = Annotated[float, mm("length", 0, 1200, "no part of a frame is longer")]


class DrawnWithData(Data):
    """The fork, headset and wheels the sizes were drawn with."""

    axle_to_crown: Annotated[
        float, mm("axle to crown of the fork drawn", 350, 640, "forks lie in this range")
    ]
    axle_to_crown_measured: Literal["along", "straight"]
    offset: Annotated[float, mm("offset of the fork drawn", 0, 90, "all forks are in this range")]
    travel: Annotated[float, mm("travel of the fork drawn", 0, 220, "forks have no more")] = 0.0
    lower_headset_stack: Annotated[
        float, mm("headset below the head tube", 0, 25, "no cup is taller")
    ]
    front_radius: Annotated[
        float, mm("front wheel radius", 250, 420, "adult wheels lie in this range")
    ]
    rear_radius: Annotated[
        float, mm("rear wheel radius", 250, 420, "adult wheels lie in this range")
    ]
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
    diameter: Annotated[float, mm("top tube diameter", 20, 80, "all tubes are in this range")]


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
    mount: Annotated[BossStandard, Field(description="threaded mount it is")]
    boss_from_bb: Annotated[
        float | None, mm("lower boss from the BB along the tube", 0, 700, "it is on the tube")
    ] = None
    bottle_length: Annotated[float, mm("longest bottle", 80, 400, "all bottles are in this range")]
    bottle_diameter: Annotated[
        float, mm("thickest bottle", 40, 140, "all bottles are in this range")
    ]
    post_depth_lost: Annotated[
        float, mm("post depth lost while this mount is used", 0, 300, "it is inside the tube")
    ] = 0.0


class StatureRange(Data):
    """The riders one size was drawn for, as the builder's size chart prints them."""

    shortest: Annotated[
        float, mm("shortest rider, barefoot", 1000, 2300, "adults lie in this range")
    ]
    tallest: Annotated[float, mm("tallest rider, barefoot", 1000, 2300, "adults lie in this range")]

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
        float, mm("shortest stem the size may carry", 20, 130, "stems are sold in this range")
    ]
    stem_longest: Annotated[
        float, mm("longest stem the size may carry", 20, 130, "stems are sold in this range")
    ]

    @model_validator(mode="after")
    def _stems_rise(self) -> Self:
        if self.stem_longest < self.stem_shortest:
            raise Mismatch("stem_longest", tr("at least the shortest"))
        return self


class SizeData(Data):
    """The drawn numbers of one size."""

    reach: Annotated[
        float, mm("reach", 280, 620, "adult frames lie in this range"), Drawn(tr("Reach"), off=3.0)
    ]
    stack: Annotated[
        float,
        mm("stack", 400, 800, "adult frames lie in this range"),
        Drawn(tr("Stack"), more=tr("higher"), less=tr("lower"), off=3.0),
    ]
    head_angle: Annotated[
        float,
        deg("head angle", 55, 80, "bicycles steer well in this range"),
        Drawn(tr("Head angle"), more=tr("steeper"), less=tr("slacker"), off=0.3),
    ]
    head_tube_length: Annotated[
        float,
        mm("head tube", 70, 300, "head tubes lie in this range"),
        Drawn(tr("Head tube"), tr("Head tube length"), off=1.0),
    ]
    seat_tube_angle: Annotated[
        float,
        deg("seat tube angle", 60, 85, "riders sit in this range"),
        Drawn(tr("Seat tube angle"), more=tr("steeper"), less=tr("slacker"), off=0.3),
    ]
    seat_tube_offset: Annotated[
        float,
        mm("seat tube axis ahead of the BB centre", -60, 90, "the tube must clear the BB"),
        Drawn(tr("Seat tube offset"), more=tr("further forward"), less=tr("further back"), off=1.5),
    ] = 0.0
    seat_tube_length: Annotated[
        float,
        mm("seat tube, BB centre to top", 280, 700, "adult frames lie in this range"),
        Drawn(tr("Seat tube"), tr("Seat tube length"), off=3.0, solved=False, toleranced=False),
    ]
    chainstay_length: Annotated[
        float,
        mm("chainstay at slot position 0", 380, 560, "wheel and chain need it"),
        Drawn(tr("Chainstay, axle forward"), tr("Chainstay length"), off=2.0),
    ]
    bb_drop: Annotated[
        float,
        mm("BB below the rear axle at slot position 0", -30, 120, "pedals need the room"),
        Drawn(
            tr("BB drop, axle forward"), tr("BB drop"), more=tr("more"), less=tr("less"), off=2.0
        ),
    ]
    slot_length: Annotated[
        float,
        mm("slot length; 0 for a fixed axle", 0, 60, "slots are no longer"),
        Drawn(tr("Slot length"), off=0.5, toleranced=False),
    ] = 0.0
    slot_angle: Annotated[
        float,
        deg("slot angle, rising to the rear", -30, 90, "wheels must come out"),
        Drawn(tr("Slot angle"), more=tr("steeper"), less=tr("flatter"), off=0.5),
    ] = 0.0
    top_tube: TopTubeData
    post: PostRoom
    bottle_mounts: tuple[BottleMount, ...] = ()
    stem_length: Annotated[
        float,
        mm("stem length the size was drawn for", 20, 130, "stems are sold in this range"),
        Drawn(tr("Stem drawn for"), solved=False, toleranced=False),
    ]
    riders: StatureRange | None = None
    as_sold: AsSold | None = None
    mass: Kilograms | None = None
    drawn_with: DrawnWithData | None = None
    stated: StatedData | None = None

    @model_validator(mode="after")
    def _one_frame(self) -> Self:
        if self.top_tube.along_seat_tube > self.seat_tube_length:
            raise Mismatch("seat_tube_length", tr("longer than top_tube.along_seat_tube"))
        if self.top_tube.below_head_tube_top > self.head_tube_length:
            raise Mismatch("head_tube_length", tr("longer than top_tube.below_head_tube_top"))
        if self.post.depth > self.seat_tube_length:
            raise Mismatch("seat_tube_length", tr("longer than the post's bore, post.depth"))
        return self


DIMENSIONS: tuple[FrameDimension, ...] = dimensions_of(SizeData)
"""The drawn dimensions, in the order in which the table lists them."""

SOLVED: tuple[FrameDimension, ...] = tuple(each for each in DIMENSIONS if each.drawn.solved)
"""Those the solver takes."""


def _tolerance(dimension: FrameDimension) -> tuple[Any, float | None]:
    """The range of a dimension's ±, and its usual value."""
    what = f"± {dimension.what}"
    angle = deg(what, 0, 3, "a wider one is no tolerance")
    length = mm(what, 0, 1200, "no part of a frame is longer")
    return Annotated[float, angle if dimension.unit == "°" else length], dimension.drawn.off


if TYPE_CHECKING:
    _OffTheDrawing = Data
else:
    _OffTheDrawing = with_numbers(
        "_OffTheDrawing", Data, (d for d in DIMENSIONS if d.drawn.off is not None), _tolerance
    )


class Tolerances(_OffTheDrawing):
    """How far a built frame may differ from its drawing, each ±; of each dimension and more."""

    tyre_room: Length = 1.5
    slot_position: Annotated[float, mm("± set axle position", 0, 5, "a rule reads finer")] = 0.5
    wheel_radius_nominal: Annotated[
        float, mm("± wheel radius of a tyre nobody measured", 0, 20, "tyres are more accurate")
    ] = 5.0
    wheel_radius_measured: Annotated[
        float, mm("± wheel radius of a measured tyre", 0, 20, "tyres are more accurate")
    ] = 1.5
    saddle_height: Annotated[float, mm("± set saddle height", 0, 20, "a tape reads finer")] = 3.0
    top_tube: Annotated[
        float, mm("± where the top tube meets the other tubes", 0, 10, "a jig holds finer")
    ] = 1.5
    stem_length: Annotated[float, mm("± stem length", 0, 10, "stems are more accurate")] = 1.0
    stem_angle: Annotated[float, deg("± stem angle", 0, 3, "stems are more accurate")] = 0.5
    handlebar: Annotated[
        float, mm("± handlebar rise and forward", 0, 10, "bars are more accurate")
    ] = 2.0
    spacers: Annotated[float, mm("± height of the spacers", 0, 5, "spacers are more accurate")] = (
        0.5
    )


class RevisionData(Data):
    """What all sizes of one revision share."""

    drawn_with: DrawnWithData
    rear_axles: Annotated[tuple[RearAxleStandard, ...], Field(min_length=1)]
    bottom_bracket: BottomBracket
    fork: ForkLimits
    post_diameter: Annotated[float, mm("seat post diameter", 22, 40, "all posts are in this range")]
    clamp_diameter: Annotated[
        float, mm("seat clamp diameter", 25, 50, "all clamps are in this range")
    ]
    clamp_height: Annotated[
        float, mm("collar above the seat tube's top", 0, 30, "no clamp is taller")
    ] = 0.0
    rear_brake: BrakeLimits | None = None
    tyre_room: Annotated[tuple[TyreRoom, ...], Field(min_length=1)]
    stays: StayShape | None = None
    rings: RingLimits
    belt_opening: Annotated[bool, Field(description="the rear triangle opens for a belt")] = False
    derailleur_mount: Annotated[
        HangerStandard | None, Field(description="hanger; none without")
    ] = None
    reaction_arm_mount: Annotated[
        bool, Field(description="a coaster brake's reaction arm can be fixed")
    ] = False
    mounts: Annotated[
        tuple[BossStandard, ...], Field(description="threaded mounts of the frame, met by extras")
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
