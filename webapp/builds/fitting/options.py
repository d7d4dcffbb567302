"""Every other choice for a build: whether it would go with the rest, and why not."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache, partial
from itertools import chain
from types import MappingProxyType
from typing import NamedTuple

from geometry.checks import judge_rule
from geometry.core import GeometryError, Remedy
from webapp.builds.choice.places import (
    PLACE_OF,
    PLACES,
    Scope,
)
from webapp.builds.fitting.calculations.feet import failing_feet
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.calculations.sure_feet import surely_clear
from webapp.builds.fitting.calculations.topics import (
    FEET_PLACES,
    PARTS_TOPICS,
    Topic,
    failing_extras,
)
from webapp.builds.fitting.checks import assumed_in, extra_checks, places_of, rules_by_place
from webapp.builds.fitting.part_rules import EXTRA_RULES
from webapp.builds.fitting.roles import FRAME, roles_of, roles_read_with, roles_with
from webapp.builds.fitting.rule import FitPart, FitRule, worded_fit
from webapp.builds.fitting.sentences import WordedCheck
from webapp.builds.solving.options_at_once import Change
from webapp.builds.solving.solver_inputs import assemble
from webapp.catalogue.reading.views import AnyPart
from webapp.catalogue.schema.part_kinds import ExtraData
from webapp.common.errors import Invalid
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
    ruled = {place.name: judge.listed(place.name) for place in PLACES}
    left = [
        (place, part)
        for place, listed in ruled.items()
        if judge.is_computed(place)
        for part in listed.left
    ]
    refused = judge.computed(left)
    at = {place for place, _ in refused}
    personal = setup.choice.rider is not None

    def told(place: str, option: Option) -> Option:
        refusal = refused.get((place, option.part.slug))
        if refusal is None:
            return option
        return option._replace(reason=refusal[0], remedy=refusal[1], personal=personal)

    return MappingProxyType(
        {
            place: tuple(told(place, each) for each in listed.options)
            if place in at
            else listed.options
            for place, listed in ruled.items()
        }
    )


Key = tuple[str, str]
"""A place, and the slug of a part for it."""

Refusal = tuple[str, str]
"""Why an option would not go with the rest, and what would help."""


class Ruled(NamedTuple):
    """The options of a place by the rules of fit alone, and the parts that these allow."""

    options: tuple[Option, ...]
    left: tuple[AnyPart, ...]


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
    roles = roles_of(setup.catalogue, setup.assembly)
    read = tuple(roles[at] for at in _READ_BY_EXTRAS)
    ruled = setup.assembly.memory.of_very("extras", read, lambda: _extras_by_rules(setup, roles))
    return MappingProxyType(
        {
            slug: option if option.reason else _computed_extra(setup, option)
            for slug, option in ruled.items()
        }
    )


_READ_BY_EXTRAS = tuple(
    dict.fromkeys(
        role
        for role in (FRAME, "fork", *[role for rule in EXTRA_RULES for role in rule.roles])
        if role not in {"extra", "bike"}  # of the extra itself, and of frame and fork
    )
)


def _extras_by_rules(setup: Setup, roles: Mapping[str, FitPart]) -> Mapping[str, Option]:
    """Every extra by the rules of fit alone."""
    found = {}
    for part in setup.catalogue.offered(ExtraData):
        checks = extra_checks(_with_extra(setup, part), roles)
        found[part.slug] = _extra_option(part, checks)
    return MappingProxyType(found)


def _computed_extra(setup: Setup, option: Option) -> Option:
    """An extra that the rules allow, by what is computed of mudguards and bottles."""
    if setup.choice.scope != "bike":
        return option
    found = _extra_option(option.part, failing_extras(_with_extra(setup, option.part)))
    return found if found.reason else option


def _extra_option(part: AnyPart, checks: Iterable[WordedCheck]) -> Option:
    failed = next((check for check in checks if check.outcome == "no"), None)
    if failed is None:
        return Option(part=part, reason="", remedy="")
    for_good = not places_of(failed.code)
    return Option(part=part, reason=failed.reason, remedy=failed.remedy, for_good=for_good)


def _with_extra(setup: Setup, part: AnyPart) -> Setup:
    """The build with one extra and no other."""
    assembly = setup.assembly.with_extras((part.of(ExtraData),))
    return Setup(catalogue=setup.catalogue, choice=setup.choice, assembly=assembly)


# Other parts do not change how the build stands.
STANDS_ON = frozenset(
    {"fork", "headset", "tyre_front", "tyre_rear", "stem", "handlebar", "post", "saddle", "crank"}
)


_SEAT = frozenset({"post", "saddle"})


_OPTIONS_AT = {place.name: f"options of {place.name}" for place in PLACES}
_REFUSED_AT = {place.name: f"refused in {place.name}" for place in PLACES}


@lru_cache(maxsize=64)
def _read_beside(scope: Scope, assumed: frozenset[str]) -> Mapping[str, tuple[str, ...]]:
    """By place, the roles that the rules for its part read beside that part itself."""
    ruled = rules_by_place(scope, assumed)
    return {place: _beside(place, rules) for place, rules in ruled.items()}


def _beside(place: str, rules: Iterable[FitRule]) -> tuple[str, ...]:
    read = [role for rule in rules for role in rule.roles if role != place]
    return tuple(dict.fromkeys([*read, *roles_read_with(place)]))


_TOPICS_AT = {p.name: [t for t in PARTS_TOPICS if p.name in t.places] for p in PLACES}
_NO_TOPICS: Mapping[str, list[Topic]] = {place.name: [] for place in PLACES}


class OptionJudge:
    """Judges options of one build."""

    def __init__(self, setup: Setup) -> None:
        self.setup = setup
        sold = setup.choice.scope, assumed_in(setup.assembly)
        self.rules, self.read = rules_by_place(*sold), _read_beside(*sold)
        self.topics = _TOPICS_AT if setup.choice.scope == "bike" else _NO_TOPICS
        self.roles = roles_of(setup.catalogue, setup.assembly)
        self.refused: dict[str, Mapping[str, Refusal | None]] = {}

    def is_computed(self, place: str) -> bool:
        """Whether more than rules of fit depends on a place's part."""
        return bool(self.topics[place]) or place in FEET_PLACES

    def accepted(self, place: str, part: AnyPart) -> Setup | None:
        """The build with an option that goes with the rest, but for pedals and toes; or None."""
        if self.by_rules(place)[part.slug] is not None:
            return None
        setup = self.changed(place, part)
        if isinstance(setup, tuple) or self._by_topics(place, setup, self.topics[place]):
            return None
        return setup

    def _by_topics(self, place: str, setup: Setup, topics: Iterable[Topic]) -> Refusal | None:
        found = (_failed(topic.judge(setup, failing=True), place) for topic in topics)
        check = next(chain.from_iterable(found), None)
        return None if check is None else (check.reason, check.remedy)

    def _by_parts(self, at: Key, part: AnyPart, own: Setup, topics: list[Topic]) -> Refusal | None:
        """The same of a build that may not stand yet; what asks how it stands gets it whole."""
        try:
            return self._by_topics(at[0], own, topics)
        except AttributeError:
            if "build" in own.assembly.__dict__:
                raise
        stood = self.changed(at[0], part)
        return stood if isinstance(stood, tuple) else self._by_topics(at[0], stood, topics)

    def computed(self, options: Sequence[Change]) -> dict[Key, Refusal]:
        """Refusals of options by what is computed, for all of them at once.

        Whatever surely fails nothing is told first; what is left is judged build by build.
        """
        parts = {(place, part.slug): part for place, part in options}
        feet = self._feet_surely_clear(
            {k: part for k, part in parts.items() if k[0] in FEET_PLACES}
        )
        found = {key: feet.get(key) or self.changed(key[0], part) for key, part in parts.items()}
        refused = {key: each for key, each in found.items() if isinstance(each, tuple)}
        setups = {key: each for key, each in found.items() if isinstance(each, Setup)}
        if self.topics is _NO_TOPICS:
            return refused
        for key, topics in self._open_topics(setups).items():
            refusal = self._by_parts(key, parts[key], setups[key], topics)
            if refusal is not None:
                refused[key] = refusal
        left = {k: s for k, s in setups.items() if not (k in refused or k in feet)}
        return refused | self._by_feet(left)

    def _feet_surely_clear(self, parts: Mapping[Key, AnyPart]) -> dict[Key, Setup]:
        """Builds that surely stand, with room enough for pedals and toes."""
        asked = {key: self._in_place(key[0], part) for key, part in parts.items()}
        while asked:
            keys = list(asked)
            changes = [(key[0], parts[key]) for key in keys]
            try:
                sure = surely_clear(self.setup, changes, list(asked.values()))
            except GeometryError as error:
                if error.index is None:
                    break
                del asked[keys[error.index[0] % len(keys)]]  # a row unloaded, or the same sagged
            else:
                return {key: asked[key] for key, yes in zip(keys, sure, strict=True) if yes}
        return {}

    def _open_topics(self, setups: Mapping[Key, Setup]) -> dict[Key, list[Topic]]:
        """Builds that may fail something, each with the topics it may be in."""
        found: dict[Key, list[Topic]] = {}
        for topic in PARTS_TOPICS:
            keys = [key for key in setups if key[0] in topic.places]
            sure = topic.sure(self.setup, [setups[key] for key in keys])
            for key, yes in zip(keys, sure, strict=True):
                if not yes:
                    found.setdefault(key, []).append(topic)
        return found

    def listed(self, place: str) -> Ruled:
        """The options of a place by the rules alone: the very same where these say the same."""
        ruled, present = self.by_rules(place), self.setup.part(place)
        kept = present.slug if present is not None and present.retired else ""
        return self.setup.assembly.memory.of_very(
            ("listed", kept), (ruled,), lambda: self._listed(place, ruled, kept)
        )

    def _listed(self, place: str, ruled: Mapping[str, Refusal | None], kept: str) -> Ruled:
        parts = self.setup.catalogue.parts.get(PLACE_OF[place].kind, ())
        listed = [part for part in parts if not part.retired or part.slug == kept]
        told = [(part, *(ruled[part.slug] or ("", ""))) for part in listed]
        return Ruled(
            options=tuple(Option(part=part, reason=why, remedy=helps) for part, why, helps in told),
            left=tuple(part for part in listed if ruled[part.slug] is None),
        )

    def by_rules(self, place: str) -> Mapping[str, Refusal | None]:
        """The refusal of every part there is for a place, by the rules of fit alone."""
        if place not in self.refused:
            self.refused[place] = self._remembered(place)
        return self.refused[place]

    def _remembered(self, place: str) -> Mapping[str, Refusal | None]:
        rules = self.rules[place]
        read = (rules, *[self.roles[at] for at in self.read[place]])
        return self.setup.assembly.memory.of_very(
            _OPTIONS_AT[place], read, lambda: self._by_rules(place)
        )

    def _by_rules(self, place: str) -> Mapping[str, Refusal | None]:
        """The first rule that fails: each is remembered by the few roles that it reads itself."""
        memory, first = self.setup.assembly.memory, dict[str, Refusal]()
        for rule in self.rules[place]:
            read = (rule, *[self.roles[at] for at in _beside(place, (rule,))])
            refused = memory.of_very(_REFUSED_AT[place], read, partial(self._by_rule, place, rule))
            first = {**refused, **first}
        parts = self.setup.catalogue.parts.get(PLACE_OF[place].kind, ())
        return {part.slug: first.get(part.slug) for part in parts}

    def _by_rule(self, place: str, rule: FitRule) -> Mapping[str, Refusal]:
        """The parts that fail a rule, in words; none are made for parts that pass."""
        assembly, found = self.setup.assembly, dict[str, Refusal]()
        for part in self.setup.catalogue.parts.get(PLACE_OF[place].kind, ()):
            changed = assembly.with_parts({**assembly.parts, place: part})
            roles = roles_with(self.roles, changed, place)
            check = judge_rule(rule, roles)
            if check is not None and check.outcome == "no":
                told = worded_fit(rule, roles, check)
                found[part.slug] = told.reason, told.remedy
        return found

    def _in_place(self, place: str, part: AnyPart) -> Setup:
        """The build with the option in it, of which is asked for nothing but its parts."""
        own = self.setup
        assembly = own.assembly.unstood({**own.assembly.parts, place: part})
        choice = own.with_part(place, part.slug)
        return Setup(catalogue=own.catalogue, choice=choice, assembly=assembly)

    def changed(self, place: str, part: AnyPart) -> Setup | Refusal:
        """The build with the option in it, or why it cannot stand."""
        own, catalogue = self.setup, self.setup.catalogue
        choice = own.with_part(place, part.slug)
        parts = {**own.assembly.parts, place: part}
        asked = place in FEET_PLACES or place in _SEAT  # a stem changes no answer
        if not asked or place not in STANDS_ON or part.slug == own.choice.parts[place]:
            assembly = own.assembly.with_parts(parts)
            return Setup(catalogue=catalogue, choice=choice, assembly=assembly)
        try:
            if place in _SEAT:
                assembly = own.assembly.seated(choice, parts)
            else:
                assembly = assemble(catalogue, choice, found=parts)
        except GeometryError as error:
            return _cannot_stand(part, _nearer_part(error.remedy))
        except Invalid as error:
            return _cannot_stand(part, error.problems[0].remedy)
        return Setup(catalogue=catalogue, choice=choice, assembly=assembly)

    def _by_feet(self, setups: Mapping[Key, Setup]) -> dict[Key, Refusal]:
        """Refusals by pedals and toes."""
        asked = {key: setup for key, setup in setups.items() if key[0] in FEET_PLACES}
        answers = failing_feet(list(asked.values()))
        return {
            key: (check.reason, check.remedy)
            for key, checks in zip(asked, answers, strict=True)
            for check in list(_failed(checks, key[0]))[:1]
        }


def _nearer_part(remedy: Remedy) -> str:
    """The remedy as a part to choose, where the solver asks for another number."""
    return REMEDIES.say(remedy) if remedy.of_parts else tr("a part nearer to the usual one")


def _cannot_stand(part: AnyPart, helps: str) -> Refusal:
    return tr("{name} cannot be combined with the rest of the build", name=part.name), helps


def _failed(checks: Iterable[WordedCheck], place: str) -> Iterator[WordedCheck]:
    """Failures in which a place takes part."""
    return (c for c in checks if c.outcome == "no" and place in places_of(c.code))
