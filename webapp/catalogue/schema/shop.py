"""Data of the shop itself: settings and texts, and posture windows of riding styles."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Annotated, Literal, Self
from urllib.parse import urlsplit
from zoneinfo import available_timezones

from pydantic import Field, model_validator

from webapp.catalogue.schema.fields import Data, Mismatch, Name, Slug, Text, deg, mm, number
from webapp.common.text.colours import LEAST, PAPER, contrast, is_colour, readable_on_paper
from webapp.common.text.language import is_locale, tr

TaxPercent = Annotated[Decimal, number("rate of the tax", 0, 100, "%", "a share of the whole")]
DepositPercent = Annotated[
    Decimal, number("deposit, as a share of the total", 0, 100, "%", "a share of the whole")
]


class Window(Data):
    """A range a figure should lie in; ``weight`` is its share among the others; with 0 it is
    only shown.
    """

    low: float
    high: float
    weight: Annotated[float, number("weight", 0, 100, "", "shares are told apart within it")] = 1.0

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        if not self.low < self.high:
            raise Mismatch("high", tr("more than low"))
        return self


class PostureWindows(Data):
    """How a rider sits and stands in one style; the builder's choice, not a law.

    Angles in degrees, lengths in mm. Trunk is from the level; elbow and knee
    flexion are from straight; the shoulder's is between trunk and upper arm.
    ``bar_above_saddle`` is positive for grips above the saddle's top;
    ``stem_departure`` is from the length the size was drawn for;
    ``knee_flexion`` is wanted at the lowest pedal, standing still.
    """

    trunk_angle: Window
    elbow_flexion: Window
    shoulder_angle: Window
    bar_above_saddle: Window
    standing_trunk_angle: Window
    standing_elbow_flexion: Window
    grips_to_rear_axle: Window
    stem_departure: Window
    straddle_room_least: Annotated[
        float, mm("least room over the top tube", 0, 200, "riders stand over their bikes")
    ]
    straddle_room_clear: Annotated[
        float, mm("room over the top tube that is clear", 0, 300, "riders stand over their bikes")
    ]
    knee_flexion: Annotated[float, deg("knee flexion wanted", 5, 60, "legs push in this range")]
    saddle_tolerance: Annotated[
        float, mm("how far a post may miss the saddle height", 0, 30, "riders feel more")
    ]
    standing_hip_behind: Annotated[
        float, mm("hips behind the BB when standing", -100, 400, "riders stand in this range")
    ]
    standing_knee_flexion: Annotated[
        float, deg("knee flexion when standing", 0, 90, "riders stand in this range")
    ]

    longer_by: Annotated[
        float,
        mm("longer than the size chart", -60, 60, "a style moves a rider by a size at most"),
    ] = 0.0

    @model_validator(mode="after")
    def _room_rises(self) -> Self:
        if self.straddle_room_clear < self.straddle_room_least:
            raise Mismatch("straddle_room_clear", tr("at least the least room over the top tube"))
        return self


_HOST = re.compile(r"([\w.-]+|\[[0-9a-fA-F:.]+\])(:\d+)?")


class FigureDegrees(Data):
    """Degrees of every figure of a posture that asks for a length."""

    trunk_angle: Annotated[float, deg("trunk, seated", -30, 30, "riders move in this range")] = 0.0
    elbow_flexion: Annotated[float, deg("elbow, seated", -30, 30, "riders move in this range")] = (
        0.0
    )
    shoulder_angle: Annotated[
        float, deg("shoulder, seated", -30, 30, "riders move in this range")
    ] = 0.0
    standing_trunk_angle: Annotated[
        float, deg("trunk, standing", -30, 30, "riders move in this range")
    ] = 0.0
    standing_elbow_flexion: Annotated[
        float, deg("elbow, standing", -30, 30, "riders move in this range")
    ] = 0.0


class RiderAnswer(Data):
    """One answer to a question about the rider, and how it moves the middles of the windows."""

    slug: Slug
    name: Name
    asks: FigureDegrees
    source: Annotated[Text, Field(description="where the degrees come from")]
    caution: Text = ""


class Preference(Data):
    """How riders of one body differ, one standard deviation of each figure.

    Means were not taken over, only spreads: Holliday and Swart 2021 (50 road cyclists);
    standing figures are taken to spread as seated ones do.
    """

    trunk_angle: Annotated[float, deg("trunk, seated", 0.1, 30, "riders differ")] = 5.0
    elbow_flexion: Annotated[float, deg("elbow, seated", 0.1, 30, "riders differ")] = 8.0
    shoulder_angle: Annotated[float, deg("shoulder, seated", 0.1, 30, "riders differ")] = 7.0
    standing_trunk_angle: Annotated[float, deg("trunk, standing", 0.1, 30, "riders differ")] = 5.0
    standing_elbow_flexion: Annotated[float, deg("elbow, standing", 0.1, 30, "riders differ")] = 8.0
    knee_flexion: Annotated[float, deg("knee at the lowest pedal", 0, 30, "riders differ")] = 6.5


class FitPractice(Data):
    """How the builder judges which size fits.

    ``posture_share`` says how far this rider's own posture is trusted against the size
    chart; ``within`` and ``beyond`` how near a size must be, in steps to the next size;
    ``taste_share`` how much of a difference in taste a rider settles by the frame's size.
    """

    posture_share: Annotated[
        float, number("trust in posture", 0, 1, "", "0 is the size chart alone")
    ] = 0.5
    within: Annotated[
        float,
        number("fits as sold in this range", 0.5, 0.99, "steps", "from 1 on three sizes would fit"),
    ] = 0.75
    beyond: Annotated[
        float,
        number(
            "the same beyond the smallest and largest size", 0.5, 3, "steps", "no size lies there"
        ),
    ] = 1.25
    taste_share: Annotated[
        float, number("taste settled by size", 0, 1, "", "the rest is stem, spacers and saddle")
    ] = 0.3
    men_percent: Annotated[
        float, number("men among the riders", 0, 100, "in 100", "the rest are women")
    ] = 50.0
    preference: Preference = Preference()
    flexibility: Annotated[tuple[RiderAnswer, ...], Field(max_length=6)] = ()
    discomfort: Annotated[tuple[RiderAnswer, ...], Field(max_length=12)] = ()


def site_of(address: str) -> str:
    """Scheme, host and port of a web address; "" for what names no site.

    >>> site_of("https://shop.example:8443/bikes?x"), site_of("shop.example")
    ('https://shop.example:8443', '')
    """
    try:
        parts = urlsplit(address)
        host = parts.netloc.rpartition("@")[2]
        _ = parts.port
    except ValueError:
        return ""
    known = parts.scheme in {"http", "https"} and _HOST.fullmatch(host)
    return f"{parts.scheme}://{host}" if known else ""


class Address(Data):
    """The letterhead."""

    name: Name
    lines: Annotated[tuple[Name, ...], Field(max_length=8)]
    country: Annotated[str, Field(max_length=2, description="country, by its two letters")] = ""
    email: Annotated[
        str,
        Field(
            pattern=r"^[^@\s]+@[^@\s]+$",
            max_length=200,
            description="mail address",
            json_schema_extra={"form": "as in desk@shop.example"},
        ),
    ]
    telephone: Annotated[str, Field(max_length=40, description="telephone")] = ""
    web: Annotated[
        str,
        Field(
            pattern=r"^(https?://\S+)?$",
            max_length=200,
            description="own web site",
            json_schema_extra={"form": "as in https://shop.example; empty without one"},
        ),
    ] = ""
    tax_number: Annotated[str, Field(max_length=40, description="tax number")] = ""

    def site(self) -> str:
        """Scheme, host and port of ``web``, as a security policy names a site; "" if it has none.

        Read leniently here, since a shop may have kept an odd address before it was checked
        when written.
        """
        return site_of(self.web)


class Destination(Data):
    """A place bikes are sent to where another tax applies than at home.

    Where prices include the tax there, they stay as listed; elsewhere the home
    tax is taken out of them first and the tax there is added.
    """

    slug: Slug
    name: Name
    tax_name: Name
    tax_percent: TaxPercent
    tax_included: bool = True
    note: Annotated[str, Field(max_length=300, description="printed under the price")] = ""
    needs_tax_number: Annotated[
        bool, Field(description="only for customers who give a VAT number, as in a reverse charge")
    ] = False


class RulePart(Data):
    """One part that a price rule asks for."""

    place: Annotated[
        str, Field(pattern=r"^[a-z_]+$", max_length=40, description="place on the bike, as in fork")
    ]
    part: Slug


class PriceRule(Data):
    """A package price or a surcharge: applies once when all its parts are in a build.

    The amount is in minor units (cents) of the price list's currency; below
    zero it is what the package saves.
    """

    name: Name
    model: Annotated[
        str, Field(max_length=60, description="only for this model; empty: for every one")
    ] = ""
    parts: Annotated[tuple[RulePart, ...], Field(min_length=1, max_length=20)]
    minor: Annotated[
        int,
        number(
            "added to the price; below zero it is taken off",
            -10_000_000,
            10_000_000,
            "in the smallest unit of the currency",
            "no bike costs more",
        ),
    ]


class StartingPoint(Data):
    """A whole build under a short name, shown on the first screen: it sets many parts at once.

    Places it does not name hold what the model usually has; a part of ``none`` leaves a
    place empty.
    """

    name: Annotated[Name, Field(description="as a rider would say it: single speed")]
    words: Annotated[str, Field(max_length=200, description="what it is good for")] = ""
    model: Slug
    parts: Annotated[tuple[RulePart, ...], Field(max_length=20)] = ()
    slot: Annotated[float, mm("axle position", 0, 60, "slots are no longer")] = 0.0
    luggage: Annotated[float, number("luggage", 0, 100, "kg", "mounts carry no more")] = 0.0


class Look(Data):
    """How the shop's pages differ from another shop's: one colour, and the firm's mark.

    ``mark`` is the fingerprint of the mark that is kept; empty where there is none.
    """

    accent: Annotated[
        str, Field(max_length=7, description="accent colour, such as #a2360f; empty: the usual one")
    ] = ""
    mark: Annotated[str, Field(max_length=64, description="fingerprint of the firm's mark")] = ""

    @model_validator(mode="after")
    def _can_be_read(self) -> Self:
        if not self.accent:
            return self
        if not is_colour(self.accent):
            raise Mismatch("accent", tr("a colour as # and six figures, such as #a2360f"))
        ratio = contrast(self.accent, PAPER)
        if ratio < LEAST:
            instead = readable_on_paper(self.accent)
            raise Mismatch(
                "accent",
                tr(
                    "darker: words in it have a contrast of {ratio:.1f} on the paper, and "
                    "{least:g} is needed to be read; {instead} would do",
                    ratio=ratio,
                    least=LEAST,
                    instead=instead,
                ),
            )
        return self


class ShopSettings(Data):
    """What the shop decides once: letterhead, money, times, texts, units."""

    letterhead: Address
    look: Look = Look()
    time_zone: Annotated[
        str, Field(max_length=60, description="time zone, such as Europe/Oslo")
    ] = "UTC"
    number_style: Annotated[
        str,
        Field(
            max_length=20,
            description="language whose signs numbers take; empty: that of the service",
        ),
    ] = ""
    embed_sites: Annotated[
        tuple[Annotated[str, Field(max_length=200)], ...],
        Field(max_length=20, description="further sites that may show the geometry table"),
    ] = ()
    tax_name: Name
    tax_percent: TaxPercent
    deposit_percent: DepositPercent
    how_to_pay: Annotated[
        str,
        Field(
            max_length=1000,
            description="how a deposit is paid",
            json_schema_extra={
                "form": "such as the account it goes to; stated with the confirmation of an "
                "order and with every deposit asked for"
            },
        ),
    ] = ""
    quote_valid_days: Annotated[
        int, number("quote stays valid", 1, 365, "days", "prices change within a year")
    ]
    lead_time_weeks: Annotated[float, number("lead time", 0, 104, "weeks", "nobody waits longer")]
    units: Literal["metric", "imperial"] = "metric"
    paper: Literal["A4", "Letter"] = "A4"
    cautions: Annotated[tuple[Text, ...], Field(description="safety texts on every quote")]
    terms: Annotated[tuple[Text, ...], Field(description="terms printed on every quote")] = ()
    fit_notice: Text
    fit: FitPractice = FitPractice()
    welcome: Text = ""
    destinations: Annotated[tuple[Destination, ...], Field(max_length=60)] = ()
    starting_points: Annotated[tuple[StartingPoint, ...], Field(max_length=40)] = ()
    price_rules: Annotated[tuple[PriceRule, ...], Field(max_length=200)] = ()
    retention_months: Annotated[
        int,
        number(
            "how long names of customers who did not order are kept",
            1,
            120,
            "months",
            "personal data are kept no longer than needed",
        ),
    ] = 24
    confirm_before_order: Annotated[
        bool,
        Field(
            description="a quote asked for on the web can be ordered only after the shop has "
            "confirmed it"
        ),
    ] = True

    @model_validator(mode="after")
    def _known_abroad(self) -> Self:
        if self.time_zone not in available_timezones():
            raise Mismatch("time_zone", tr("a time zone such as Europe/Oslo, or UTC"))
        if self.number_style and not is_locale(self.number_style):
            raise Mismatch("number_style", tr("a language such as nb or de_CH"))
        if any(site_of(each) != each for each in self.embed_sites):
            raise Mismatch("embed_sites", tr("each as in https://shop.example, without a page"))
        return self

    @property
    def framing_sites(self) -> tuple[str, ...]:
        """Sites that may show the geometry table in a frame: the shop's own, and further ones."""
        own = self.letterhead.site()
        return tuple(dict.fromkeys(filter(None, (own, *self.embed_sites))))
