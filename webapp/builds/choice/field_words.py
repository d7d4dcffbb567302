"""What the fields of a build's address are called, for messages of every page that reads one."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from webapp.builds.choice.build_choice import POSITIONS
from webapp.builds.choice.places import PLACES
from webapp.common.errors import Problem
from webapp.common.text.language import tr
from webapp.rider.rider_input import MEASURES

_LABELS: Mapping[str, str] = MappingProxyType(
    {place.name: place.label for place in PLACES}
    | {position.name: position.label for position in POSITIONS}
    | {measure.name: measure.label for measure in MEASURES}
    | {
        "model": tr("Model"),
        "rev": tr("Revision"),
        "size": tr("Size"),
        "scope": tr("What you order"),
        "build": tr("Build"),
        "extra": tr("Extras"),
        "own": tr("Parts of your own"),
        "state": tr("How it is drawn"),
        "align": tr("Laid over each other at"),
        "sex": tr("Sex"),
        "style": tr("Riding style"),
        "taste": tr("Which of two sizes"),
        "stature_by": tr("How the height is known"),
        "inseam_by": tr("How the crotch height is known"),
        "flexibility": tr("Flexibility"),
        "discomfort": tr("Discomfort"),
        "chainstay": tr("Chainstay length"),
        "gear": tr("Ring teeth to one sprocket tooth"),
    }
)


def field_label(name: str) -> str:
    """The name of a field as its page has it; one that is no part of a build stays as it came.

    >>> field_label("slot"), field_label("tyre_front"), field_label("wings")
    ('Axle position', 'Front tyre', 'wings')
    """
    return _LABELS.get(name, name)


def problem_words(problem: Problem) -> str:
    """What is wrong with a field of the address, in one line.

    >>> problem_words(Problem("slot", "99", "a number from 0 to 24 mm"))
    'Axle position “99” cannot be used: a number from 0 to 24 mm'
    """
    return tr(
        "{label} “{typed}” cannot be used: {remedy}",
        label=field_label(problem.field),
        typed=problem.value,
        remedy=problem.remedy,
    )
