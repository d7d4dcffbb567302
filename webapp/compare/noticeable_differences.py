"""The smallest difference of each figure that a rider feels: common practice, as data.

Every step is common practice of the trade [CP]: the difference at which
builders and fitters expect a rider to notice, mostly the step in which that
part of a bike is sold or set. A difference counts as many times as it holds its
step; the largest count is said first. Of figures that mean the same (wheelbase
and front centre, trail and wheel flop) one is listed, and a figure that follows
from others counts only by what it differs beyond them: grips that are higher
because the whole front is need no second mention.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from webapp.common.text.language import tr

Way = Literal["has", "is", "are"]


@dataclass(frozen=True, kw_only=True)
class Feel:
    """When a rider feels a figure, and how its difference is said.

    Parameters
    ----------
    key : str
        Of the glossary.
    step : float [mm or deg]
        Smallest difference that is felt.
    noun, more, less : str
        Words of the sentence.
    way : {"has", "is", "are"}
        "it has 5 mm more reach", "its wheelbase is 5 mm longer", "its grips are …".
    reason : str
        Why this step.
    follows : tuple of str
        Figures whose differences, added up, explain this one's.
    """

    key: str
    step: float
    noun: str
    more: str
    less: str
    way: Way
    reason: str
    follows: tuple[str, ...] = ()


FEELS: tuple[Feel, ...] = (
    Feel(
        key="reach",
        step=5.0,
        noun=tr("reach"),
        more=tr("more"),
        less=tr("less"),
        way="has",
        reason=tr("half the step in which stems are sold"),
    ),
    Feel(
        key="stack",
        step=5.0,
        noun=tr("stack"),
        more=tr("more"),
        less=tr("less"),
        way="has",
        reason=tr("one thin spacer under the stem"),
    ),
    Feel(
        key="head_angle",
        step=0.5,
        noun=tr("head angle"),
        more=tr("steeper"),
        less=tr("slacker"),
        way="is",
        reason=tr("what 10 mm of fork length makes"),
    ),
    Feel(
        key="effective_seat_angle",
        step=0.5,
        noun=tr("effective seat angle"),
        more=tr("steeper"),
        less=tr("slacker"),
        way="is",
        reason=tr("about 6 mm of saddle on its rails"),
    ),
    Feel(
        key="chainstay_length",
        step=5.0,
        noun=tr("chainstay"),
        more=tr("longer"),
        less=tr("shorter"),
        way="is",
        reason=tr("lifting the front takes noticeably more or less pull"),
    ),
    Feel(
        key="wheelbase",
        step=15.0,
        noun=tr("wheelbase"),
        more=tr("longer"),
        less=tr("shorter"),
        way="is",
        reason=tr("about half the step between two sizes"),
        follows=("chainstay_length",),
    ),
    Feel(
        key="bb_height",
        step=5.0,
        noun=tr("BB"),
        more=tr("higher"),
        less=tr("lower"),
        way="is",
        reason=tr("pedals strike the ground noticeably more or less often"),
    ),
    Feel(
        key="trail",
        step=5.0,
        noun=tr("trail"),
        more=tr("more"),
        less=tr("less"),
        way="has",
        reason=tr("as much as one usual step of fork offset"),
    ),
    Feel(
        key="standover",
        step=15.0,
        noun=tr("standover"),
        more=tr("higher"),
        less=tr("lower"),
        way="is",
        reason=tr("felt only when standing over the top tube"),
        follows=("stack",),
    ),
    Feel(
        key="grip_height",
        step=10.0,
        noun=tr("grips"),
        more=tr("higher"),
        less=tr("lower"),
        way="are",
        reason=tr("one usual spacer under the stem"),
        follows=("stack", "bb_height"),
    ),
    Feel(
        key="grips_to_rear_axle",
        step=10.0,
        noun=tr("grips"),
        more=tr("further ahead of the rear axle"),
        less=tr("nearer to the rear axle"),
        way="are",
        reason=tr(
            "one step of stem length; standing on the pedals, the rider hangs between these two"
        ),
        follows=("reach", "chainstay_length"),
    ),
)
"""Figures a rider feels, each with its step."""
