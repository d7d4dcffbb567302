"""Does it all go together: the checks of a build, and of every other choice for it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from types import MappingProxyType

from geometry.checks import Check
from geometry.core import GeometryError
from webapp.builds.choice.places import (
    PLACE_OF,
    PLACES,
    Scope,
    lacks,
    places_sold,
    scope_words,
    widest_scope,
)
from webapp.builds.fitting.calculations.feet import feet_checks
from webapp.builds.fitting.calculations.loads import frame_load_checks
from webapp.builds.fitting.calculations.questions import question_of
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.calculations.topics import (
    FEET_PLACES,
    PARTS_TOPICS,
    Topic,
    judged,
    of_extras,
)
from webapp.builds.fitting.part_rules import EXTRA_RULES, RULES
from webapp.builds.fitting.roles import extra_roles, roles_of, roles_read_with, roles_with
from webapp.builds.fitting.rule import FitPart, FitRule, judge_fits
from webapp.builds.fitting.sentences import WordedCheck
from webapp.builds.solving.solver_inputs import Assembly, assemble
from webapp.catalogue.reading.trade_names import readable
from webapp.catalogue.reading.views import AnyPart, Catalogue
from webapp.catalogue.schema.part_kinds import ExtraData
from webapp.common.errors import Invalid
from webapp.common.memory import Same
from webapp.common.text.language import tr
from webapp.common.text.statements import all_of

_RULE_OF = MappingProxyType({rule.code: rule for rule in (*RULES, *EXTRA_RULES)})


_OFFERED = "offered."
"""How the codes of checks begin that a part is still made; the place follows."""


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


def places_of(code: str) -> tuple[str, ...]:
    """Places whose parts take part in a check, by its code.

    >>> places_of("tyre.rim.front"), places_of("feet.toe.tyre")[0]
    (('tyre_front', 'rim_front'), 'crank')
    """
    question, rule = question_of(code), rule_of(code)
    if question is not None:
        return question.places
    if code.startswith(_OFFERED):
        return (code.removeprefix(_OFFERED),)
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
    return tuple(rule for rule in rules_for(scope) if assumed.isdisjoint(_places(rule)))


@lru_cache(maxsize=64)
def _rules_by_place(scope: Scope, assumed: frozenset[str]) -> Mapping[str, list[FitRule]]:
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
    sold += [("extra", part) for part in setup.assembly.extras]
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
    """Says what has come in the part's stead, or else what is offered."""
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
    found: dict[str, WordedCheck] = {}
    for part in setup.assembly.extras:
        for beside in extra_roles(setup.catalogue, roles, part):
            for check in judge_fits(setup.assembly.memory, EXTRA_RULES, beside):
                code = f"{check.code}.{part.slug}"
                if code not in found or check.outcome == "no":
                    found[code] = replace(check, code=code)
    return list(found.values())


@dataclass(frozen=True, kw_only=True)
class Option:
    """One other choice for a place, and whether it would go with the rest.

    ``reason`` is empty when it would; otherwise the first mismatch in words.
    ``for_good`` says that no part in any place would change the answer.
    """

    part: AnyPart
    reason: str
    remedy: str
    for_good: bool = False


def options(setup: Setup) -> Mapping[str, tuple[Option, ...]]:
    """Judge every choice for every place against the rest of the build.

    Parameters
    ----------
    setup : Setup

    Returns
    -------
    mapping of place to tuple of Option
        In the builder's order; the present choice is among them, also when it
        is no longer offered.

    Notes
    -----
    Judged is only what the option can change: rules between its place and
    others first, then what is computed. Where the axle would have to be is not
    held against an option, since it can be moved. Toes, the dearest question,
    are asked of all options at once.
    """
    judge = OptionJudge(setup)
    found = {
        (place.name, part.slug): (part, judge.refusal(place.name, part))
        for place in PLACES
        for part in _choices(setup, place.name)
    }
    refused = judge.by_feet() if setup.choice.scope == "bike" else {}
    listed: dict[str, list[Option]] = {place.name: [] for place in PLACES}
    for key, (part, refusal) in found.items():
        reason, remedy = refusal or refused.get(key, ("", ""))
        listed[key[0]].append(Option(part=part, reason=reason, remedy=remedy))
    return MappingProxyType({place: tuple(options) for place, options in listed.items()})


def extra_options(setup: Setup) -> Mapping[str, Option]:
    """Judge every extra against the build, whether it is ticked or not.

    Parameters
    ----------
    setup : Setup

    Returns
    -------
    mapping of slug to Option
        In the builder's order.
    """
    catalogue = setup.catalogue
    roles = roles_of(catalogue, setup.assembly)
    found = {}
    for part in catalogue.offered(ExtraData):
        alone = replace(setup, assembly=replace(setup.assembly, extras=(part,)))
        checks = extra_checks(alone, roles)
        computed = () if setup.choice.scope != "bike" else of_extras(alone)
        failed = next((c for c in (*checks, *computed) if c.outcome == "no"), None)
        reason, remedy = (failed.reason, failed.remedy) if failed else ("", "")
        for_good = failed is not None and not places_of(failed.code)
        found[part.slug] = Option(part=part, reason=reason, remedy=remedy, for_good=for_good)
    return MappingProxyType(found)


def _choices(setup: Setup, place: str) -> list[AnyPart]:
    present = setup.choice.parts[place]
    kind = PLACE_OF[place].kind
    return [
        part
        for part in setup.catalogue.parts.get(kind, ())
        if not part.retired or part.slug == present
    ]


# Other parts leave the build standing as it did.
STANDS_ON = frozenset(
    {"fork", "headset", "tyre_front", "tyre_rear", "stem", "handlebar", "post", "saddle", "crank"}
)


_SEAT = frozenset({"post", "saddle"})


_TOPICS_AT = {p.name: [t for t in PARTS_TOPICS if p.name in t.places] for p in PLACES}
_NO_TOPICS: Mapping[str, list[Topic]] = {place.name: [] for place in PLACES}


class OptionJudge:
    """Judges options of one build, putting the feet's questions aside for the end."""

    def __init__(self, setup: Setup) -> None:
        self.setup = setup
        self.rules = _rules_by_place(setup.choice.scope, assumed_in(setup.assembly))
        self.topics = _TOPICS_AT if setup.choice.scope == "bike" else _NO_TOPICS
        self.roles = roles_of(setup.catalogue, setup.assembly)
        self.waiting: list[tuple[tuple[str, str], Setup]] = []

    def refusal(self, place: str, part: AnyPart) -> tuple[str, str] | None:
        """Why an option would not go with the rest, and what would help; None if it would."""
        topics = self.topics[place]
        if not topics and place not in FEET_PLACES:
            return self.by_rules(place)[part.slug]
        setup = self.changed(place, part)
        if isinstance(setup, tuple):
            return setup
        refused = self.by_rules(place)[part.slug]
        if refused is not None:
            return refused
        check = next((c for topic in topics for c in _failed(topic.judge(setup), place)), None)
        if check is not None:
            return check.reason, check.remedy
        if place in FEET_PLACES:
            self.waiting.append(((place, part.slug), setup))
        return None

    def by_rules(self, place: str) -> Mapping[str, tuple[str, str] | None]:
        """The refusal of every part there is for a place, by the rules of fit alone."""
        rules, assembly = self.rules[place], self.setup.assembly
        beside = dict.fromkeys(role for rule in rules for role in rule.roles if role != place)
        beside |= dict.fromkeys(roles_read_with(place))
        key = ("options", place, tuple(map(Same, rules)), *[Same(self.roles[at]) for at in beside])
        return assembly.memory.of(key, lambda: self._by_rules(place))

    def _by_rules(self, place: str) -> Mapping[str, tuple[str, str] | None]:
        assembly, found = self.setup.assembly, dict[str, tuple[str, str] | None]()
        for part in self.setup.catalogue.parts.get(PLACE_OF[place].kind, ()):
            changed = replace(assembly, parts={**assembly.parts, place: part})
            roles = roles_with(self.roles, changed, place)
            checks = judge_fits(assembly.memory, self.rules[place], roles)
            refused = (c for c in checks if c.outcome == "no")
            found[part.slug] = next(((c.reason, c.remedy) for c in refused), None)
        return found

    def changed(self, place: str, part: AnyPart) -> Setup | tuple[str, str]:
        """The build with the option in it, or why it cannot stand."""
        own, catalogue = self.setup, self.setup.catalogue
        choice = own.with_part(place, part.slug)
        parts = {**own.assembly.parts, place: part}
        asked = place in FEET_PLACES or place in _SEAT  # a stem changes no answer
        if not asked or place not in STANDS_ON or part.slug == own.choice.parts[place]:
            assembly = replace(own.assembly, parts=parts)
            return replace(own, choice=choice, assembly=assembly)
        try:
            assembly = assemble(catalogue, choice)
        except GeometryError as error:
            return _cannot_stand(part, error.remedy)
        except Invalid as error:
            return _cannot_stand(part, error.problems[0].remedy)
        return replace(own, choice=choice, assembly=assembly)

    def by_feet(self) -> dict[tuple[str, str], tuple[str, str]]:
        """Refusals by pedals and toes among the options put aside."""
        answers = feet_checks([setup for _, setup in self.waiting])
        return {
            key: (check.reason, check.remedy)
            for (key, _), checks in zip(self.waiting, answers, strict=True)
            for check in list(_failed(checks, key[0]))[:1]
        }


def _cannot_stand(part: AnyPart, remedy: str) -> tuple[str, str]:
    """What the solver asks of one number is no help to who chooses a part."""
    helps = tr("a part nearer to the usual one") if remedy.startswith("must") else remedy
    return tr("{name} cannot stand with the rest of the build", name=part.name), helps


def _failed(checks: Iterable[WordedCheck], place: str) -> Iterator[WordedCheck]:
    """Failures in which a place takes part."""
    return (c for c in checks if c.outcome == "no" and place in places_of(c.code))
