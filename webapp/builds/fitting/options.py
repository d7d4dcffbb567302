"""Every other choice for a build: whether it would go with the rest, and why not."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import NamedTuple

from geometry.checks import judge_rule
from geometry.core import GeometryError, Remedy
from webapp.builds.choice.places import (
    PLACE_OF,
    PLACES,
)
from webapp.builds.fitting.calculations.feet import failing_feet
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.calculations.topics import (
    FEET_PLACES,
    PARTS_TOPICS,
    Topic,
    of_extras,
)
from webapp.builds.fitting.checks import assumed_in, extra_checks, places_of, rules_by_place
from webapp.builds.fitting.roles import roles_of, roles_read_with, roles_with
from webapp.builds.fitting.rule import FitPart, worded_fit
from webapp.builds.fitting.sentences import WordedCheck
from webapp.builds.solving.solver_inputs import assemble
from webapp.catalogue.reading.views import AnyPart
from webapp.catalogue.schema.part_kinds import ExtraData
from webapp.common.errors import Invalid
from webapp.common.memory import Same
from webapp.common.remedies import REMEDIES
from webapp.common.text.language import tr


class Option(NamedTuple):
    """One other choice for a place, and whether it would go with the rest.

    ``reason`` is empty when it would; otherwise the first mismatch in words.
    ``for_good`` says that no part in any place would change the answer, ``personal`` that the
    answer may rest on the rider's body: it is more than a rule between parts.
    """

    part: AnyPart
    reason: str
    remedy: str
    for_good: bool = False
    personal: bool = False


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
    Only what the option can change is checked: rules between its place and
    others first, then what is computed. An option is not refused for the axle position it
    needs, since the axle can be moved. Toe clearance, the slowest check, is computed for all
    options at once.
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
        computed = bool(reason) and judge.by_rules(key[0])[part.slug] is None
        personal = computed and setup.choice.rider is not None
        listed[key[0]].append(Option(part=part, reason=reason, remedy=remedy, personal=personal))
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


# Other parts do not change how the build stands.
STANDS_ON = frozenset(
    {"fork", "headset", "tyre_front", "tyre_rear", "stem", "handlebar", "post", "saddle", "crank"}
)


_SEAT = frozenset({"post", "saddle"})


_TOPICS_AT = {p.name: [t for t in PARTS_TOPICS if p.name in t.places] for p in PLACES}
_NO_TOPICS: Mapping[str, list[Topic]] = {place.name: [] for place in PLACES}


class OptionJudge:
    """Judges options of one build, leaving pedals and toes for the end."""

    def __init__(self, setup: Setup) -> None:
        self.setup = setup
        self.rules = rules_by_place(setup.choice.scope, assumed_in(setup.assembly))
        self.topics = _TOPICS_AT if setup.choice.scope == "bike" else _NO_TOPICS
        self.roles = roles_of(setup.catalogue, setup.assembly)
        self.refused: dict[str, Mapping[str, tuple[str, str] | None]] = {}
        self.waiting: list[tuple[tuple[str, str], Setup]] = []

    def refusal(self, place: str, part: AnyPart) -> tuple[str, str] | None:
        """Why an option would not go with the rest, and what would help; None if it would."""
        topics = self.topics[place]
        if not topics and place not in FEET_PLACES:
            return self.by_rules(place)[part.slug]
        refused = self.by_rules(place)[part.slug]
        if refused is not None:
            return refused
        setup = self.changed(place, part)
        if isinstance(setup, tuple):
            return setup
        check = next((c for topic in topics for c in _failed(topic.judge(setup), place)), None)
        if check is not None:
            return check.reason, check.remedy
        if place in FEET_PLACES:
            self.waiting.append(((place, part.slug), setup))
        return None

    def by_rules(self, place: str) -> Mapping[str, tuple[str, str] | None]:
        """The refusal of every part there is for a place, by the rules of fit alone."""
        if place not in self.refused:
            self.refused[place] = self._remembered(place)
        return self.refused[place]

    def _remembered(self, place: str) -> Mapping[str, tuple[str, str] | None]:
        rules, assembly = self.rules[place], self.setup.assembly
        beside = dict.fromkeys(role for rule in rules for role in rule.roles if role != place)
        beside |= dict.fromkeys(roles_read_with(place))
        key = ("options", place, tuple(map(Same, rules)), *[Same(self.roles[at]) for at in beside])
        return assembly.memory.of(key, lambda: self._by_rules(place))

    def _by_rules(self, place: str) -> Mapping[str, tuple[str, str] | None]:
        assembly, found = self.setup.assembly, dict[str, tuple[str, str] | None]()
        for part in self.setup.catalogue.parts.get(PLACE_OF[place].kind, ()):
            changed = assembly.with_parts({**assembly.parts, place: part})
            found[part.slug] = self._refused(place, roles_with(self.roles, changed, place))
        return found

    def _refused(self, place: str, roles: Mapping[str, FitPart]) -> tuple[str, str] | None:
        """The first rule that fails, in words; none are made for rules that pass."""
        for rule in self.rules[place]:
            check = judge_rule(rule, roles)
            if check is not None and check.outcome == "no":
                told = worded_fit(rule, roles, check)
                return told.reason, told.remedy
        return None

    def changed(self, place: str, part: AnyPart) -> Setup | tuple[str, str]:
        """The build with the option in it, or why it cannot stand."""
        own, catalogue = self.setup, self.setup.catalogue
        choice = own.with_part(place, part.slug)
        parts = {**own.assembly.parts, place: part}
        asked = place in FEET_PLACES or place in _SEAT  # a stem changes no answer
        if not asked or place not in STANDS_ON or part.slug == own.choice.parts[place]:
            assembly = own.assembly.with_parts(parts)
            return Setup(catalogue=catalogue, choice=choice, assembly=assembly)
        try:
            assembly = assemble(catalogue, choice, found=parts)
        except GeometryError as error:
            return _cannot_stand(part, _nearer_part(error.remedy))
        except Invalid as error:
            return _cannot_stand(part, error.problems[0].remedy)
        return Setup(catalogue=catalogue, choice=choice, assembly=assembly)

    def by_feet(self) -> dict[tuple[str, str], tuple[str, str]]:
        """Refusals by pedals and toes among the options put aside."""
        answers = failing_feet([setup for _, setup in self.waiting])
        return {
            key: (check.reason, check.remedy)
            for (key, _), checks in zip(self.waiting, answers, strict=True)
            for check in list(_failed(checks, key[0]))[:1]
        }


def _nearer_part(remedy: Remedy) -> str:
    """The remedy as a part to choose, where the solver asks for another number."""
    return REMEDIES.say(remedy) if remedy.of_parts else tr("a part nearer to the usual one")


def _cannot_stand(part: AnyPart, helps: str) -> tuple[str, str]:
    return tr("{name} cannot be combined with the rest of the build", name=part.name), helps


def _failed(checks: Iterable[WordedCheck], place: str) -> Iterator[WordedCheck]:
    """Failures in which a place takes part."""
    return (c for c in checks if c.outcome == "no" and place in places_of(c.code))
