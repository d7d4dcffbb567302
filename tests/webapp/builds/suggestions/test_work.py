"""How much a page computes to find ways out of a build: bounded for the worst there is.

Counted are the steps that cost something where nothing is remembered, outside of the code that
counts for itself; times
are measured by hand (``tests/by_hand/costly.py``).
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable
from typing import Any

import pytest

from webapp.builds.choice.build_choice import BuildChoice, read_choice
from webapp.builds.choice.places import PLACES
from webapp.builds.evaluation import BuildResult, compute
from webapp.builds.fitting import options, rule
from webapp.builds.page.check_view import check_lists
from webapp.builds.page.context import repair_links
from webapp.builds.suggestions import check_remedies, repair
from webapp.builds.suggestions.work import FEET, JUDGE, PAGE, PARTS, RULE, STANDING, Work
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import Invalid

MOST = 1.35 * PAGE
"""What is counted here may be somewhat more: a step begun is finished, and small ones are not
counted one by one."""

ROUNDS = 60


@pytest.fixture
def counted(monkeypatch: pytest.MonkeyPatch) -> Counter[str]:
    """Every costly step, counted where it is made."""
    found: Counter[str] = Counter()

    def watch(place: Any, name: str, kind: str, many: Callable[..., int] = lambda *_: 1) -> None:
        original = getattr(place, name)

        def watched(*given: Any, **named: Any) -> Any:
            found[kind] += many(*given)
            return original(*given, **named)

        monkeypatch.setattr(place, name, watched)

    watch(rule, "remembered_fit", "rule")
    monkeypatch.setattr(repair, "remembered_fit", rule.remembered_fit)
    watch(repair, "assemble", "standing")
    watch(options, "assemble", "standing")
    watch(repair, "of_parts", "parts")
    watch(repair, "feet_checks", "feet", len)
    watch(check_remedies, "feet_checks", "feet", len)
    watch(check_remedies, "_clears", "parts")
    watch(check_remedies, "OptionJudge", "judge")
    watch(options.OptionJudge, "accepted", "parts")
    return found


def units(counted: Counter[str]) -> int:
    """All of it in the units of the work that is allowed."""
    cost = {"rule": RULE, "standing": STANDING, "parts": PARTS, "feet": FEET, "judge": JUDGE}
    return sum(cost[kind] * many for kind, many in counted.items())


def some_build(chance: random.Random, catalogue: Catalogue) -> dict[str, list[str]]:
    """A build of parts that were chosen without looking."""
    query = {"size": [chance.choice(catalogue.sizes).slug]}
    for place in chance.sample(PLACES, chance.randrange(4, len(PLACES))):
        query |= some_part(chance, catalogue, place.name, place.kind)
    extras = [part.slug for part in catalogue.offered("extra")]
    return query | {"extra": chance.sample(extras, chance.randrange(len(extras) + 1))}


def some_part(
    chance: random.Random, catalogue: Catalogue, place: str, kind: str
) -> dict[str, list[str]]:
    offered = catalogue.offered(kind)
    return {place: [chance.choice(offered).slug]} if offered else {}


def built(catalogue: Catalogue, query: dict[str, list[str]]) -> BuildResult | None:
    choice: BuildChoice = read_choice(catalogue, query).choice
    try:
        result = compute(catalogue, choice)
    except Invalid:
        return None
    return result if result.failed else None


def work_of(result: BuildResult, counted: Counter[str]) -> int:
    """What its page computes to find what would help."""
    counted.clear()
    work = Work()
    repair_links(result, check_lists(result, work), work)
    return units(counted)


def test_the_worst_build_that_is_found_is_bounded(
    trail: Catalogue, tourer: Catalogue, counted: Counter[str]
) -> None:
    """From builds by chance it goes on to worse ones, part by part."""
    chance = random.Random(12)  # noqa: S311  # no secret
    for catalogue in (trail, tourer):
        worst, query = 0, some_build(chance, catalogue)
        for round_ in range(ROUNDS):
            if round_ % 3 == 0:
                tried = some_build(chance, catalogue)
            else:
                place = chance.choice(PLACES)
                tried = query | some_part(chance, catalogue, place.name, place.kind)
            result = built(catalogue, tried)
            cost = work_of(result, counted) if result else 0
            if cost > worst:
                worst, query = cost, tried
        assert PAGE / 20 < worst <= MOST


def test_a_search_ends_with_its_work(trail: Catalogue, counted: Counter[str]) -> None:
    """However little it may do, and whatever it has found by then."""
    hopeless = {"tyre_rear": ["74-622"], "hub": ["hub-gear-6-135"], "fork": ["suspension-110"]}
    result = built(trail, hopeless)
    assert result
    for most in (0, 200, 2000):
        counted.clear()
        work = Work(most=most)
        repair.find_repair(trail, result.choice, work=work)
        assert units(counted) <= 1.35 * most + 2 * (PARTS + STANDING)


def test_the_same_build_has_the_same_answer(trail: Catalogue) -> None:
    chance = random.Random(5)  # noqa: S311  # no secret
    results = [found for _ in range(6) if (found := built(trail, some_build(chance, trail)))]
    assert results
    for result in results:
        first, again = (repair_links(result, check_lists(result), Work()) for _ in range(2))
        assert first == again
