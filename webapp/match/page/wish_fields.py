"""What may be wished on the page, field by field."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from webapp.common.text.language import tr

SOURCES: Mapping[str, str] = MappingProxyType(
    {
        "present": tr("the bike I ride now"),
        "fit": tr("what fit advises for my body"),
        "typed": tr("a position I type"),
    }
)
"""Where the target may come from."""

FORKS: Mapping[str, tuple[float, float]] = MappingProxyType(
    {"any-rigid": (0.0, 0.0), "any-suspension": (1.0, math.inf)}
)
"""Forks that may be asked for by their travel, beside each by its name."""


@dataclass(frozen=True, kw_only=True)
class Bounded:
    """A figure that may be wished between two bounds, each a field of its own."""

    key: str
    label: str
    unit: str
    low: float
    high: float

    @property
    def names(self) -> tuple[str, str]:
        """The fields of the least and of the most."""
        return f"least_{self.key}", f"most_{self.key}"

    def not_above(self, most: str) -> str:
        """What would be right for a least above the most."""
        return tr("{figure}: at most the {most} beside it", figure=self.label, most=most)


@dataclass(frozen=True, kw_only=True)
class WishField:
    """One number that may be wished, with its limits and what an empty field means."""

    name: str
    label: str = ""
    why: str = ""
    low: float
    high: float
    unset: float = math.nan

    @classmethod
    def of(cls, bounded: Bounded, name: str, unset: float) -> WishField:
        """One end of a bounded figure."""
        return cls(name=name, low=bounded.low, high=bounded.high, unset=unset)


POINTS: tuple[WishField, ...] = (
    WishField(name="grips_ahead", label=tr("Grips ahead of the crank axle"),
              why=tr("Level, in mm."), low=-200, high=1200),
    WishField(name="grips_up", label=tr("Grips above the crank axle"),
              why=tr("Straight up, in mm."), low=0, high=1400),
    WishField(name="saddle_behind", label=tr("Saddle behind the crank axle"),
              why=tr("Level, in mm."), low=-300, high=700),
    WishField(name="saddle_above", label=tr("Saddle above the crank axle"),
              why=tr("Straight up, in mm."), low=0, high=1200),
)  # fmt: skip
"""A position that is typed."""

SHIFTS: tuple[WishField, ...] = (
    WishField(name="closer", label=tr("Hands closer by"),
              why=tr("In mm; −15 for 15 mm further away."), low=-150, high=150, unset=0),
    WishField(name="higher", label=tr("Hands higher by"),
              why=tr("In mm; −15 for 15 mm lower."), low=-150, high=150, unset=0),
)  # fmt: skip

TOLERANCE = WishField(
    name="tolerance", label=tr("Near enough"),
    why=tr("Among builds nearer than this many mm the price decides; 10 if left empty."),
    low=0, high=200, unset=10,
)  # fmt: skip

BOUNDED: tuple[Bounded, ...] = (
    Bounded(key="price", label=tr("Price"), unit="", low=0, high=1e6),
    Bounded(key="mass", label=tr("Mass"), unit=tr("kg"), low=0, high=60),
    Bounded(key="lead_time", label=tr("Lead time"), unit=tr("weeks"), low=0, high=200),
    Bounded(key="head_angle", label=tr("Head angle"), unit="°", low=50, high=85),
    Bounded(key="bb_height", label=tr("BB height"), unit="mm", low=150, high=500),
    Bounded(key="chainstay_length", label=tr("Chainstay"), unit="mm", low=250, high=700),
    Bounded(key="trail", label=tr("Trail"), unit="mm", low=-100, high=250),
    Bounded(key="wheelbase", label=tr("Wheelbase"), unit="mm", low=700, high=1700),
    Bounded(key="standover", label=tr("Standover"), unit="mm", low=300, high=1100),
)
"""Figures that may be wished between bounds on the page; the interface knows more."""

BOUNDED_OF: Mapping[str, Bounded] = MappingProxyType({each.key: each for each in BOUNDED})
