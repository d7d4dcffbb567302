"""Ways out of a build whose parts do not go together: few changes that make it fit."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from heapq import heappop, heappush

from geometry.checks import Check
from geometry.core import GeometryError
from webapp.builds.choice.build_choice import BuildChoice
from webapp.builds.choice.places import PLACE_OF, PLACES, Scope
from webapp.builds.fitting.calculations.axle_position import axle_for
from webapp.builds.fitting.calculations.feet import feet_checks
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.calculations.topics import of_parts
from webapp.builds.fitting.checks import extra_checks, places_of, rule_of, rules_for
from webapp.builds.fitting.options import STANDS_ON, extra_options
from webapp.builds.fitting.part_rules import EXTRA_RULES
from webapp.builds.fitting.roles import roles_of, roles_read_with, roles_with
from webapp.builds.fitting.rule import Answers, FitPart, FitRule, answers_to, remembered_fit
from webapp.builds.fitting.sentences import WordedCheck
from webapp.builds.solving.solver_inputs import Assembly, assemble, parts_in
from webapp.builds.suggestions.work import FEET, PARTS, RULE, STANDING, Work
from webapp.catalogue.reading.views import AnyPart, Catalogue
from webapp.common.errors import Invalid
from webapp.common.text.language import tr


@dataclass(frozen=True, kw_only=True)
class Repair:
    """Changes that would make a build fit.

    Parameters
    ----------
    choice : BuildChoice
        The build with the changes made.
    changes : tuple of (place label, part name)
        What is changed, in words; an emptied place has ``"none"``.
    axle : float or None [mm]
        Where the axle is moved to; None when it stays.
    """

    choice: BuildChoice
    changes: tuple[tuple[str, str], ...]
    axle: float | None


MOST_CHANGES = 6
_ONE_RULE = 5  # units; parts and roles looked up for it


@dataclass(frozen=True)
class _Tried:
    """A build during the search: what still fails, and the places already changed.

    ``answers`` are those to `rules_for` its scope, in their order; the parts as the rules see
    them, ``roles``, go with them.
    """

    choice: BuildChoice
    assembly: Assembly
    roles: Mapping[str, FitPart]
    answers: Answers
    failing: tuple[Check[object], ...]
    settled: frozenset[str]


def find_repair(
    catalogue: Catalogue,
    choice: BuildChoice,
    *,
    keep: Iterable[str] = (),
    work: Work | None = None,
) -> Repair | None:
    """Find few changes of parts that make everything fit.

    Parameters
    ----------
    catalogue : Catalogue
    choice : BuildChoice
        A build that fails some check.
    keep : iterable of str
        Places that must stay as they are, such as the one just chosen.
    work : Work, optional
        How much may be computed; what is done is counted there.

    Returns
    -------
    Repair or None
        None when nothing fails, when the parts cannot stand at all, or when no
        way was found within `MOST_CHANGES` and the work allowed.

    Notes
    -----
    A best-first search: of all builds tried so far, the one with the fewest failures (a change
    counts half) is taken next, and its first failure is repaired in every possible way; each
    place is changed once. A repair may cause other failures: a belt needs its own hub, and that
    hub another axle. Computed checks come after the rules of fit; last the axle is set where
    chain or belt closes. Failed load checks cannot be repaired by parts and are left alone.
    """
    kept, search = frozenset(keep), _Search(catalogue, work or Work())
    start = search.tried(search.without_refused(choice), None, kept)
    if start is None:
        return None
    queue, tried = [(0.0, 0, start)], 0
    while queue and not search.work.is_over:
        _, _, now = heappop(queue)
        if not now.failing:
            now = replace(now, failing=search.failing_feet(now))
        if not now.failing:
            return _with_its_axle(catalogue, choice, now)
        if len(now.settled - kept) < MOST_CHANGES:
            for step in search.mended(now):
                tried += 1
                cost = len(step.failing) + 0.5 * len(step.settled - kept)
                heappush(queue, (cost, tried, step))
    return None


def _with_its_axle(catalogue: Catalogue, before: BuildChoice, found: _Tried) -> Repair | None:
    """The way found, with the axle where chain or belt closes; None if nothing is changed."""
    setup = Setup(catalogue=catalogue, choice=found.choice, assembly=found.assembly)
    axle = axle_for(setup)
    choice = found.choice if axle is None else setup.at(axle)
    if choice == before:
        return None
    return Repair(choice=choice, changes=_changes(catalogue, before, choice), axle=axle)


@dataclass(frozen=True)
class _Search:
    """One search, which counts every build it checks."""

    catalogue: Catalogue
    work: Work

    def without_refused(self, choice: BuildChoice) -> BuildChoice:
        """The build without extras that no other part would make fit."""
        if not choice.extras:
            return choice
        self.work.spend(STANDING + PARTS)
        try:
            judged = extra_options(Setup.of(self.catalogue, choice))
        except (GeometryError, Invalid):
            return choice
        kept = (s for s in choice.extras if s not in judged or not judged[s].for_good)
        return replace(choice, extras=tuple(kept))

    def mended(self, now: _Tried) -> Iterator[_Tried]:
        """The build with its first failure mended, by every part that does so."""
        wanted = now.failing[0].code
        rule = None if wanted.startswith("extra.") else rule_of(wanted)
        for place in places_of(wanted):
            if place in now.settled:
                continue
            for slug in _other_slugs(self.catalogue, now.choice, place):
                if self.work.is_over:
                    return
                parts = self._with_part(now, place, slug)
                if rule is not None and self._fails(rule, now, parts, place):
                    continue
                changed = now.choice.with_parts({**now.choice.parts, place: slug})
                step = self.tried(changed, now, now.settled | {place}, found=parts)
                if step is not None and all(check.code != wanted for check in step.failing):
                    yield step

    def _with_part(self, now: _Tried, place: str, slug: str) -> Mapping[str, AnyPart]:
        """The parts of a build with another in one place, or none."""
        if slug:
            return {**now.assembly.parts, place: self.catalogue.part(PLACE_OF[place].kind, slug)}
        return {at: part for at, part in now.assembly.parts.items() if at != place}

    def _fails(self, rule: FitRule, now: _Tried, parts: Mapping[str, AnyPart], place: str) -> bool:
        """Whether one rule fails; saves checking all of a build whose repair did not help."""
        self.work.spend(_ONE_RULE)
        mended = now.assembly.with_parts(parts)
        check = remembered_fit(now.assembly.memory, rule, roles_with(now.roles, mended, place))
        return check is not None and check.outcome == "no"

    def tried(
        self,
        choice: BuildChoice,
        before: _Tried | None,
        settled: frozenset[str],
        *,
        found: Mapping[str, AnyPart] | None = None,
    ) -> _Tried | None:
        """A build judged; None when its parts cannot stand together at all."""
        parts = parts_in(self.catalogue, choice) if found is None else found
        if before is not None and not (settled - before.settled) & STANDS_ON:
            assembly = before.assembly.with_parts(parts)
        else:
            self.work.spend(STANDING)
            try:
                assembly = assemble(self.catalogue, choice, found=parts)
            except (GeometryError, Invalid):
                return None
        changed = settled - before.settled if before else frozenset()
        roles, answers = self._by_rules(choice, assembly, before, changed)
        failing = tuple(self._failing(choice, assembly, roles, answers))
        return _Tried(choice, assembly, roles, answers, failing, settled)

    def _by_rules(
        self,
        choice: BuildChoice,
        assembly: Assembly,
        before: _Tried | None,
        changed: frozenset[str],
    ) -> tuple[Mapping[str, FitPart], Answers]:
        """The rules of fit, asked again where a changed part takes part in them."""
        rules, memory = rules_for(choice.scope), assembly.memory
        self.work.spend(RULE * (len(rules) + 2 * len(EXTRA_RULES) * len(assembly.extras)))
        if before is None:
            roles: Mapping[str, FitPart] = roles_of(self.catalogue, assembly)
            return roles, answers_to(memory, rules, roles)
        roles, answers = before.roles, [*before.answers]
        for place in changed:
            roles = roles_with(roles, assembly, place)
        for at, rule in _touched(choice.scope, changed):
            answers[at] = remembered_fit(memory, rule, roles)
        return roles, tuple(answers)

    def _failing(
        self,
        choice: BuildChoice,
        assembly: Assembly,
        roles: Mapping[str, FitPart],
        answers: Iterable[WordedCheck | None],
    ) -> list[Check[object]]:
        """Failures that parts could repair: rules first, and computed checks only when the
        rules are kept.
        """
        kept: list[Check[object]] = [check for check in answers if check is not None]
        setup = Setup(catalogue=self.catalogue, choice=choice, assembly=assembly)
        kept += extra_checks(setup, roles)
        found = [check for check in kept if check.outcome == "no"]
        if found or choice.scope != "bike":
            return found
        self.work.spend(PARTS)
        return list(of_parts(setup, failing=True))

    def failing_feet(self, found: _Tried) -> tuple[Check[object], ...]:
        """The slowest check, made only of a build that fails nothing else."""
        if found.choice.scope != "bike":
            return ()
        self.work.spend(FEET)
        setup = Setup(catalogue=self.catalogue, choice=found.choice, assembly=found.assembly)
        return tuple(check for check in feet_checks([setup])[0] if check.outcome == "no")


@lru_cache(maxsize=256)
def _touched(scope: Scope, changed: frozenset[str]) -> tuple[tuple[int, FitRule], ...]:
    """The rules, with their places among all, in which parts of some places take part."""
    roles = changed.union(*(roles_read_with(place) for place in changed))
    return tuple(
        (at, rule) for at, rule in enumerate(rules_for(scope)) if not roles.isdisjoint(rule.roles)
    )


def _other_slugs(catalogue: Catalogue, choice: BuildChoice, place: str) -> list[str]:
    offered = [part.slug for part in catalogue.offered(PLACE_OF[place].kind)]
    if PLACE_OF[place].optional:
        offered.append("")
    return [slug for slug in offered if slug != choice.parts[place]]


def _changes(
    catalogue: Catalogue, before: BuildChoice, after: BuildChoice
) -> tuple[tuple[str, str], ...]:
    changed = (place for place in PLACES if before.parts[place.name] != after.parts[place.name])
    parts = [
        (
            place.label,
            catalogue.part(place.kind, after.parts[place.name]).name
            if after.parts[place.name]
            else "none",
        )
        for place in changed
    ]
    dropped = [slug for slug in before.extras if slug not in after.extras]
    return (*parts, *((tr("Without"), catalogue.part("extra", slug).name) for slug in dropped))
