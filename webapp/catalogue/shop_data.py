"""Data of the shop itself: settings and texts, and posture windows of riding styles."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from webapp.catalogue.fields import Data, Mismatch, Name, Text, mm, number

Percent = Annotated[
    Decimal, number("share", 0, 100, "%", "a share of the price lies between none and all")
]


class Window(Data):
    """A range a figure should lie in, and the value aimed at."""

    low: float
    aim: float
    high: float

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        if not self.low <= self.aim <= self.high:
            raise Mismatch("aim", "between low and high")
        return self


class PostureWindows(Data):
    """How a rider sits in one style; the builder's choice, not a law.

    Angles in degrees, lengths in mm. Trunk is from the level; elbow and knee
    flexion are from straight; the shoulder's is between trunk and upper arm.
    ``bar_above_saddle`` is positive for a bar above the saddle's top;
    ``stem_change`` is from the length the size was drawn for.
    """

    trunk_angle: Window
    elbow_flexion: Window
    shoulder_angle: Window
    knee_flexion: Window
    bar_above_saddle: Window
    stem_change: Window
    standover_room: Annotated[
        float, mm("least room over the top tube", 0, 200, "riders stand over their bikes")
    ]
    grips_to_rear_axle: Window | None = None


class Address(Data):
    """The letterhead."""

    name: Name
    lines: Annotated[tuple[Name, ...], Field(max_length=8)]
    email: Annotated[str, Field(pattern=r"^[^@\s]+@[^@\s]+$", max_length=200)]
    telephone: Annotated[str, Field(max_length=40)] = ""
    web: Annotated[str, Field(pattern=r"^https?://\S+$", max_length=200)]
    tax_number: Annotated[str, Field(max_length=40)] = ""


class ShopSettings(Data):
    """What the shop decides once: letterhead, money, times, texts, units."""

    letterhead: Address
    tax_name: Name
    tax_percent: Percent
    deposit_percent: Percent
    quote_valid_days: Annotated[
        int, number("quote stays valid", 1, 365, "days", "prices change within a year")
    ]
    lead_time_weeks: Annotated[float, number("lead time", 0, 104, "weeks", "nobody waits longer")]
    closure_limit: Annotated[
        float, mm("largest closure of a size that is published", 0.05, 5, "tables print whole mm")
    ] = 0.5
    units: Literal["metric", "imperial"] = "metric"
    paper: Literal["A4", "Letter"] = "A4"
    cautions: Annotated[tuple[Text, ...], Field(description="safety texts on every quote")]
    terms: Annotated[tuple[Text, ...], Field(description="terms printed on every quote")] = ()
    fit_notice: Text
    welcome: Text = ""
