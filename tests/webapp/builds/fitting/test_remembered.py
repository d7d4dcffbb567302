"""What is remembered of builds never changes an answer, holds no rider, and has an end."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

from geometry.bike import Seat
from geometry.checks import Check
from geometry.core import GeometryError
from tests.webapp.builds.fitting.judged_builds import random_builds
from webapp.builds.choice.build_choice import BuildChoice, read_choice
from webapp.builds.evaluation import compute
from webapp.builds.fitting.calculations.remembered import (
    MOST_STEPS,
    Known,
    Question,
    Step,
    Watched,
    remembered,
)
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.calculations.topics import PARTS_TOPICS
from webapp.builds.fitting.options import extra_options, options
from webapp.builds.fitting.sentences import WordedCheck
from webapp.builds.page.check_view import CheckLists, check_lists
from webapp.builds.page.context import repair_links
from webapp.builds.suggestions.check_remedies import remedies_of
from webapp.builds.suggestions.repair import find_repair
from webapp.builds.suggestions.work import Work
from webapp.catalogue.reading.views import MOST_REMEMBERED, Catalogue
from webapp.common.errors import Invalid
from webapp.common.memory import Memory
from webapp.common.text.language import use_number_style
from webapp.rider.rider_input import Rider

BUILDS = 14
CHECK: WordedCheck = Check(code="c", outcome="clear", reason="", source="", safety=False)
RIDER = Rider(stature=1640.0, style="trail")


def builds(catalogue: Catalogue, count: int = BUILDS) -> list[BuildChoice]:
    """The same builds every time."""
    return list(random_builds(catalogue, random.Random(15), count))  # noqa: S311  # not a secret


def within(kept: object) -> Iterator[object]:
    """Everything within what is kept, keys and values, however deep."""
    yield kept
    if isinstance(kept, tuple):
        inner: tuple[object, ...] = kept
    elif isinstance(kept, Memory):
        inner = (*kept.newer.items(), *kept.older.items())
    elif isinstance(kept, Known):
        inner = (kept.first,)
    elif isinstance(kept, Step):
        inner = (kept.held, *kept.after.items())
    else:
        inner = ()
    for each in inner:
        yield from within(each)


def said(catalogue: Catalogue, choice: BuildChoice) -> Any:
    """All that is judged of a build; None for one that cannot stand."""
    try:
        result = compute(catalogue, choice)
    except (Invalid, GeometryError):
        return None
    setup = result.setup
    return (
        [(name, state.figures) for name, state in result.states.items()],
        result.checks,
        {place: [(o.part.slug, o.reason, o.remedy) for o in listed]
         for place, listed in options(setup).items()},
        {slug: (o.reason, o.remedy, o.for_good) for slug, o in extra_options(setup).items()},
        remedies_of(result),
        check_lists(result),
        repair_links(result, CheckLists(), Work()) if result.failed else None,
        find_repair(catalogue, choice) if result.failed else None,
    )  # fmt: skip


@pytest.mark.parametrize("model", ["trail", "tourer"])
def test_a_build_is_judged_as_if_nothing_had_been_asked_before(
    model: str, request: pytest.FixtureRequest
) -> None:
    known: Catalogue = replace(request.getfixturevalue(model))
    asked = builds(known)
    before = [said(known, choice) for choice in asked]  # each after those that came before it
    assert sum(each is not None for each in before) > BUILDS / 2
    again = list(zip(asked, before, strict=True))
    random.Random(16).shuffle(again)  # noqa: S311  # not a secret
    for choice, answer in again:
        assert said(replace(known), choice) == answer, choice
        assert said(known, choice) == answer, choice  # and now with all of it remembered


def test_a_changed_catalogue_begins_with_nothing(trail: Catalogue) -> None:
    said(trail, read_choice(trail, {}).strict())
    assert len(trail.memory)
    assert not len(replace(trail, price_list="another").memory)


def test_numbers_told_another_way_are_not_those_remembered(trail: Catalogue) -> None:
    choice = read_choice(trail, {}).strict()
    before = said(trail, choice)
    use_number_style("de")
    try:
        told = said(trail, choice)
    finally:
        use_number_style("")
    assert told != before
    assert said(trail, choice) == before


def test_what_rests_on_the_rider_is_not_kept(trail: Catalogue) -> None:
    asked: list[str] = []

    @remembered
    def of_the_rider(setup: Setup, *, failing: bool = False) -> Iterator[WordedCheck]:
        del failing
        asked.append("rider")
        assert setup.choice.rider is not None
        yield from ()

    own = replace(trail)
    choice = replace(read_choice(own, {}).strict(), rider=RIDER)
    for _ in range(2):
        of_the_rider(Setup.of(own, choice))
    assert len(asked) == 2
    said(own, choice)
    kept = list(within(own.memory))
    assert any(isinstance(each, Step) for each in kept)
    assert not any(isinstance(each, (Rider, BuildChoice, Setup)) for each in kept)
    height = float(Setup.of(own, choice).assembly.seat.height)  # follows from that rider's body
    numbers = [each for each in kept if isinstance(each, float)]
    assert RIDER.stature not in numbers
    assert height not in numbers
    assert height not in [float(each.height) for each in kept if isinstance(each, Seat)]


def test_one_question_asked_within_another_is_watched_too(trail: Catalogue) -> None:
    setup = Setup.of(trail, read_choice(trail, {}).strict())
    for topic in PARTS_TOPICS:
        watched = Watched.watching(setup)
        assert list(topic.judge(watched)) == list(topic.judge(setup))
        assert watched.reads, topic.prefixes


@pytest.mark.parametrize(
    ("model", "fail"), [("trail", {"tyre", "drive", "post"}), ("tourer", {"post"})]
)
def test_what_fails_is_the_same_when_nothing_else_is_asked_for(
    model: str, fail: set[str], request: pytest.FixtureRequest
) -> None:
    catalogue: Catalogue = replace(request.getfixturevalue(model))
    failing = Counter[str]()
    for choice in builds(catalogue, 80):
        try:
            setup = Setup.of(catalogue, choice)
        except (Invalid, GeometryError):
            continue
        for topic in PARTS_TOPICS:
            alone = list(topic.judge(setup, failing=True))
            assert alone == [check for check in topic.judge(setup) if check.outcome == "no"], choice
            failing.update(check.code.partition(".")[0] for check in alone)
    assert set(failing) >= fail, failing


def test_one_question_has_an_end(trail: Catalogue) -> None:
    """It begins anew, and goes on answering right."""
    own, choice, question = replace(trail), read_choice(trail, {}).strict(), Question("slot")
    given: list[Setup] = []
    for number in range(MOST_STEPS + 10):
        setup = Setup.of(own, replace(choice, slot=number / 1000))
        watched = Watched.watching(setup)
        answer = (replace(CHECK, figure=watched.choice.slot),)
        assert question.recall(setup) is None
        assert question.keep(watched, answer) == question.recall(setup) == answer
        given.append(setup)
    known = own.memory.find("slot")
    assert known.many == sum(isinstance(each, Step) for each in within(known)) <= 20
    assert question.recall(given[0]) is None
    assert question.recall(given[-1]) == (replace(CHECK, figure=given[-1].choice.slot),)


def test_the_memory_has_an_end() -> None:
    memory = Memory(most=3)
    for number in range(10):
        assert memory.of(number, lambda at=number: at + 1) == number + 1  # type: ignore[misc]
        assert len(memory) <= memory.most
    assert Memory(most=MOST_REMEMBERED).most < 100_000
