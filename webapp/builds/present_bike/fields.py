"""What is asked about the present bike, field by field."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from webapp.common.text.language import tr

Way = Literal["numbers", "tape", "build"]
WAYS: Mapping[Way, str] = MappingProxyType(
    {
        "tape": tr("By a tape measure"),
        "numbers": tr("By its published numbers"),
        "build": tr("It is a build of ours"),
    }
)


@dataclass(frozen=True, kw_only=True)
class PresentField:
    """One thing that may be typed.

    Parameters
    ----------
    name : str
        Of the field; of a measurement its kind, of a published number its name.
    label, how : str
        What it is called, and how it is found.
    low, high : float
        Its limits.
    unit : "mm", "°" or ""
        ``""`` for a tyre's marking.
    """

    name: str
    label: str
    how: str
    low: float = 0.0
    high: float = 0.0
    unit: Literal["mm", "°", ""] = "mm"


TAPE: tuple[PresentField, ...] = (
    PresentField(
        name="bb_above_floor", label=tr("Crank axle above the floor"),
        how=tr("Bike upright, tape straight down from the middle of the crank axle."),
        low=180, high=500,
    ),
    PresentField(
        name="saddle_above_floor", label=tr("Saddle above the floor"),
        how=tr("From the middle of the saddle, where you sit, straight down."),
        low=180, high=1500,
    ),
    PresentField(
        name="bb_to_saddle", label=tr("Crank axle to saddle"),
        how=tr("Straight from the middle of the crank axle to the same place on the saddle."),
        low=400, high=1100,
    ),
    PresentField(
        name="saddle_behind_bb", label=tr("Saddle behind the crank axle"),
        how=tr("Level, from a plumb line through the crank axle back to the same place."),
        low=1, high=500,
    ),
    PresentField(
        name="grip_above_floor", label=tr("Grips above the floor"),
        how=tr("Lay a straight stick over both grips; straight down from its middle."),
        low=180, high=1500,
    ),
    PresentField(
        name="bb_to_grip", label=tr("Crank axle to grips"),
        how=tr("Straight from the crank axle to the middle of that stick."),
        low=400, high=1300,
    ),
    PresentField(
        name="saddle_to_grip", label=tr("Saddle to grips"),
        how=tr("Straight from the place on the saddle to the middle of that stick."),
        low=250, high=1100,
    ),
)  # fmt: skip
"""Asked for first, heights above the floor before all; any five that fix both points are enough."""

MORE_TAPE: tuple[PresentField, ...] = (
    PresentField(
        name="rear_wheel_round", label=tr("Once round the rear wheel"),
        how=tr("Roll it one turn along the floor and measure how far it went."),
        low=1200, high=2600,
    ),
    PresentField(
        name="front_wheel_round", label=tr("Once round the front wheel"),
        how=tr("Roll it one turn along the floor and measure how far it went."),
        low=1200, high=2600,
    ),
    PresentField(
        name="bb_to_rear_axle", label=tr("Crank axle to rear axle"),
        how=tr("Straight along the chainstay, from middle to middle."), low=300, high=650,
    ),
    PresentField(
        name="bb_to_front_axle", label=tr("Crank axle to front axle"),
        how=tr("Straight from middle to middle, the fork pointing ahead."), low=450, high=1000,
    ),
    PresentField(
        name="wheelbase", label=tr("Axle to axle"),
        how=tr("From the middle of the rear axle to the middle of the front axle."),
        low=800, high=1600,
    ),
    PresentField(
        name="saddle_to_rear_axle", label=tr("Saddle to rear axle"),
        how=tr("Straight from the place on the saddle to the middle of the rear axle."),
        low=300, high=1200,
    ),
    PresentField(
        name="saddle_to_front_axle", label=tr("Saddle to front axle"),
        how=tr("Straight from the place on the saddle to the middle of the front axle."),
        low=500, high=1700,
    ),
    PresentField(
        name="grip_to_rear_axle", label=tr("Grips to rear axle"),
        how=tr("Straight from the middle of the stick to the middle of the rear axle."),
        low=500, high=1600,
    ),
    PresentField(
        name="grip_to_front_axle", label=tr("Grips to front axle"),
        how=tr("Straight from the middle of the stick to the middle of the front axle."),
        low=300, high=1200,
    ),
)  # fmt: skip
"""Measurements that say where the axles are, and check the others."""

NUMBERS: tuple[PresentField, ...] = (
    PresentField(name="reach", label=tr("Reach"),
        how=tr("Level, from the crank axle to the head tube's top."), low=250, high=650),
    PresentField(name="stack", label=tr("Stack"),
        how=tr("Straight up from the crank axle to the head tube's top."), low=350, high=850),
    PresentField(name="head_angle", label=tr("Head angle"),
        how=tr("Of the steering axis, from the level."), low=55, high=80, unit="°"),
    PresentField(name="seat_tube_angle", label=tr("Seat angle"),
        how=tr("At your saddle height, if the table has it; used where no setback is given."),
        low=55, high=90, unit="°"),
    PresentField(name="chainstay_length", label=tr("Chainstay"),
        how=tr("Crank axle to rear axle."), low=300, high=650),
    PresentField(name="bb_drop", label=tr("BB drop"),
        how=tr("How far the crank axle lies below the rear axle."), low=-60, high=120),
    PresentField(name="rear_tyre", label=tr("Rear tyre"),
        how=tr("As moulded on its side, such as 60-622."), unit=""),
    PresentField(name="front_tyre", label=tr("Front tyre"),
        how=tr("The same as the rear one if left empty."), unit=""),
    PresentField(name="fork_offset", label=tr("Fork offset"),
        how=tr("Also called rake: how far the axle lies ahead of the steering axis."),
        low=0, high=100),
    PresentField(name="fork_longer", label=tr("Fork longer than published"),
        how=tr("Axle to crown, if your fork is not the one in the table; −20 for 20 mm shorter."),
        low=-150, high=150),
    PresentField(name="stem_length", label=tr("Stem length"),
        how=tr("Middle of the steerer to middle of the bar."), low=0, high=180),
    PresentField(name="stem_angle", label=tr("Stem angle"),
        how=tr("Above square to the steerer; −6 for a stem that falls."),
        low=-60, high=60, unit="°"),
    PresentField(name="spacers", label=tr("Spacers under the stem"),
        how=tr("All of them together."), low=0, high=100),
    PresentField(name="bar_rise", label=tr("Bar rise"),
        how=tr("From the clamp up to the grips."), low=-60, high=150),
    PresentField(name="bar_width", label=tr("Bar width"),
        how=tr("Over both ends."), low=350, high=950),
    PresentField(name="bar_backsweep", label=tr("Bar backsweep"),
        how=tr("How far the grips point back."), low=-10, high=60, unit="°"),
    PresentField(name="saddle_height", label=tr("Saddle height"),
        how=tr("Straight from the crank axle to the top of the saddle."), low=400, high=1100),
    PresentField(name="saddle_setback", label=tr("Saddle setback"),
        how=tr("Level, from the crank axle back to where you sit on the saddle."),
        low=-100, high=500),
)  # fmt: skip
"""Numbers from the table and the parts; those of the parts have a wide spread if left out."""

BUILD = PresentField(
    name="ours", label=tr("Link of the build"), unit="",
    how=tr("From its page, or one that was sent to you."),
)  # fmt: skip

WISHES: tuple[PresentField, ...] = (
    PresentField(name="closer", label=tr("Hands closer by"),
        how=tr("In mm; −15 for 15 mm further away."), low=-150, high=150),
    PresentField(name="higher", label=tr("Hands higher by"),
        how=tr("In mm; −15 for 15 mm lower."), low=-150, high=150),
    PresentField(name="saddle_back", label=tr("Saddle further back by"),
        how=tr("In mm; −15 for 15 mm further forward."), low=-150, high=150),
    PresentField(name="saddle_up", label=tr("Saddle higher by"),
        how=tr("In mm; −15 for 15 mm lower."), low=-150, high=150),
    PresentField(name="saddle_down", label=tr("Saddle must go down by"),
        how=tr("How far below where you sit it must be able to go, for getting off or steep "
               "ground."), low=0, high=400),
)  # fmt: skip
"""What should be different; two further fields, the feel and whether it is right, are chosen."""

FEELS: Mapping[str, str] = MappingProxyType(
    {"": tr("as it is"), "calmer": tr("calmer"), "livelier": tr("livelier")}
)

FIELD_OF: Mapping[str, PresentField] = MappingProxyType(
    {field.name: field for field in (*TAPE, *MORE_TAPE, *NUMBERS, BUILD, *WISHES)}
)

NAMES: tuple[str, ...] = ("way", *FIELD_OF, "feel", "right")
"""Every field of the present bike, in the order of its address."""
