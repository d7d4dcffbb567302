"""Does it all go together: the checks of a build, and of every other choice for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache, lru_cache, partial
from types import MappingProxyType

from geometry.checks import Check
from webapp.builds.choice.places import (
    PLACE_OF,
    PLACES,
    Scope,
    lacks,
    places_sold,
    scope_words,
    widest_scope,
)
from webapp.builds.fitting.calculations.loads import frame_load_checks
from webapp.builds.fitting.calculations.questions import question_of
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.calculations.topics import (
    judged,
)
from webapp.builds.fitting.part_rules import EXTRA_RULES, RULES
from webapp.builds.fitting.roles import extra_roles, roles_of
from webapp.builds.fitting.rule import FitPart, FitRule, judge_fits, remembered_fit
from webapp.builds.fitting.sentences import WordedCheck
from webapp.builds.solving.solver_inputs import Assembly
from webapp.catalogue.reading.trade_names import readable
from webapp.catalogue.reading.views import AnyPart, Catalogue, PartView
from webapp.catalogue.schema.part_kinds import ExtraData
from webapp.common.text.language import tr
from webapp.common.text.statements import all_of

_RULE_OF = MappingProxyType({rule.code: rule for rule in (*RULES, *EXTRA_RULES)})


_OFFERED = "offered."
"""How the codes of checks begin that a part is still made; its place follows, or ``extra.`` and
the extra's name.
"""


def label_of(code: str) -> str:
    """What a check is about, in the trade's words, by its code.

    >>> label_of("tyre.rim.front"), label_of("drive.slot")
    ('front tyre on its rim', 'chain or belt in the slot')
    """
    if code.startswith(_OFFERED):
        return tr("part still made")
    if code == "scope.offered":
        return tr("what the shop sells")
    question = question_of(code)
    if question is not None:
        return question.label
    rule = rule_of(code)
    return rule.label if rule else readable(code.replace(".", " "))


def rule_of(code: str) -> FitRule | None:
    """The rule behind a check's code; one about an extra ends in the extra's name."""
    while code not in _RULE_OF and "." in code:
        code = code.rpartition(".")[0]
    return _RULE_OF.get(code)


def is_of_a_rule(code: str) -> bool:
    """Whether a check is the answer to a rule between two parts.

    >>> is_of_a_rule("tyre.rim.front"), is_of_a_rule("load.rider")
    (True, False)
    """
    return code in _RULE_OF


def places_of(code: str) -> tuple[str, ...]:
    """Places whose parts take part in a check, by its code.

    >>> places_of("tyre.rim.front"), places_of("feet.toe.tyre")[0]
    (('tyre_front', 'rim_front'), 'crank')
    """
    question, rule = question_of(code), rule_of(code)
    if question is not None:
        return question.places
    if code.startswith(_OFFERED):
        place = code.removeprefix(_OFFERED)
        return (place,) if place in PLACE_OF else ()  # an extra sits in none
    return tuple(place for place in _places(rule) if place in PLACE_OF) if rule else ()


def _places(rule: FitRule) -> tuple[str, str]:
    return rule.left.partition(".")[0], rule.right.partition(".")[0]


@cache
def rules_for(scope: Scope) -> tuple[FitRule, ...]:
    """Rules between parts that are sold in a scope; the frame always is.

    >>> [rule.code for rule in rules_for("frame")][:1]
    ['axle.frame']
    """
    sold = {place.name for place in places_sold(scope)} | {"frame"}
    sold |= {"positions"} if scope == "bike" else set()
    return tuple(rule for rule in RULES if sold.issuperset(_places(rule)))


def assumed_in(assembly: Assembly) -> frozenset[str]:
    """Places whose part is only assumed."""
    return frozenset(place for place, part in assembly.parts.items() if part.assumed)


def rules_between(assembly: Assembly, scope: Scope) -> tuple[FitRule, ...]:
    """Rules between parts that are sold in a scope; what is assumed is not judged."""
    return _rules_without(scope, assumed_in(assembly))


@lru_cache(maxsize=64)
def _rules_without(scope: Scope, assumed: frozenset[str]) -> tuple[FitRule, ...]:
    rules = rules_for(scope)
    kept = tuple(rule for rule in rules if assumed.isdisjoint(_places(rule)))
    return rules if kept == rules else kept  # the very same, under which answers are kept


@lru_cache(maxsize=64)
def rules_by_place(scope: Scope, assumed: frozenset[str]) -> Mapping[str, list[FitRule]]:
    rules = _rules_without(scope, assumed)
    return {p.name: [rule for rule in rules if p.name in _places(rule)] for p in PLACES}


def fit_checks(setup: Setup) -> list[WordedCheck]:
    """Judge everything between the parts that are sold.

    Parameters
    ----------
    setup : Setup

    Returns
    -------
    list of WordedCheck
        The rules of fit in their order, then what is computed of a whole bike;
        those that do not apply are left out.
    """
    scope = setup.choice.scope
    roles = roles_of(setup.catalogue, setup.assembly)
    found = judge_fits(setup.assembly.memory, rules_between(setup.assembly, scope), roles)
    found += extra_checks(setup, roles)
    found += retired_checks(setup)
    found += assumed_checks(setup)
    found += judged(setup) if scope == "bike" else frame_load_checks(setup)
    return found


def retired_checks(setup: Setup) -> list[WordedCheck]:
    """One failed check for every part that would be sold and is no longer made.

    Parameters
    ----------
    setup : Setup
        Its scope decides what is sold.

    Returns
    -------
    list of WordedCheck
        Empty when all parts are still offered.
    """
    sold = [
        (place.name, setup.assembly.parts[place.name])
        for place in places_sold(setup.choice.scope)
        if place.name in setup.assembly.parts and place.name not in setup.choice.own
    ]
    sold += [(f"extra.{part.slug}", part) for part in setup.assembly.extras]
    return [
        _retired(setup.catalogue, place, part)
        for place, part in sold
        if part.retired and not part.assumed
    ]


def assumed_checks(setup: Setup) -> list[WordedCheck]:
    """One failed check where the scope promises a part that the shop has none of.

    Parameters
    ----------
    setup : Setup

    Returns
    -------
    list of WordedCheck
        Empty when all that is promised can be sold.
    """
    lacking = lacks(setup.catalogue, setup.choice.scope)
    if not lacking:
        return []
    return [
        Check(
            code="scope.offered",
            outcome="no",
            reason=tr("not sold here: {parts}", parts=all_of([p.label.lower() for p in lacking])),
            source=tr("builder"),
            remedy=tr(
                "order {scope}", scope=scope_words(setup.catalogue, widest_scope(setup.catalogue))
            ),
            safety=False,
        )
    ]


def _retired(catalogue: Catalogue, place: str, part: AnyPart) -> WordedCheck:
    """Says which part replaces it, or else which parts are offered."""
    offered = catalogue.offered(part.kind)
    instead = [found.name for found in offered if found.slug == part.replaced_by]
    names = " or ".join(instead or [found.name for found in offered[:3]])
    return Check(
        code=f"{_OFFERED}{place}",
        outcome="no",
        reason=tr("{name} is no longer made", name=part.name),
        source=tr("builder"),
        remedy=names or tr("ask the builder"),
        safety=True,
    )


def extra_checks(setup: Setup, roles: Mapping[str, FitPart]) -> list[WordedCheck]:
    """Each extra against frame, fork and wheels; of one question only the worst answer.

    Parameters
    ----------
    setup : Setup
    roles : mapping of place to FitPart
        As from `roles_of`.

    Returns
    -------
    list of WordedCheck
        The code of each ends in the extra's name.
    """
    memory, found = setup.assembly.memory, list[WordedCheck]()
    for part in setup.assembly.extras:
        read = (part, *map(roles.get, _BESIDE_EXTRAS))
        found += memory.of_very(
            "checks of an extra", read, partial(_extra_checks, setup, roles, part)
        )
    return found


def _extra_checks(
    setup: Setup, roles: Mapping[str, FitPart], part: PartView[ExtraData]
) -> tuple[WordedCheck, ...]:
    found: dict[str, WordedCheck] = {}
    for beside in extra_roles(setup.catalogue, roles, part):
        for rule in EXTRA_RULES:
            check = remembered_fit(setup.assembly.memory, rule, beside)
            code = f"{rule.code}.{part.slug}"
            if check is not None and (code not in found or check.outcome == "no"):
                found[code] = replace(check, code=code)
    return tuple(found.values())


# What an extra is judged by; its own "bike" is made of frame and fork.
_BESIDE_EXTRAS = tuple(
    dict.fromkeys(["frame", "fork", *(role for rule in EXTRA_RULES for role in rule.roles)])
)
