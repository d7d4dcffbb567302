"""Where no size fits as sold: another fork, other wheels, another frame, tried one by one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Literal
from urllib.parse import quote, urlencode
from weakref import WeakKeyDictionary

from geometry.core import GeometryError
from geometry.sizing import judge_sizes, needed
from webapp.builds.choice.build_choice import BuildChoice
from webapp.builds.choice.places import NONE, PLACES
from webapp.builds.choice.wheel_sets import wheel_choices, wheel_words
from webapp.builds.evaluation import compute
from webapp.catalogue.reading.views import Catalogue, SizeView
from webapp.common.errors import DomainError
from webapp.fit.candidate_builds import CandidateBuilds, as_sold, candidate_builds
from webapp.fit.run import asks_of, lean_of, run_for, usual_choice
from webapp.rider.body import belief_of
from webapp.rider.rider_input import Rider, rider_pairs

Kind = Literal["fork", "wheels", "frame"]


@dataclass(frozen=True, kw_only=True)
class Way:
    """One thing changed, on which sizes fit as sold.

    Parameters
    ----------
    kind : {'fork', 'wheels', 'frame'}
    name : str
        The fork, the wheel sizes, or the frame.
    sizes : tuple of str
        Slugs of the sizes that fit as sold on it.
    names : tuple of str
        The same by name.
    address : str
        The fit page with it.
    """

    kind: Kind
    name: str
    sizes: tuple[str, ...]
    names: tuple[str, ...]
    address: str


def other_ways(
    catalogue: Catalogue, rider: Rider, choice: BuildChoice, others: Sequence[Catalogue]
) -> tuple[Way, ...]:
    """What could be changed so that a size fits as sold, each recomputed.

    Parameters
    ----------
    catalogue : Catalogue
    rider : Rider
    choice : BuildChoice
        The parts on which no size fits, or one does not.
    others : sequence of Catalogue
        Of the builder's other models.

    Returns
    -------
    tuple of Way
        Those that help, and can be built.
    """
    found = []
    for kind, name, at, tried in _tried(catalogue, choice, others):
        sizes = _fitting(at, rider, tried)
        if sizes:
            address = _address(rider, at, tried, whole=kind != "frame")
            names = tuple(at.size(slug).name for slug in sizes)
            found.append(Way(kind=kind, name=name, sizes=sizes, names=names, address=address))
    return tuple(found)


def _tried(
    catalogue: Catalogue, choice: BuildChoice, others: Sequence[Catalogue]
) -> Iterator[tuple[Kind, str, Catalogue, BuildChoice]]:
    """One thing changed at a time: wheels, forks, then frames."""
    for (front, rear), changed in wheel_choices(catalogue, choice):
        if changed != choice:
            yield "wheels", wheel_words(front, rear), catalogue, changed
    for fork in catalogue.offered("fork"):
        if fork.slug != choice.parts["fork"]:
            parts = MappingProxyType({**choice.parts, "fork": fork.slug})
            yield "fork", fork.name, catalogue, replace(choice, parts=parts)
    for other in others:
        if other.model.slug != catalogue.model.slug:
            yield "frame", other.model.name, other, usual_choice(other)


def _fitting(catalogue: Catalogue, rider: Rider, choice: BuildChoice) -> tuple[str, ...]:
    """Slugs of the sizes that fit a rider as sold on some parts, and can be built on them."""
    try:
        builds = candidate_builds(catalogue, choice)
        run = run_for(catalogue, builds, catalogue.style(rider.style))
        needs = needed(run, belief_of(rider).mean_body(), asks=asks_of(catalogue, rider))
    except (DomainError, GeometryError):
        return ()
    as_sold_here = judge_sizes(run, needs, lean=lean_of(run, rider)).as_sold[:, 0]
    return tuple(
        size.slug
        for size, fits in zip(catalogue.sizes, as_sold_here, strict=True)
        if fits and _can_be_built(catalogue, builds, choice, size)
    )


_built: WeakKeyDictionary[CandidateBuilds, dict[str, bool]] = WeakKeyDictionary()


def _can_be_built(
    catalogue: Catalogue, builds: CandidateBuilds, choice: BuildChoice, size: SizeView
) -> bool:
    """Whether a size as sold passes every check on some parts; no rider is needed for that."""
    known = _built.setdefault(builds, {})
    if size.slug not in known:
        known[size.slug] = not compute(catalogue, as_sold(catalogue, choice, size)).failed
    return known[size.slug]


def _address(rider: Rider, catalogue: Catalogue, choice: BuildChoice, *, whole: bool) -> str:
    """The fit page with a rider and, where one thing of a build was changed, its parts."""
    pairs = rider_pairs(rider)
    if whole:
        pairs += [
            (place.name, choice.parts[place.name] or NONE)
            for place in PLACES
            if place.name in _STANDING
        ]
        pairs += [("slot", f"{choice.slot:g}")] if choice.slot else []
    return f"/fit/{quote(catalogue.model.slug)}?{urlencode(pairs)}"


_STANDING = ("fork", "rim_front", "tyre_front", "rim_rear", "tyre_rear")
"""Places that decide how the bike stands, and that a way may change."""
