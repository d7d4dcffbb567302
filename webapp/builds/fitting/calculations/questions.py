"""Every question that is computed: what it is called, and which places take part in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from webapp.common.text.language import tr


@dataclass(frozen=True)
class Question:
    """One question.

    Parameters
    ----------
    label : str
        In the trade's words.
    places : tuple of str
        Whose parts can change the answer, the likeliest first.
    """

    label: str
    places: tuple[str, ...] = ()


_REAR = ("tyre_rear", "rim_rear")
_FRONT = ("tyre_front", "rim_front", "fork")
_LOOP = ("sprocket", "ring", "transmission", "hub")
_PEDAL = ("crank", "pedal", "tyre_rear", "tyre_front", "fork", "headset")
_TOE = ("crank", "pedal", "tyre_front", "fork", "headset")

QUESTIONS: Mapping[str, Question] = MappingProxyType(
    {
        "tyre.rear.stated": Question(tr("rear tyre in the frame, as the builder states it"), _REAR),
        "tyre.rear.gap": Question(tr("room around the rear tyre"), _REAR),
        "tyre.front.stated": Question(tr("front tyre in the fork, as its maker states it"), _FRONT),
        "tyre.front.gap": Question(tr("room around the front tyre"), _FRONT),
        "tyre.mudguard.rear": Question(tr("rear mudguard under the bridge"), ("tyre_rear",)),
        "drive.slot": Question(tr("chain or belt in the slot"), _LOOP),
        "drive.axle_position": Question(tr("axle where chain or belt closes")),
        "drive.chain_length": Question(
            tr("length of the chain"), ("transmission", "sprocket", "ring")
        ),
        "drive.ring_room": Question(tr("ring beside the chainstay"), ("ring", "crank")),
        "drive.hub_ratio": Question(tr("smallest ratio of the hub"), ("sprocket", "ring", "hub")),
        "drive.reaction_arm": Question(tr("reaction arm of the coaster brake"), ("hub",)),
        "post.range": Question(tr("saddle height and post"), ("post", "saddle")),
        "post.bottle": Question(
            tr("dropper post and a bottle on the seat tube"), ("post", "saddle")
        ),
        "bottle": Question(tr("bottle on its mount")),
        "feet.pedal.unloaded": Question(tr("pedal over the ground, leaning 25°"), _PEDAL),
        "feet.pedal.sagged": Question(tr("pedal over the ground, leaning 25°, sagged"), _PEDAL),
        "feet.toe.tyre": Question(tr("toe and front tyre"), _TOE),
        "feet.toe.mudguard": Question(tr("toe and front mudguard"), _TOE),
        "load.rider": Question(tr("rider and luggage")),
        "load.bike": Question(tr("bike, rider and luggage")),
        "load.luggage": Question(tr("luggage on its mounts")),
        "load.front_share": Question(tr("share of the load on the front wheel")),
        "load.usage": Question(
            tr("riding, classes of EN 17406"), ("fork", "rim_rear", "rim_front")
        ),
    }
)
"""By code; an answer about one of several things adds its name (``bottle.bottle-600``)."""


def question_of(code: str) -> Question | None:
    """The question of a check's code; None for a rule's.

    >>> question_of("bottle.bottle-600").label
    'bottle on its mount'
    """
    while code not in QUESTIONS and "." in code:
        code = code.rpartition(".")[0]
    return QUESTIONS.get(code)
