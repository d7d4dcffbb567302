"""Does it all go together: the checks of a build, of every other choice, and a way out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from geometry.checks import Check
from geometry.errors import GeometryError
from geometry.standards import Part, Rule, judge_rule, judge_rules
from webapp.build.assembling import Assembly, assemble
from webapp.build.choice import PLACE_OF, PLACES, BuildChoice, Scope
from webapp.build.pricing import sold_with
from webapp.build.roles import roles_of
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
        None when nothing fails or when no way was found within `MOST_CHANGES`.

    Notes
    -----
    Greedy: of all single changes in the places that take part in a failure,
    the one that leaves the fewest failures is made, until none is left; a
    place is changed once. A step may leave as many failures as before, since
    a chain cannot become a belt in one step.
    """
    rules = rules_for(choice.scope)
    fixed = set(keep)
    now = choice
    failing = _failing(catalogue, now, rules)
    while failing and len(fixed - set(keep)) < MOST_CHANGES:
        step = _best_step(catalogue, now, rules, failing, fixed)
        if step is None:
            return None
        place, now, failing = step
        fixed.add(place)
    if failing or now == choice:
        return None
    return WayOut(choice=now, changes=_changes(catalogue, choice, now))


def _failing(catalogue: Catalogue, choice: BuildChoice, rules: tuple[Rule, ...]) -> list[Rule]:
    try:
        roles = roles_of(catalogue, assemble(catalogue, choice))
    except (GeometryError, Invalid):
        return list(rules)
    judged = ((rule, judge_rule(rule, roles)) for rule in rules)
    return [rule for rule, check in judged if check is not None and check.outcome == "no"]


def _best_step(
    catalogue: Catalogue,
    choice: BuildChoice,
    rules: tuple[Rule, ...],
    failing: list[Rule],
    fixed: set[str],
) -> tuple[str, BuildChoice, list[Rule]] | None:
    involved = {place for rule in failing for place in _places(rule)} & set(PLACE_OF)
    best: tuple[str, BuildChoice, list[Rule]] | None = None
    for place in (place.name for place in PLACES if place.name in involved - fixed):
        for slug in _other_slugs(catalogue, choice, place):
            changed = replace(choice, parts=MappingProxyType({**choice.parts, place: slug}))
            left = _failing(catalogue, changed, rules)
            if best is None or len(left) < len(best[2]):
                best = place, changed, left
    return best if best is not None and len(best[2]) <= len(failing) else None


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
