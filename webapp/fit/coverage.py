"""Which people a model's sizes fit in one riding style, over people drawn from the body model."""

from __future__ import annotations

from functools import lru_cache

from geometry.core import GeometryError
from geometry.population import People, Served, draw_people, serve
from webapp.catalogue.reading.views import Catalogue, StyleView
from webapp.common.errors import Invalid, Problem
from webapp.common.memory import Same
from webapp.fit.candidate_builds import candidate_builds
from webapp.fit.run import run_for, usual_choice

_MOST_KEPT = 16


@lru_cache(maxsize=8)
def people_for(share_of_men: float) -> People:
    """Adults with a share [1] of men; always the same people."""
    return draw_people(share_of_men=share_of_men)


def served(catalogue: Catalogue, style: StyleView, *, share_of_men: float) -> Served:
    """How the sizes of a catalogue fit people, cached as long as its builds are.

    Parameters
    ----------
    catalogue : Catalogue
        Of any revision, drafts too.
    style : StyleView
    share_of_men : float
        Among the people to be served [1].

    Returns
    -------
    Served
        On the builder's usual fork, wheels and axle position, each size as it is sold.

    Raises
    ------
    Invalid
        No size chart, or sizes that cannot be computed.
    """
    try:
        builds = candidate_builds(catalogue, usual_choice(catalogue))
        cache = catalogue.memory.nested("people served", most=_MOST_KEPT)
        return cache.of(
            (Same(builds), style.slug, share_of_men),
            lambda: serve(
                run_for(catalogue, builds, style),
                [stood.cockpits for stood in builds.stands],
                people_for(share_of_men),
            ),
        )
    except GeometryError as error:
        raise Invalid.of([Problem.of(error)]) from error
