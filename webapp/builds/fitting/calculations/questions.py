"""Every question that is computed: what it is called, and which places take part in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


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
        "tyre.rear.stated": Question("rear tyre in the frame, as the builder states it", _REAR),
        "tyre.rear.gap": Question("room around the rear tyre", _REAR),
        "tyre.front.stated": Question("front tyre in the fork, as its maker states it", _FRONT),
        "tyre.front.gap": Question("room around the front tyre", _FRONT),
        "tyre.mudguard.rear": Question("rear mudguard under the bridge", ("tyre_rear",)),
        "drive.slot": Question("chain or belt in the slot", _LOOP),
        "drive.axle_position": Question("axle where chain or belt closes"),
        "drive.chain_length": Question("length of the chain", ("transmission", "sprocket", "ring")),
        "drive.ring_room": Question("ring beside the chainstay", ("ring", "crank")),
        "drive.hub_ratio": Question("smallest ratio of the hub", ("sprocket", "ring", "hub")),
        "drive.reaction_arm": Question("reaction arm of the coaster brake", ("hub",)),
        "post.range": Question("saddle height and post", ("post", "saddle")),
        "post.bottle": Question("dropper post and a bottle on the seat tube", ("post", "saddle")),
        "bottle": Question("bottle on its mount"),
        "feet.pedal.unloaded": Question("pedal over the ground, leaning 25°", _PEDAL),
        "feet.pedal.sagged": Question("pedal over the ground, leaning 25°, sagged", _PEDAL),
        "feet.toe.tyre": Question("toe and front tyre", _TOE),
        "feet.toe.mudguard": Question("toe and front mudguard", _TOE),
        "load.rider": Question("rider and luggage"),
        "load.bike": Question("bike, rider and luggage"),
        "load.luggage": Question("luggage on its mounts"),
        "load.front_share": Question("share of the load on the front wheel"),
        "load.usage": Question("riding, classes of EN 17406", ("fork", "rim_rear", "rim_front")),
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
