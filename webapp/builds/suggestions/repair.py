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
from webapp.builds.fitting.calculations.topics import of_parts, topics_of
from webapp.builds.fitting.checks import extra_checks, places_of, rule_of, rules_for
from webapp.builds.fitting.options import STANDS_ON, extra_options
from webapp.builds.fitting.part_rules import EXTRA_RULES
from webapp.builds.fitting.roles import roles_of, roles_read_with, roles_with
from webapp.builds.fitting.rule import Answers, FitPart, FitRule, answers_to, remembered_fit
from webapp.builds.fitting.sentences import WordedCheck
from webapp.builds.solving.solver_inputs import Assembly, assemble
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
    them, ``roles``, go with them. Where they are kept, ``failing`` is left open (None) until the
    build is the best of all: then what is computed decides, and it is given up if the check that
    it should mend, ``mends``, fails again.
    """

    choice: BuildChoice
    assembly: Assembly
    roles: Mapping[str, FitPart]
    answers: Answers
    failing: tuple[Check[object], ...] | None
    settled: frozenset[str]
    mends: str


def find_repair(
    catalogue: Catalogue,
    choice: BuildChoice,
    *,
    keep: Iterable[str] = (),
    work: Work | None = None,
    setup: Setup | None = None,
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
    setup : Setup, optional
        The build put together, where the caller has it already.

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
    start = search.start(choice, kept, setup)
    if start is None:
        return None
    queue, tried = [(0.0, 0, start)], 0
    while queue and not search.work.is_over:
        _, number, now = heappop(queue)
        changes = len(now.settled - kept)
        if now.failing is None:
            failing = search.failing_parts(now)
            if failing is None:
                continue
            now = replace(now, failing=failing)
            if failing:  # not the best of all perhaps
                heappush(queue, (len(failing) + 0.5 * changes, number, now))
                continue
        failing = now.failing or search.failing_feet(now)
        if not failing:
            return _with_its_axle(catalogue, choice, now)
        if changes < MOST_CHANGES:
            for step in search.mended(now, failing[0].code):
                tried += 1
                cost = len(step.failing or ()) + 0.5 * len(step.settled - kept)
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

    def start(
        self, choice: BuildChoice, kept: frozenset[str], setup: Setup | None
    ) -> _Tried | None:
        """The build itself, without extras that no other part would make fit; judged by the rules.

        None when its parts cannot stand together at all.
        """
        setup = setup or self._put_together(choice)
        if choice.extras:
            self.work.spend(STANDING + PARTS)
            setup = self._without_refused(setup) if setup else None
        self.work.spend(STANDING)
        if setup is None:
            return None
        choice, assembly, rules = setup.choice, setup.assembly, rules_for(choice.scope)
        roles = roles_of(self.catalogue, assembly)
        self._spend_rules(choice.scope, assembly)
        answers = answers_to(assembly.memory, rules, roles)
        failing = self._failing(choice, assembly, roles, answers)
        return _Tried(choice, assembly, roles, answers, failing, kept, "")

    def _put_together(self, choice: BuildChoice) -> Setup | None:
        try:
            return Setup.of(self.catalogue, choice)
        except (GeometryError, Invalid):
            return None

    def _without_refused(self, setup: Setup) -> Setup | None:
        judged, extras = extra_options(setup), setup.choice.extras
        kept = tuple(s for s in extras if s not in judged or not judged[s].for_good)
        return setup if kept == extras else self._put_together(replace(setup.choice, extras=kept))

    def mended(self, now: _Tried, wanted: str) -> Iterator[_Tried]:
        """The build with one failure mended, by every part that may do so."""
        rule = None if wanted.startswith("extra.") else rule_of(wanted)
        for place in places_of(wanted):
            if place in now.settled:
                continue
            for slug in _other_slugs(self.catalogue, now.choice, place):
                if self.work.is_over:
                    return
                step = self._tried(now, place, slug, mends=wanted, rule=rule)
                if step is not None and all(check.code != wanted for check in step.failing or ()):
                    yield step

    def _with_part(self, now: _Tried, place: str, slug: str) -> Mapping[str, AnyPart]:
        """The parts of a build with another in one place, or none."""
        if slug:
            return {**now.assembly.parts, place: self.catalogue.part(PLACE_OF[place].kind, slug)}
        return {at: part for at, part in now.assembly.parts.items() if at != place}

    def _fails(self, rule: FitRule, assembly: Assembly, roles: Mapping[str, FitPart]) -> bool:
        """Whether one rule fails; saves checking all of a build whose repair did not help."""
        self.work.spend(_ONE_RULE)
        check = remembered_fit(assembly.memory, rule, roles)
        return check is not None and check.outcome == "no"

    def _tried(
        self, before: _Tried, place: str, slug: str, *, mends: str, rule: FitRule | None
    ) -> _Tried | None:
        """A build with another part in one place, judged by the rules.

        None when it cannot stand, or when the rule that should be mended fails still.
        """
        assembly = before.assembly.with_parts(self._with_part(before, place, slug))
        roles = roles_with(before.roles, assembly, place)
        if rule is not None and self._fails(rule, assembly, roles):
            return None
        choice = before.choice.with_parts({**before.choice.parts, place: slug})
        if place in STANDS_ON:
            self.work.spend(STANDING)
            try:
                assembly = assemble(self.catalogue, choice, found=assembly.parts)
            except (GeometryError, Invalid):
                return None
        self._spend_rules(choice.scope, assembly)
        answers = [*before.answers]
        for at, touched in _touched(choice.scope, place):
            answers[at] = remembered_fit(assembly.memory, touched, roles)
        failing = self._failing(choice, assembly, roles, answers)
        settled = before.settled | {place}
        return _Tried(choice, assembly, roles, tuple(answers), failing, settled, mends)

    def _spend_rules(self, scope: Scope, assembly: Assembly) -> None:
        rules = rules_for(scope)
        self.work.spend(RULE * (len(rules) + 2 * len(EXTRA_RULES) * len(assembly.extras)))

    def _failing(
        self,
        choice: BuildChoice,
        assembly: Assembly,
        roles: Mapping[str, FitPart],
        answers: Iterable[WordedCheck | None],
    ) -> tuple[Check[object], ...] | None:
        """Failures that parts could repair, by the rules; None where they are kept.

        What is computed is asked for then, and counted already.
        """
        found = [check for check in answers if check is not None and check.outcome == "no"]
        if assembly.extras:
            setup = Setup(catalogue=self.catalogue, choice=choice, assembly=assembly)
            found += [check for check in extra_checks(setup, roles) if check.outcome == "no"]
        if found or choice.scope != "bike":
            return tuple(found)
        self.work.spend(PARTS)
        return None

    def failing_parts(self, found: _Tried) -> tuple[Check[object], ...] | None:
        """Computed failures that parts could repair, of a build that keeps all rules.

        None when that fails again which it should mend.
        """
        setup = Setup(catalogue=self.catalogue, choice=found.choice, assembly=found.assembly)
        topics = topics_of(found.mends)
        again = (check for topic in topics for check in topic.judge(setup, failing=True))
        if any(check.code == found.mends for check in again):
            return None
        return tuple(of_parts(setup, failing=True))

    def failing_feet(self, found: _Tried) -> tuple[Check[object], ...]:
        """The slowest check, made only of a build that fails nothing else."""
        if found.choice.scope != "bike":
            return ()
        self.work.spend(FEET)
        setup = Setup(catalogue=self.catalogue, choice=found.choice, assembly=found.assembly)
        return tuple(check for check in feet_checks([setup])[0] if check.outcome == "no")


@lru_cache(maxsize=256)
def _touched(scope: Scope, place: str) -> tuple[tuple[int, FitRule], ...]:
    """The rules, with their places among all, in which the part of a place takes part."""
    roles = {place, *roles_read_with(place)}
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
