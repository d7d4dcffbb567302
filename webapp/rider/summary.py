"""A rider in words."""

from __future__ import annotations

from webapp.common.text.language import tr
from webapp.rider.rider_input import MEASURES, Rider

IN_SENTENCE: dict[str, str] = {
    "stature": "height",
    "crotch_height": "inseam",
    "span": tr("arm span"),
    "weight": "weight",
}
"""Landmarks as a rider calls them, in a sentence."""


def rider_summary(rider: Rider) -> str:
    """The measurements a rider gave, in a few words, for a build's page.

    >>> rider_summary(Rider(stature=1720, inseam=815))
    'height 1720 mm, inseam 815 mm'
    """
    said = []
    for measure in MEASURES:
        value = rider.value(measure.name)
        if value is not None:
            unit = "kg" if measure.name == "weight" else "mm"
            said.append(f"{IN_SENTENCE[measure.landmark]} {value:.0f} {unit}")
    return ", ".join(said)
