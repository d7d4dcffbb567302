"""A rider in words."""

from __future__ import annotations

from webapp.common.text.language import tr
from webapp.common.text.reader import said_height, said_mass, said_measure
from webapp.rider.rider_input import MEASURES, Measure, Rider

IN_SENTENCE: dict[str, str] = {
    "stature": tr("height"),
    "crotch_height": tr("crotch height"),
    "span": tr("arm span"),
    "weight": tr("weight"),
}
"""Landmarks as a rider calls them, in a sentence."""


def rider_summary(rider: Rider) -> str:
    """The measurements a rider gave, in a few words, in the reader's units.

    >>> rider_summary(Rider(stature=1720, inseam=815, weight=72))
    'height 172 cm, crotch height 81.5 cm, weight 72 kg'
    """
    told = ((each, rider.value(each.name)) for each in MEASURES)
    return ", ".join(_measure_words(each, value) for each, value in told if value is not None)


def _measure_words(measure: Measure, value: float) -> str:
    name = IN_SENTENCE[measure.landmark]
    if measure.name == "weight":
        return f"{name} {said_mass(value)}"
    said = said_height if measure.name == "stature" else said_measure
    return f"{name} {said(value)}"
