"""Does it all go together: the checks of a build, of every other choice, and a way out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from heapq import heappop, heappush
from types import MappingProxyType

from geometry.checks import Check
from geometry.errors import GeometryError
from geometry.standards import Part, Rule, judge_rule, judge_rules
from webapp.build.assembling import Assembly, assemble, parts_in
from webapp.build.choice import PLACE_OF, PLACES, BuildChoice, Scope
from webapp.build.pricing import sold_with
from webapp.build.roles import part_role, roles_of
from webapp.build.rules import RULES
from webapp.catalogue.views import Catalogue, PartView
from webapp.ground.errors import Invalid

LABELS: Mapping[str, str] = MappingProxyType({rule.code: rule.label for rule in RULES})


_RULE_OF = MappingProxyType({rule.code: rule for rule in RULES})


def places_of(code: str) -> tuple[str, ...]:
    """Places that take part in a rule, by its code.

    >>> places_of("tyre.rim.front")
    ('tyre_front', 'rim_front')
    """
    return tuple(place for place in _places(_RULE_OF[code]) if place in PLACE_OF)


def _places(rule: Rule) -> tuple[str, str]:
    return rule.left.partition(".")[0], rule.right.partition(".")[0]


def rules_for(scope: Scope) -> tuple[Rule, ...]:
    """Rules between parts that are sold in a scope; the frame always is.

    >>> [rule.code for rule in rules_for("frame")][:1]
    ['axle.frame']
    """
    sold = {place.name for place in PLACES if place.scope in sold_with(scope)} | {"frame"}
    sold |= {"positions"} if scope == "bike" else set()
    return tuple(rule for rule in RULES if sold.issuperset(_places(rule)))


def fit_checks(catalogue: Catalogue, choice: BuildChoice, assembly: Assembly) -> list[Check]:
    """Judge every rule between the parts that are sold.

    Parameters
    ----------
    catalogue : Catalogue
    choice : BuildChoice
    assembly : Assembly

    Returns
    -------
    list of Check
        In the rules' order; those that do not apply are left out.
    """
    return judge_rules(rules_for(choice.scope), roles_of(catalogue, assembly))


@dataclass(frozen=True, kw_only=True)
class Option:
    """One other choice for a place, and whether it would go with the rest.

    ``reason`` is empty when it would; otherwise the first mismatch in words.
    """

    part: PartView
    reason: str
    remedy: str


def options(
    catalogue: Catalogue, choice: BuildChoice, assembly: Assembly
) -> Mapping[str, tuple[Option, ...]]:
    """Judge every choice for every place against the rest of the build.

    Parameters
    ----------
    catalogue : Catalogue
    choice : BuildChoice
    assembly : Assembly

    Returns
    -------
    mapping of place to tuple of Option
        In the builder's order; the present choice is among them, also when it
        is no longer offered.
    """
    rules = rules_for(choice.scope)
    return MappingProxyType(
        {
            place.name: tuple(
                _judged(catalogue, assembly, rules, place.name, part)
                for part in _choices(catalogue, choice, place.name)
            )
            for place in PLACES
        }
    )


def _choices(catalogue: Catalogue, choice: BuildChoice, place: str) -> list[PartView]:
    present = choice.parts[place]
    kind = PLACE_OF[place].kind
    return [
        part for part in catalogue.parts.get(kind, ()) if not part.retired or part.slug == present
    ]


def _judged(
    catalogue: Catalogue,
    assembly: Assembly,
    rules: Iterable[Rule],
    place: str,
    part: PartView,
) -> Option:
    changed = replace(assembly, parts={**assembly.parts, place: part})
    roles = roles_of(catalogue, changed)
    failed = _first_failure(rules, roles, place)
    if failed is None:
        return Option(part=part, reason="", remedy="")
    return Option(part=part, reason=failed.reason, remedy=failed.remedy)


def _first_failure(rules: Iterable[Rule], roles: Mapping[str, Part], place: str) -> Check | None:
    for rule in rules:
        if place in _places(rule):
            check = judge_rule(rule, roles)
            if check is not None and check.outcome == "no":
                return check
    return None


@dataclass(frozen=True, kw_only=True)
class WayOut:
    """Changes that would make a build fit.

    Parameters
    ----------
    choice : BuildChoice
        The build with the changes made.
    changes : tuple of (place label, part name)
        What is changed, in words; an emptied place has ``"none"``.
    """

    choice: BuildChoice
    changes: tuple[tuple[str, str], ...]


MOST_CHANGES = 6
MOST_TRIED = 250  # builds judged in one search; most ways are found within thirty


@dataclass(frozen=True)
class _Tried:
    """A build on the way: what still fails, and the places that are settled."""

    choice: BuildChoice
    assembly: Assembly
    failing: tuple[Rule, ...]
    settled: frozenset[str]


def way_out(
    catalogue: Catalogue, choice: BuildChoice, *, keep: Iterable[str] = ()
) -> WayOut | None:
    """Find few changes of parts that make everything fit.

    Parameters
    ----------
    catalogue : Catalogue
    choice : BuildChoice
        A build that fails some rule.
    keep : iterable of str
        Places that must stay as they are, such as the one just chosen.

    Returns
    -------
    WayOut or None
        None when nothing fails, when the parts cannot stand at all, or when no
        way was found within `MOST_CHANGES`.

    Notes
    -----
    Best first: of all builds tried so far the one with the fewest failures, a
    change counting half, is taken up again, and its first failure is mended in
    every possible way; a place is changed once. A mended failure may bring
    others: a belt needs its own hub, and that hub another axle.
    """
    rules, kept = rules_for(choice.scope), frozenset(keep)
    start = _try(catalogue, choice, None, rules, kept)
    if start is None or not start.failing:
        return None
    queue, tried = [(0.0, 0, start)], 0
    while queue and tried < MOST_TRIED:
        _, _, now = heappop(queue)
        if not now.failing:
            return WayOut(choice=now.choice, changes=_changes(catalogue, choice, now.choice))
        if len(now.settled - kept) < MOST_CHANGES:
            for step in _mended(catalogue, now, rules):
                tried += 1
                cost = len(step.failing) + 0.5 * len(step.settled - kept)
                heappush(queue, (cost, tried, step))
    return None


def _mended(catalogue: Catalogue, now: _Tried, rules: tuple[Rule, ...]) -> Iterator[_Tried]:
    """The build with its first failure mended, by every part that does so."""
    rule, roles = now.failing[0], roles_of(catalogue, now.assembly)
    for place in _places(rule):
        if place not in PLACE_OF or place in now.settled:
            continue
        for slug in _other_slugs(catalogue, now.choice, place):
            parts = MappingProxyType({**now.choice.parts, place: slug})
            changed = replace(now.choice, parts=parts)
            part = parts_in(catalogue, changed).get(place)
            check = judge_rule(rule, {**roles, place: part_role(now.assembly, place, part)})
            if check is None or check.outcome != "no":
                step = _try(catalogue, changed, now, rules, now.settled | {place})
                if step is not None:
                    yield step


# Other parts leave the build standing as it did.
_STANDS_ON = frozenset(
    {"fork", "headset", "tyre_front", "tyre_rear", "stem", "handlebar", "post", "saddle", "crank"}
)


def _try(
    catalogue: Catalogue,
    choice: BuildChoice,
    before: _Tried | None,
    rules: tuple[Rule, ...],
    settled: frozenset[str],
) -> _Tried | None:
    """A build judged; None when its parts cannot stand together at all."""
    if before is not None and not (settled - before.settled) & _STANDS_ON:
        assembly = replace(before.assembly, parts=parts_in(catalogue, choice))
    else:
        try:
            assembly = assemble(catalogue, choice)
        except (GeometryError, Invalid):
            return None
    roles = roles_of(catalogue, assembly)
    judged = ((rule, judge_rule(rule, roles)) for rule in rules)
    failing = tuple(rule for rule, check in judged if check and check.outcome == "no")
    return _Tried(choice, assembly, failing, settled)


def _other_slugs(catalogue: Catalogue, choice: BuildChoice, place: str) -> list[str]:
    offered = [part.slug for part in catalogue.offered(PLACE_OF[place].kind)]
    if PLACE_OF[place].optional:
        offered.append("")
    return [slug for slug in offered if slug != choice.parts[place]]


def _changes(
    catalogue: Catalogue, before: BuildChoice, after: BuildChoice
) -> tuple[tuple[str, str], ...]:
    changed = (place for place in PLACES if before.parts[place.name] != after.parts[place.name])
    return tuple(
        (
            place.label,
            catalogue.part(place.kind, after.parts[place.name]).name
            if after.parts[place.name]
            else "none",
        )
        for place in changed
    )
