"""Data of finish, extras and labour."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from webapp.catalogue.schema.fields import (
    BeadSeatDiameter,
    BossStandard,
    Kilograms,
    LoopStandard,
    mm,
    number,
)
from webapp.catalogue.schema.wheel_parts import PartData


class FinishData(PartData):
    """A colour and the way it is laid on."""

    method: Annotated[str, Field(min_length=1, max_length=60, description="how it is laid on")]
    ink: Annotated[
        str, Field(pattern=r"^#[0-9a-f]{6}$", description="colour for the drawing, #rrggbb")
    ]
    extra_weeks: Annotated[
        float, number("added to the lead time", 0, 26, "weeks", "no finish takes longer")
    ] = 0.0


class ExtraData(PartData):
    """Something added: mudguards, rack, bottle cage, bottle, bag, half link.

    ``mounts`` names the threaded mounts it needs, on the frame or on the fork; ``fits``
    the chain a half link goes into.
    """

    use: Literal["mudguard", "rack", "bottle-cage", "bottle", "bag", "half-link", "other"]
    fits: Annotated[LoopStandard | None, Field(description="chain a half link goes into")] = None
    mounts: Annotated[tuple[BossStandard, ...], Field(description="mounts it needs")] = ()
    wheel_sizes: Annotated[
        tuple[BeadSeatDiameter, ...], Field(description="rims it goes round; empty: any")
    ] = ()
    clearance: Annotated[
        float,
        mm("outward of the tyre to the mudguard's outer face", 0, 60, "all are in this range"),
    ] = 0.0
    width: Annotated[float | None, mm("width", 10, 600, "all are in this range")] = None
    length: Annotated[float | None, mm("length of a bottle", 80, 400, "all are in this range")] = (
        None
    )
    diameter: Annotated[
        float | None, mm("diameter of a bottle", 40, 140, "all are in this range")
    ] = None
    load_max: Kilograms | None = None


class LabourData(PartData):
    """Work sold with a bike."""

    hours: Annotated[float, number("work", 0, 80, "hours", "no single bike takes longer")]
    always: Annotated[bool, Field(description="part of every complete bike")] = False
