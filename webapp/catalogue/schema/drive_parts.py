"""Data of the drive: crank, ring, sprocket, transmission, derailleur.

Whether two of them run together is decided by equal names of a standard (``fits``,
``ring_mount``, ``mount``); how long the loop is, by their teeth and pitch.
"""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from webapp.catalogue.schema.fields import (
    Chainline,
    HangerStandard,
    LoopStandard,
    Mismatch,
    RingMount,
    ShellStandard,
    SprocketMount,
    Teeth,
    mm,
    number,
)
from webapp.catalogue.schema.wheel_parts import PartData
from webapp.common.text.language import tr

PitchKind = Literal["chain", "belt"]


class CrankData(PartData):
    """A pair of cranks with their axle."""

    length: Annotated[float, mm("crank length", 120, 200, "no cranks are sold outside this range")]
    chainline: Chainline
    q_factor: Annotated[
        float,
        mm("distance between the pedal faces of the cranks", 130, 260, "all are in this range"),
    ]
    ring_mount: Annotated[RingMount, Field(description="what rings must fit")]
    bottom_bracket: Annotated[
        tuple[ShellStandard, ...], Field(min_length=1, description="shell standards it mounts in")
    ]


class RingData(PartData):
    """A front ring for chain or belt."""

    teeth: Teeth
    pitch_kind: PitchKind
    mount: Annotated[RingMount, Field(description="crank ring mount it fits")]
    fits: Annotated[LoopStandard, Field(description="chain or belt that runs on it")]
    chainline_shift: Annotated[
        float, mm("outward shift of the crank's chainline", -10, 10, "all rings are in this range")
    ] = 0.0


class SprocketData(PartData):
    """A single sprocket (one tooth count) or a cassette (several, smallest first)."""

    teeth: Annotated[tuple[Teeth, ...], Field(min_length=1, max_length=14)]
    pitch_kind: PitchKind
    mount: Annotated[SprocketMount, Field(description="hub sprocket mount it fits")]
    fits: Annotated[LoopStandard, Field(description="chain or belt that runs on it")]

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        if list(self.teeth) != sorted(set(self.teeth)):
            raise Mismatch("teeth", tr("from the smallest sprocket to the largest, each once"))
        if self.pitch_kind == "belt" and len(self.teeth) != 1:
            raise Mismatch("teeth", tr("one sprocket only, since a belt cannot shift"))
        return self


class TransmissionData(PartData):
    """A chain (cut to any count) or a toothed belt (sold in fixed counts)."""

    pitch_kind: PitchKind
    pitch: Annotated[float, mm("pitch", 5, 26, "bicycle chains have 12.7, toothed belts 8 to 14")]
    fits: Annotated[LoopStandard, Field(description="rings and sprockets it runs on")]
    counts: Annotated[
        tuple[Annotated[int, number("count", 20, 300, "", "all loops are in this range")], ...],
        Field(description="belt: tooth counts sold; chain: empty, it is cut to length"),
    ] = ()
    longest: Annotated[
        int | None, number("links in the box", 60, 300, "links", "chains are sold in these lengths")
    ] = None
    half_link_sold: bool = False
    wear_limit: Annotated[
        float, number("lengthening at which it is replaced", 0, 0.02, "", "worn beyond use")
    ] = 0.0
    mounting: Annotated[
        float, mm("way forward the axle needs to put a belt on", 0, 30, "flanges are no higher")
    ] = 0.0
    chainline_off: Annotated[
        float, mm("how far ring and hub may be out of line", 0, 12, "it would run off")
    ] = 3.0

    @model_validator(mode="after")
    def _counts_of_a_belt(self) -> Self:
        if self.pitch_kind == "belt" and (not self.counts or self.longest is not None):
            raise Mismatch("counts", tr("the counts the belt is sold in; longest is for chains"))
        if self.pitch_kind == "chain" and (self.counts or self.longest is None):
            raise Mismatch("longest", tr("the links in the box; counts are for belts"))
        return self


class DerailleurData(PartData):
    """A rear derailleur with its shifter."""

    speeds: Annotated[int, number("sprockets", 5, 14, "", "none are made for others")]
    largest_sprocket: Teeth
    capacity: Annotated[
        int, number("chain it takes up", 10, 60, "teeth", "none are made for others")
    ]
    fits: Annotated[LoopStandard, Field(description="chain it runs with")]
    mount: Annotated[HangerStandard, Field(description="hanger it needs on the frame")]
