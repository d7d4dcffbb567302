"""What was refused of a new model, said at the fields of its form and in their words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType

from webapp.common.errors import DomainError, Problem
from webapp.common.text.language import tr
from webapp.office.models.new_form import is_chosen, labels_of
from webapp.office.models.new_model import LEFT_EMPTY, NewSize

_PATHS: Mapping[str, str] = MappingProxyType(
    {
        "shared.drawn_with.axle_to_crown": "axle_to_crown",
        "shared.drawn_with.offset": "offset",
        "shared.drawn_with.travel": "travel",
        "shared.drawn_with.lower_headset_stack": "lower_headset_stack",
        "shared.drawn_with.front_radius": "tyre_width",
        "shared.drawn_with.rear_radius": "tyre_width",
        "shared.rear_axles": "rear_axle",
        "shared.tyre_room": "tyre_recommended",
        "shared.bottom_bracket.standard": "bottom_bracket",
        "shared.bottom_bracket.chainline_min": "chainline_min",
        "shared.bottom_bracket.chainline_max": "chainline_max",
        "shared.fork.steerer_fits": "head_tube",
        "shared.fork.axle_to_crown_min": "fork_shortest",
        "shared.fork.axle_to_crown_max": "fork_longest",
        "shared.fork.travel_max": "travel_max",
        "shared.post_diameter": "post_diameter",
        "shared.clamp_diameter": "post_diameter",
        "shared.tyre_room.0.bead_seat_diameter": "rim",
        "shared.tyre_room.0.recommended": "tyre_recommended",
        "shared.tyre_room.0.largest": "tyre_largest",
        "shared.rings.chainline": "ring_chainline",
        "shared.rings.smallest": "ring_smallest",
        "shared.rings.largest_chain": "ring_largest",
        "shared.masses.rider_and_luggage": "mass_rider",
        "shared.masses.whole_bike": "mass_whole",
        "shared.usage_class": "usage_class",
        "shared.spacers.most": "spacers",
        "shared.rear_brake.mount": "rear_brake",
        "shared.rear_brake.rotor_min": "rotor_min",
        "shared.rear_brake.rotor_max": "rotor_max",
    }
)
"""Which field of the form a refusal of the data is about."""


def on_the_form(
    error: DomainError, sizes: Iterable[NewSize], texts: Mapping[str, str]
) -> DomainError:
    """The same refusal with the form's own fields, each once and in their order.

    Parameters
    ----------
    error : DomainError
        Its fields are paths of the data.
    sizes : iterable of NewSize
        Those in the table.
    texts : mapping of field to text
        The form as it was sent.
    """
    order = list(labels_of(sizes, texts))
    at: dict[str, Problem] = {}
    for problem in error.problems:
        for name in _fields_of(problem.field, order, texts):
            at.setdefault(name, Problem(name, problem.value, _remedy(problem, name, order, texts)))
    place = {name: number for number, name in enumerate(order)}
    return type(error).of(sorted(at.values(), key=lambda one: place.get(one.field, -1)))


def _fields_of(path: str, order: list[str], texts: Mapping[str, str]) -> tuple[str, ...]:
    """The form's fields for a path of the data; of a group that is missing, its empty cells."""
    within = [name for name in order if name.startswith(f"{path}.")]
    empty = [
        name
        for name in within
        if not texts.get(name, "").strip() and name.partition(".")[2] not in LEFT_EMPTY
    ]
    return tuple(empty) or (_PATHS.get(path, path),)


def _remedy(problem: Problem, name: str, order: list[str], texts: Mapping[str, str]) -> str:
    if name not in order or texts.get(name, "").strip():
        return problem.remedy
    return tr("choose one from the list") if is_chosen(name) else tr("needed")
