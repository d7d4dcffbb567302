"""Builds that the tests of what fits are asked about."""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType

from webapp.builds.choice.build_choice import BuildChoice, read_choice
from webapp.builds.choice.places import PLACES, SCOPES
from webapp.builds.fitting.calculations.drive_tables import closings
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.checks import fit_checks
from webapp.builds.fitting.sentences import WordedCheck
from webapp.catalogue.reading.views import Catalogue
from webapp.rider.rider_input import Rider

Fields = Mapping[str, str | list[str]]

COASTER: Fields = {
    "hub": "single-coaster-135",
    "axle": "nutted-10x135",
    "ring": "single-32",
    "sprocket": "lug-20",
    "transmission": "chain-wide",
    "derailleur": "none",
    "brake": "disc-front-180",
}
BELT: Fields = {
    "hub": "hub-gear-6-135",
    "axle": "nutted-10x135",
    "ring": "belt-44",
    "sprocket": "belt-24",
    "transmission": "belt",
    "derailleur": "none",
}
SMALL_WHEELS: Fields = {
    "rim_front": "584-38",
    "rim_rear": "584-38",
    "tyre_front": "74-584",
    "tyre_rear": "74-584",
}


def chosen(catalogue: Catalogue, fields: Fields | None = None, **more: str) -> BuildChoice:
    """A build by the fields of its address."""
    query = {**(fields or {}), **more}
    lists = {name: [v] if isinstance(v, str) else list(v) for name, v in query.items()}
    return read_choice(catalogue, lists).strict()


def setup_of(catalogue: Catalogue, fields: Fields | None = None, **more: str) -> Setup:
    """The same, as it is judged."""
    return setup_for(catalogue, chosen(catalogue, fields, **more))


def closed(catalogue: Catalogue, fields: Fields, **more: str) -> Fields:
    """The fields with the axle at the first position where the build's chain or belt closes."""
    first = closings(setup_of(catalogue, fields, **more))[0]
    return {**fields, **more, "slot": f"{first.new:.1f}"}


def setup_for(catalogue: Catalogue, choice: BuildChoice) -> Setup:
    """A build as it is judged."""
    return Setup.of(catalogue, choice)


def checks_of(catalogue: Catalogue, choice: BuildChoice) -> dict[str, WordedCheck]:
    """Every check of a build, by its code."""
    found = fit_checks(Setup.of(catalogue, choice))
    return {check.code: check for check in found}


RIDERS = (
    None,
    Rider(stature=1640.0, style="trail"),
    Rider(stature=1890.0, weight=96.0),
    Rider(weight=120.0),
)


def random_builds(catalogue: Catalogue, dice: random.Random, count: int) -> Iterator[BuildChoice]:
    """Builds that differ from the usual one in a few parts, positions, wishes and riders."""
    usual = read_choice(catalogue, {}).strict()
    styles = [style.slug for style in catalogue.styles]
    extras = [part.slug for part in catalogue.offered("extra")]
    for _ in range(count):
        size = dice.choice(catalogue.sizes)
        changed: dict[str, str] = {}
        for place in dice.sample(PLACES, dice.choice((1, 2, 4))):
            offered = [part.slug for part in catalogue.offered(place.kind)]
            changed[place.name] = dice.choice(offered or [""])
        rider = dice.choice(RIDERS)
        some = set(dice.sample(extras, min(dice.choice((0, 2)), len(extras))))
        yield replace(
            usual,
            size=size.slug,
            scope=dice.choice(("bike", "bike", "bike", *SCOPES)),
            parts=MappingProxyType({**usual.parts, **changed}),
            extras=tuple(slug for slug in extras if slug in some),
            slot=round(dice.uniform(0, size.data.slot_length), 1),
            mud=dice.choice((None, 4.0)),
            sag=dice.choice((None, 35.0)),
            luggage=dice.choice((None, 12.0)),
            usage=dice.choice((None, 4.0)),
            saddle_height=dice.choice((None, 690.0)),
            rider=rider and replace(rider, style=dice.choice(styles)),
        )
