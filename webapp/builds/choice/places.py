"""Every place on a bike that takes a part, and what is sold in each scope."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Literal, get_args

from webapp.catalogue.reading.views import Catalogue
from webapp.common.text.language import tr

Scope = Literal["bike", "frameset", "frame"]
"""What is sold: the whole bike, frame with fork and headset, or the frame alone."""

SCOPES: tuple[Scope, ...] = get_args(Scope)


@dataclass(frozen=True)
class Place:
    """One place on the bike that takes one part, or none where it is ``optional``."""

    name: str
    kind: str
    label: str
    scope: Scope = "bike"
    optional: bool = False


PLACES: tuple[Place, ...] = (
    Place("finish", "finish", tr("Finish"), "frame"),
    Place("fork", "fork", tr("Fork"), "frameset"),
    Place("headset", "headset", tr("Headset"), "frameset"),
    Place("rim_front", "rim", tr("Front rim")),
    Place("tyre_front", "tyre", tr("Front tyre")),
    Place("front_hub", "front-hub", tr("Front hub")),
    Place("rim_rear", "rim", tr("Rear rim")),
    Place("tyre_rear", "tyre", tr("Rear tyre")),
    Place("hub", "hub", tr("Rear hub and drive")),
    Place("axle", "axle", tr("Rear axle"), "frame"),
    Place("stem", "stem", tr("Stem")),
    Place("handlebar", "handlebar", tr("Handlebar")),
    Place("post", "post", tr("Seat post")),
    Place("saddle", "saddle", tr("Saddle")),
    Place("crank", "crank", tr("Crank")),
    Place("pedal", "pedal", tr("Pedals"), optional=True),
    Place("ring", "ring", tr("Ring")),
    Place("sprocket", "sprocket", tr("Sprocket or cassette")),
    Place("transmission", "transmission", tr("Chain or belt")),
    Place("derailleur", "derailleur", tr("Derailleur"), optional=True),
    Place("brake", "brake", tr("Brakes"), optional=True),
)
"""Every place in the order it is listed; a new one is one more line here."""

PLACE_OF: Mapping[str, Place] = MappingProxyType({place.name: place for place in PLACES})

NONE = "none"
"""How an address says that an optional place is left empty."""


MADE_HERE = frozenset({"finish"})
"""Places for which a customer cannot bring a part."""


@cache
def places_sold(scope: Scope) -> tuple[Place, ...]:
    """Places whose parts are sold in a scope: a whole bike has them all.

    >>> [place.name for place in places_sold("frame")]
    ['finish', 'axle']
    """
    scopes = SCOPES[SCOPES.index(scope) :]
    return tuple(place for place in PLACES if place.scope in scopes)


def scope_words(catalogue: Catalogue, scope: Scope) -> str:
    """What is sold in a scope, in words; a shop without headsets sells a fork alone."""
    words: Mapping[str, str] = catalogue.memory.of("scope words", lambda: _scope_words(catalogue))
    return words[scope]


def _scope_words(catalogue: Catalogue) -> Mapping[str, str]:
    return {
        "bike": tr("whole bike"),
        "frameset": tr("frame, fork and headset")
        if catalogue.sells("headset")
        else tr("frame and fork"),
        "frame": tr("frame alone"),
    }


def lacks(catalogue: Catalogue, scope: Scope) -> tuple[Place, ...]:
    """Places of a scope that must be filled and of whose kind the shop sells nothing.

    A frameset needs its fork alone: a shop without headsets sells it without.
    """
    return catalogue.memory.of(("lacks", scope), lambda: _lacks(catalogue, scope))


def _lacks(catalogue: Catalogue, scope: Scope) -> tuple[Place, ...]:
    needed = [place for place in places_sold(scope) if not place.optional]
    if scope == "frameset":
        needed = [PLACE_OF["fork"]]
    elif scope == "frame":
        needed = []
    return tuple(
        place
        for place in needed
        if place.kind not in _WITH_FRAME and not catalogue.sells(place.kind)
    )


_WITH_FRAME = frozenset({"finish", "axle"})  # a frame may be sold with neither


def widest_scope(catalogue: Catalogue) -> Scope:
    """The most that the shop sells whole: a bike, else a frameset, else the frame."""
    return next(scope for scope in SCOPES if not lacks(catalogue, scope))
