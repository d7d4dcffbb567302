"""Every build of a revision that can be ordered: size × fork × wheels × axle position.

Other parts are the builder's usual ones, changed only where a fork or a wheel size
asks for others (a hub, a headset); such a change is looked for once and used in
every size. Where the axle would have to be for a chain is left open: it can be moved.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from geometry.core import GeometryError
from webapp.builds.choice.build_choice import BuildChoice, read_choice
from webapp.builds.choice.places import PLACES
from webapp.builds.choice.wheel_sets import wheel_choices
from webapp.builds.fitting.calculations.feet import feet_checks
from webapp.builds.fitting.calculations.loads import frame_load_checks
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.calculations.topics import PARTS_TOPICS
from webapp.builds.fitting.checks import rules_between
from webapp.builds.fitting.roles import roles_of
from webapp.builds.fitting.rule import judge_fits
from webapp.builds.fitting.sentences import WordedCheck
from webapp.builds.solving.solver_inputs import Assembly, assemble
from webapp.builds.suggestions.repair import find_repair
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import Invalid

SHARES = (0.0, 0.5, 1.0)
"""Axle positions looked at, as shares of each size's slot."""

Key = tuple[str, tuple[int, int], str]

_KEPT = ("fork", "rim_front", "tyre_front", "rim_rear", "tyre_rear")


@dataclass(frozen=True, kw_only=True)
class Combination:
    """A fork on a pair of wheels, with the other parts chosen to match.

    ``also`` names a place and the changed part that was put there, empty for none.
    """

    fork: str
    wheels: tuple[int, int]
    choice: BuildChoice
    also: str = ""

    @property
    def key(self) -> Key:
        """A key that identifies it in any catalogue."""
        return self.fork, self.wheels, self.also


@dataclass(frozen=True, order=True)
class Place:
    """The coordinates of a build: size, combination and share of the slot."""

    size: str
    of: Key
    share: int


@dataclass(frozen=True, kw_only=True)
class Judged:
    """One build and its checks; ``checks`` is empty when its parts cannot stand at all."""

    choice: BuildChoice
    stands: bool
    checks: Mapping[str, WordedCheck]

    @property
    def can_be_ordered(self) -> bool:
        """It stands and nothing fails."""
        return self.stands and all(check.outcome != "no" for check in self.checks.values())


def combinations(catalogue: Catalogue) -> tuple[tuple[str, ...], tuple[Combination, ...]]:
    """Every fork with every pair of wheels, in the builder's order.

    Parameters
    ----------
    catalogue : Catalogue

    Returns
    -------
    (forks, combinations)
        Slugs of the forks; for each fork the same pairs of wheels in one order.
    """
    usual = read_choice(catalogue, {}).choice
    forks = tuple(part.slug for part in catalogue.offered("fork"))
    found = []
    for fork in forks:
        parts = MappingProxyType({**usual.parts, "fork": fork})
        for wheels, choice in wheel_choices(catalogue, replace(usual, parts=parts)):
            matched = find_repair(catalogue, choice, keep=_KEPT)
            made = matched.choice if matched is not None else choice
            found.append(Combination(fork=fork, wheels=wheels, choice=made))
    return forks, tuple(found)


def with_part(catalogue: Catalogue, kind: str, slug: str) -> tuple[Combination, ...]:
    """The usual build with one part put wherever it can stand, and others to match.

    Parameters
    ----------
    catalogue : Catalogue
    kind, slug : str
        Of the part; forks are in `combinations` already.

    Returns
    -------
    tuple of Combination
        None where the part is not offered.
    """
    if kind == "fork" or slug not in {part.slug for part in catalogue.offered(kind)}:
        return ()
    usual, found = read_choice(catalogue, {}).choice, []
    for place in PLACES:
        if place.kind == kind:
            parts = MappingProxyType({**usual.parts, place.name: slug})
            changed = replace(usual, parts=parts)
            matched = find_repair(catalogue, changed, keep=(place.name, "fork"))
            made = matched.choice if matched is not None else changed
            also = f"{place.name}/{slug}"
            found.append(
                Combination(fork=usual.part("fork"), wheels=(0, 0), choice=made, also=also)
            )
    return tuple(found)


def judge_all(catalogue: Catalogue, combined: Sequence[Combination]) -> dict[Place, Judged]:
    """Judge every build of every size.

    Parameters
    ----------
    catalogue : Catalogue
        The revision and parts the builds are of.
    combined : sequence of Combination

    Returns
    -------
    dict of Place to Judged
    """
    choices = {
        Place(size.slug, one.key, share): _placed(catalogue, one, size.slug, part)
        for size in catalogue.sizes
        for one in combined
        for share, part in _shares(catalogue, size.slug)
    }
    setups = {place: _setup(catalogue, choice) for place, choice in choices.items()}
    standing = {place: setup for place, setup in setups.items() if setup is not None}
    whole = {place: setup for place, setup in standing.items() if setup.choice.scope == "bike"}
    feet = dict(zip(whole, feet_checks(list(whole.values())), strict=True))
    still = _still(standing)
    return {
        place: Judged(
            choice=choice,
            stands=place in standing,
            checks=_by_code(
                [
                    *still[replace(place, share=0)],
                    *_moving(standing[place]),
                    *feet.get(place, ()),
                ]
            )
            if place in standing
            else {},
        )
        for place, choice in choices.items()
    }


def _still(standing: Mapping[Place, Setup]) -> dict[Place, list[WordedCheck]]:
    """Checks that do not depend on the axle position, made once for all positions."""
    found: dict[Place, list[WordedCheck]] = {}
    for place, setup in standing.items():
        first = replace(place, share=0)
        if first not in found:
            roles = roles_of(setup.catalogue, setup.assembly)
            rules = rules_between(setup.assembly, setup.choice.scope)
            found[first] = judge_fits(setup.assembly.memory, rules, roles)
            if setup.choice.scope != "bike":
                found[first] += frame_load_checks(setup)
                continue
            for topic in _STILL:
                found[first] += topic.judge(setup)
    return found


def _moving(setup: Setup) -> list[WordedCheck]:
    """Checks of a whole bike that may depend on the axle position."""
    topics = _MOVING if setup.choice.scope == "bike" else ()
    return [check for topic in topics for check in topic.judge(setup)]


# Rules of fit, post, hub and loads know no axle position, and where a chain would put
# the axle is left open; a topic that is not named here is judged at every position.
_KNOWN_STILL = frozenset({"post.", "load.usage", "drive.slot", "drive.hub_ratio"})
_STILL = tuple(topic for topic in PARTS_TOPICS if _KNOWN_STILL & set(topic.prefixes))
_MOVING = tuple(topic for topic in PARTS_TOPICS if topic not in _STILL)


def _shares(catalogue: Catalogue, size: str) -> Iterable[tuple[int, float]]:
    """Positions in the slot; a fixed axle has one."""
    fixed = catalogue.size(size).data.slot_length == 0
    return enumerate(SHARES[:1] if fixed else SHARES)


def _placed(catalogue: Catalogue, one: Combination, size: str, share: float) -> BuildChoice:
    slot = round(share * catalogue.size(size).data.slot_length, 1)
    return replace(one.choice, revision=catalogue.revision.number, size=size, slot=slot)


def _setup(catalogue: Catalogue, choice: BuildChoice) -> Setup | None:
    try:
        assembly: Assembly = assemble(catalogue, choice)
    except (GeometryError, Invalid):
        return None
    return Setup(catalogue=catalogue, choice=choice, assembly=assembly)


def _by_code(checks: Iterable[WordedCheck]) -> dict[str, WordedCheck]:
    return {check.code: check for check in checks}
