"""What is sold in each scope: whole bike, frameset, frame alone."""

from __future__ import annotations

from webapp.builds.choice.build_choice import PLACES, SCOPES, Place, Scope


def places_sold(scope: Scope) -> tuple[Place, ...]:
    """Places whose parts are sold in a scope: a whole bike has them all.

    >>> [place.name for place in places_sold("frame")]
    ['finish', 'axle']
    """
    scopes = SCOPES[SCOPES.index(scope) :]
    return tuple(place for place in PLACES if place.scope in scopes)
