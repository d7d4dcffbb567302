"""The fields of a rider's measures: why each is asked, how to measure, what was typed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal

from markupsafe import Markup

from webapp.common.errors import Problem
from webapp.common.text.language import tr
from webapp.common.web.choices import Option
from webapp.drawing.guides.measuring_guide import measuring, measuring_words
from webapp.fit.words.doubt_text import read_as
from webapp.rider.rider_input import Measure, ReadRider


@dataclass(frozen=True, kw_only=True)
class MeasureField:
    """One field of a measurement: why it is asked, how it is taken, the ways it can be known."""

    name: str
    label: str
    value: str
    why: str
    example: str
    error: str
    read_as: str
    how_title: str
    how_words: str
    how_drawing: Markup
    ways: tuple[Option, ...]


_WHY: Mapping[str, tuple[str, str]] = {
    "stature": (tr("Enough for a first answer."), tr("5 ft 8, 172 cm or 1.72 m")),
    "inseam": (
        tr("Sets the saddle’s height and the room to stand over the top tube."),
        tr("32 in or 81 cm"),
    ),
    "span": (
        tr("Long arms reach further: it can decide between two sizes."),
        tr("68 in or 173 cm"),
    ),
    "weight": (tr("Improves the estimate of your build, and is compared with the load the bike "
                  "may carry."),
               tr("75 kg, 165 lb or 11 st 11")),
}  # fmt: skip


_WAYS: Mapping[str, tuple[Option, ...]] = {
    "stature": (
        Option(value="memory", label=tr("from memory")),
        Option(value="wall", label=tr("measured against a wall")),
    ),
    "inseam": (
        Option(value="floor", label=tr("floor to crotch, measured with a book")),
        Option(value="trousers", label=tr("the inseam my trousers are labelled with")),
    ),
}


def error_words(problem: Problem) -> str:
    return tr("“{value}” cannot be used: {remedy}", value=problem.value, remedy=problem.remedy)


def measure_field(measure: Measure, read: ReadRider) -> MeasureField:
    why, example = _WHY[measure.name]
    error = next((error_words(p) for p in read.problems if p.field == measure.name), "")
    title, words, drawing = "", "", Markup("")
    if measure.name != "weight":
        title, words = measuring_words(measure.name)
        drawing = _how_drawing(measure.name)
    return MeasureField(
        name=measure.name,
        label=measure.label,
        value=read.typed.get(measure.name, ""),
        why=why,
        example=example,
        error=error,
        read_as=read_as(read, measure.name),
        how_title=title,
        how_words=words,
        how_drawing=drawing,
        ways=_WAYS.get(measure.name, ()),
    )


@cache
def _how_drawing(measure: Literal["stature", "inseam", "span"]) -> Markup:
    return Markup(measuring(measure))  # noqa: S704  # drawn from numbers alone
