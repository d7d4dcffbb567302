"""Every stance of a model: size × fork × wheels × axle positions at which chain or belt closes.

The other parts are those each size is sold with, changed only where a fork, a
wheel or a part that the rider owns asks for others; such a change is looked for
once and used in every size.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from geometry.bike import Standing, stand, standover
from geometry.checks import judge_rule
from geometry.core import GeometryError
from webapp.builds.choice.build_choice import BuildChoice, read_choice
from webapp.builds.choice.wheel_sets import wheel_choices
from webapp.builds.fitting.calculations.axle_position import axle_positions_of
from webapp.builds.fitting.calculations.feet import feet_checks
from webapp.builds.fitting.calculations.lead_time import lead_weeks
from webapp.builds.fitting.calculations.loads import bike_mass
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.calculations.topics import PARTS_TOPICS
from webapp.builds.fitting.checks import places_of, rules_for
from webapp.builds.fitting.roles import roles_of
from webapp.builds.pricing import RULE, PriceSheet, price_sheet
from webapp.builds.suggestions.repair import find_repair
from webapp.catalogue.reading.views import Catalogue
from webapp.catalogue.schema.part_kinds import ForkData
from webapp.common.errors import Invalid
from webapp.fit.candidate_builds import as_sold

FRONT_PLACES = ("stem", "handlebar")
SEAT_PLACES = ("post", "saddle")
COCKPIT = frozenset((*FRONT_PLACES, *SEAT_PLACES))
"""Places whose parts do not change how the bike stands; the search treats them separately."""

WHEELS = ("rim_front", "tyre_front", "rim_rear", "tyre_rear")

FIGURES = (
    "head_angle", "seat_tube_angle", "reach", "stack", "bb_height", "bb_drop", "chainstay_length",
    "rear_centre", "front_centre", "wheelbase", "trail", "mechanical_trail", "wheel_flop",
    "standover", "lead_time", "fork_travel",
)  # fmt: skip
"""Figures that do not depend on cockpit and seat, and can be wished between bounds."""

_OF_STANDING = FIGURES[: FIGURES.index("standover")]

UNPRICED = "price"
"""The code under which stances are counted that have a part without a price."""

UNWEIGHED = "mass"
"""The code under which builds are counted that have a part of unknown mass, where the mass is
bounded.
"""

_POSITIONS = frozenset({"spacers", "saddle.rails"})
_TOPICS = tuple(topic for topic in PARTS_TOPICS if not COCKPIT & topic.places)
_SHARES = (0.0, 0.5, 1.0)


@dataclass(frozen=True, kw_only=True, eq=False)
class Stance:
    """One way to stand, with the cockpit its size is sold with.

    Parameters
    ----------
    setup : Setup
    standing : Standing
        Unloaded.
    figures : mapping of str to float
        Those of `FIGURES` [mm, deg, weeks].
    price : int
        Of everything but stem, bar, post and saddle, in minor units as listed, without
        package prices.
    mass : float or None [kg]
        Of the same; None where that of a part is not known.
    failing : tuple of str
        Codes of the checks that fail whatever the cockpit; what is not checked here, such as
        loads, is checked on the builds that are found.
    """

    setup: Setup
    standing: Standing
    figures: Mapping[str, float]
    price: int
    mass: float | None
    failing: tuple[str, ...]


def stances(catalogue: Catalogue, fixed: Mapping[str, str]) -> tuple[Stance, ...]:
    """Every way to stand.

    Parameters
    ----------
    catalogue : Catalogue
    fixed : mapping of place to part slug
        Parts that stay; ``"size"`` fixes the size.

    Returns
    -------
    tuple of Stance
    """
    ways = list(_all(catalogue, fixed))
    feet = feet_checks([way.setup for way in ways])  # slow, and faster for all at once
    return tuple(
        replace(way, failing=_codes(way.failing, _failing((c.code, c.outcome) for c in checks)))
        for way, checks in zip(ways, feet, strict=True)
    )


def _all(catalogue: Catalogue, fixed: Mapping[str, str]) -> Iterator[Stance]:
    bases = tuple(_bases(catalogue, fixed))
    for size in catalogue.sizes:
        if fixed.get("size", size.slug) != size.slug:
            continue
        for base in bases:
            sold = as_sold(catalogue, base, size)
            parts = MappingProxyType({**sold.parts, **_parts(fixed)})
            yield from _placed(catalogue, replace(sold, parts=parts))


def _parts(fixed: Mapping[str, str]) -> dict[str, str]:
    return {place: slug for place, slug in fixed.items() if place != "size"}


def _bases(catalogue: Catalogue, fixed: Mapping[str, str]) -> Iterator[BuildChoice]:
    """Every fork on every pair of wheels, with other parts to match."""
    usual = read_choice(catalogue, {}).choice
    own = {place: slug for place, slug in _parts(fixed).items() if place not in COCKPIT}
    forks = [own["fork"]] if "fork" in own else [p.slug for p in catalogue.offered("fork")]
    for fork in forks:
        parts = MappingProxyType({**usual.parts, **own, "fork": fork})
        choice = replace(usual, parts=parts)
        wheels = [choice]
        if not own.keys() & set(WHEELS):
            wheels = [changed for _, changed in wheel_choices(catalogue, choice)]
        for one in wheels:
            matched = find_repair(catalogue, one, keep=("fork", *WHEELS, *own))
            yield matched.choice if matched is not None else one


def _placed(catalogue: Catalogue, choice: BuildChoice) -> Iterator[Stance]:
    """One build at each possible axle position; none when its parts cannot stand."""
    try:
        first = Setup.of(catalogue, choice)
        setups = [Setup.of(catalogue, first.at(slot)) for slot in _positions(first)]
    except (GeometryError, Invalid):
        return
    sheet = price_sheet(first)
    rules = _rules_failing(first)
    if any(line.amount is None for line in sheet.lines if line.key not in COCKPIT):
        rules = (*rules, UNPRICED)
    for setup in setups:
        judged = (check for topic in _TOPICS for check in topic.judge(setup))
        computed = _failing((check.code, check.outcome) for check in judged)
        yield _stance(setup, _without_cockpit(sheet), _codes(rules, computed))


def _rules_failing(setup: Setup) -> tuple[str, ...]:
    """Codes of the rules between two parts that fail."""
    roles = roles_of(setup.catalogue, setup.assembly)
    checks = (judge_rule(rule, roles) for rule in rules_for("bike"))
    return _failing((check.code, check.outcome) for check in checks if check is not None)


def _positions(setup: Setup) -> list[float]:
    """Where chain or belt closes, lasting if it can; with a derailleur ends and middle."""
    rows = axle_positions_of(setup)
    if rows:
        lasting = [row for row in rows if row.lasts] or rows
        return sorted({row.position(setup) for row in lasting})
    length = setup.assembly.size.data.slot_length
    return sorted({round(share * length, 1) for share in _SHARES})


def _stance(setup: Setup, price: int, failing: tuple[str, ...]) -> Stance:
    standing = stand(setup.assembly.build)
    ahead = setup.catalogue.revision.data.standover_at
    figures = {name: float(getattr(standing, name)) for name in _OF_STANDING}
    figures["standover"] = float(standover(standing, setup.assembly.build, ahead=ahead))
    figures["lead_time"] = lead_weeks(setup)
    fork = setup.data("fork", ForkData)
    figures["fork_travel"] = fork.travel if fork else 0.0
    return Stance(
        setup=setup,
        standing=standing,
        figures=MappingProxyType(figures),
        price=price,
        mass=_mass(setup),
        failing=failing,
    )


def _mass(setup: Setup) -> float | None:
    """Mass of everything but the cockpit [kg]; None where a part's is not known."""
    parts = setup.assembly.parts
    rest = {place: part for place, part in parts.items() if place not in COCKPIT}
    found = bike_mass(replace(setup, assembly=replace(setup.assembly, parts=rest)))
    return None if found.missing else found.total


def _failing(checks: Iterable[tuple[str, str | None]]) -> tuple[str, ...]:
    """Codes of the checks that fail whatever the cockpit."""
    return tuple(
        code
        for code, outcome in checks
        if outcome == "no" and code not in _POSITIONS and not COCKPIT & set(places_of(code))
    )


def _codes(some: tuple[str, ...], more: tuple[str, ...]) -> tuple[str, ...]:
    """Both, each code once."""
    return tuple(dict.fromkeys((*some, *more)))


def _without_cockpit(sheet: PriceSheet) -> int:
    own = (
        line for line in sheet.lines if line.key not in COCKPIT and not line.key.startswith(RULE)
    )
    return sum(line.amount.minor for line in own if line.amount)
