"""An outcome as evidence: the rider on that bike, compared with the builder's numbers of today."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType
from urllib.parse import parse_qs

import numpy as np

from geometry.core import GeometryError
from geometry.population import Ride, line_verdicts, ride_of, verdict_chances
from geometry.sizing import Run, size_up
from webapp.builds.choice.build_choice import BuildChoice, query_of, read_choice
from webapp.catalogue.reading.views import Catalogue, StyleView
from webapp.catalogue.schema.cockpit_parts import HandlebarData, StemData
from webapp.common.errors import DomainError
from webapp.common.memory import Same
from webapp.fit.candidate_builds import Fitting, candidate_builds
from webapp.fit.run import asks_of, lean_of, run_for, usual_choice
from webapp.outcomes.store import Body, Kept
from webapp.outcomes.tables import AFTER_MONTHS
from webapp.rider.body import belief_of
from webapp.rider.rider_input import Rider, read_rider, rider_pairs

FORETELLING_DRAWS = 600
"""Bodies drawn for a chance stored with an outcome; good to about 2 in 100."""


def build_of(catalogue: Catalogue, build: str) -> BuildChoice:
    """A build from its canonical query, the usual part where one is gone."""
    return read_choice(catalogue, parse_qs(build)).choice


def as_ridden(choice: BuildChoice) -> str:
    """The canonical query of a build without its rider."""
    return query_of(replace(choice, rider=None))


def rider_of(catalogue: Catalogue, pairs: Mapping[str, str]) -> Rider:
    """A rider from the fields kept."""
    return read_rider(catalogue, {name: [value] for name, value in pairs.items()}).rider


def foretold(
    catalogue: Catalogue, choice: BuildChoice, rider: Rider, *, bought: bool
) -> Body | None:
    """The forecast for a rider on a bike, stored beside what happened.

    Parameters
    ----------
    catalogue : Catalogue
        Of the bike's revision.
    choice : BuildChoice
        The bike as ridden.
    rider : Rider
        With a height or an inseam.
    bought : bool
        Whether the rider chose this size, and was not only lent it.

    Returns
    -------
    Body or None
        None where nothing can be foretold: no chart, a leg too short.
    """
    try:
        style = catalogue.style(rider.style)
        builds = candidate_builds(catalogue, choice)
        run = run_for(catalogue, builds, style)
        fit = size_up(
            belief_of(rider),
            run,
            [stood.cockpits for stood in builds.stands],
            asks=asks_of(catalogue, rider),
            lean=lean_of(run, rider),
            given=rider.measurements(),
            draws=FORETELLING_DRAWS,
        )
        ride = ride_on(catalogue, catalogue, choice, rider, said=(0, None), bought=bought)
    except (DomainError, GeometryError):
        return None
    likeliest = max(fit.sizes, key=lambda size: size.best)
    slugs = {size.name: size.slug for size in catalogue.sizes}
    numbers = np.array([0.0, 0.0, run.rules.posture_share])
    short, right, long = verdict_chances(line_verdicts([ride]), numbers)[:, 0].round(4).tolist()
    return Body(
        rider=MappingProxyType(dict(rider_pairs(rider))),
        named=slugs[likeliest.size],
        chance=round(likeliest.best, 4),
        verdicts=(short, right, long),
    )


def ride_on(
    today: Catalogue,
    then: Catalogue,
    choice: BuildChoice,
    rider: Rider,
    *,
    said: tuple[int, int | None],
    bought: bool,
) -> Ride:
    """A rider's verdict on a bike, as evidence for the builder's line of today.

    Parameters
    ----------
    today : Catalogue
        Whose chart, windows and rules are to be learnt about.
    then : Catalogue
        Of the revision the bike is of.
    choice : BuildChoice
        The bike as ridden, of that revision.
    rider : Rider
    said : tuple of int
        Of the length, and of the grips' height; None for nothing said of it.
    bought : bool
        Whether the rider chose this size, and was not only lent it.

    Returns
    -------
    Ride

    Raises
    ------
    Invalid
        No size chart, a style or size that is gone.
    GeometryError
        A bike or rider that cannot be computed.
    """
    style = today.style(rider.style)
    run = _run_on(today, choice, style)
    builds = candidate_builds(then, choice)
    place = [size.slug for size in then.sizes].index(choice.size)
    fitting = Fitting(
        stem=then.part(StemData, choice.part("stem")),
        handlebar=then.part(HandlebarData, choice.part("handlebar")),
        spacers=choice.spacers,
    )
    known = [size.slug for size in today.sizes]
    size = known.index(choice.size) if choice.size in known else min(place, len(known) - 1)
    return ride_of(
        run,
        belief_of(rider),
        size=size,
        ridden=builds.stands[place].row_with(fitting),
        said=said[0],
        height_said=said[1],
        bought=bought,
        asks=asks_of(today, rider),
        lean=lean_of(run, rider),
    )


def _run_on(today: Catalogue, choice: BuildChoice, style: StyleView) -> Run:
    """Today's sizes on the fork, wheels and axle position of a bike, where they are still had."""
    here = build_of(today, as_ridden(replace(choice, revision=today.revision.number)))
    try:
        builds = candidate_builds(today, here)
    except (DomainError, GeometryError):
        builds = candidate_builds(today, usual_choice(today))
    return run_for(today, builds, style)


_MOST_KEPT = 2000


def ride_of_outcome(today: Catalogue, then: Catalogue, kept: Kept) -> Ride | None:
    """An outcome kept, as evidence, remembered while the catalogue of today lives.

    Parameters
    ----------
    today, then : Catalogue
        As `ride_on`.
    kept : Kept

    Returns
    -------
    Ride or None
        None without measurements, or where it cannot be computed.
    """
    cache = today.memory.nested("rides told of", most=_MOST_KEPT)
    return cache.of((Same(then), repr(kept)), lambda: _ride_of(today, then, kept))


def _ride_of(today: Catalogue, then: Catalogue, kept: Kept) -> Ride | None:
    if kept.body is None:
        return None
    try:
        rider = replace(rider_of(today, kept.body.rider), style=kept.style)
        choice = build_of(then, kept.build)
        said, bought = (kept.length, kept.height), kept.moment == AFTER_MONTHS
        return ride_on(today, then, choice, rider, said=said, bought=bought)
    except (DomainError, GeometryError, ValueError):
        return None
