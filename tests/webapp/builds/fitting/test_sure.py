"""What is told of many options at once is what judging each of their builds says."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator
from dataclasses import fields, replace
from types import MappingProxyType
from typing import Any

import pytest

from geometry.bike import Standing
from geometry.core import GeometryError
from tests.webapp.builds.fitting.judged_builds import Fields, chosen, random_builds, setup_of
from webapp.builds.choice.build_choice import BuildChoice
from webapp.builds.choice.places import PLACE_OF, PLACES
from webapp.builds.fitting.calculations.feet import feet_checks
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.calculations.sure_feet import surely_clear
from webapp.builds.fitting.calculations.topics import FEET_PLACES, PARTS_TOPICS
from webapp.builds.fitting.checks import places_of
from webapp.builds.fitting.options import Option, OptionJudge, options
from webapp.builds.fitting.sentences import WordedCheck
from webapp.builds.solving.options_at_once import stand_each
from webapp.builds.solving.solver_inputs import SAGGED, UNLOADED
from webapp.catalogue.reading.frame_inputs import frame_of
from webapp.catalogue.reading.views import AnyPart, Catalogue
from webapp.common.errors import Invalid
from webapp.rider.rider_input import Rider

BUILDS = 8


def with_odd_parts(catalogue: Catalogue) -> Catalogue:
    """With a crank that strikes the ground, one that brings toes too near to the tyre, and
    tyres on which no bike stands.
    """
    crank = next(part for part in catalogue.offered("crank") if part.standard)
    return with_more(
        catalogue,
        crank=[changed(crank, "strikes", length=230.0), changed(crank, "near", length=186.0)],
        tyre=[
            changed(part, f"huge {part.slug}", measured_radius=700.0)
            for part in catalogue.offered("tyre")
        ],
    )


def changed(part: AnyPart, slug: str, **data: object) -> AnyPart:
    return replace(part, slug=slug, name=slug, data=part.data.model_copy(update=data))


def whole(setup: Setup, place: str, part: AnyPart) -> Setup | None:
    """The build with another part, put together anew; None for one that cannot stand."""
    try:
        return Setup.of(setup.catalogue, setup.with_part(place, part.slug))
    except (GeometryError, Invalid):
        return None


def failures(setup: Setup, place: str) -> list[WordedCheck]:
    """All that is computed and fails where a place takes part, the feet last."""
    checks = [check for topic in PARTS_TOPICS for check in topic.judge(setup)]
    checks += feet_checks([setup])[0] if place in FEET_PLACES else []
    return [c for c in checks if c.outcome == "no" and place in places_of(c.code)]


def one_by_one(setup: Setup, place: str, part: AnyPart) -> tuple[str, str]:
    """What an option is refused for, by its own build alone."""
    judge = OptionJudge(setup)
    refused = judge.by_rules(place)[part.slug]
    if refused is not None:
        return refused
    build = whole(setup, place, part)
    if build is None:
        return ("cannot stand", "") if judge.is_computed(place) else ("", "")
    found = failures(build, place) if setup.choice.scope == "bike" else []
    return (found[0].reason, found[0].remedy) if found else ("", "")


def refusals(setup: Setup) -> dict[tuple[str, str], tuple[str, str]]:
    """What every option is refused for, asked at once."""
    return {(at, o.part.slug): told(o) for at, listed in options(setup).items() for o in listed}


def told(option: Option) -> tuple[str, str]:
    stands = "cannot be combined" not in option.reason
    return (option.reason, option.remedy) if stands else ("cannot stand", "")


def test_options_at_once_are_refused_as_one_by_one(trail: Catalogue, tourer: Catalogue) -> None:
    dice, seen = random.Random(6), Counter[str]()  # noqa: S311  # not a secret
    for catalogue in map(with_odd_parts, (trail, tourer)):
        for choice in random_builds(catalogue, dice, BUILDS):
            setup = Setup.of(catalogue, choice)
            for (place, slug), answer in refusals(setup).items():
                part = catalogue.part(PLACE_OF[place].kind, slug)
                assert answer == one_by_one(setup, place, part), (place, slug, choice)
                seen.update([slug] if answer[0] and place == "crank" else [answer[0]])
    assert seen["cannot stand"] > BUILDS
    assert seen["strikes"] > BUILDS / 2
    assert seen["near"] > BUILDS / 4
    assert seen[""] > 40 * BUILDS


def at_its_limits(catalogue: Catalogue, fields: Fields) -> tuple[Catalogue, BuildChoice]:
    """A build on cranks so long that they only just fail nothing, beside parts and a size that
    make the least change count.
    """
    first = chosen(catalogue, fields)
    crank, pedal, tyre, rim, chain = (
        catalogue.part(PLACE_OF[place].kind, first.parts[place])
        for place in ("crank", "pedal", "tyre_front", "rim_front", "transmission")
    )
    known = with_more(
        with_a_short_stay(catalogue),
        crank=[changed(crank, f"{mm} mm", length=float(mm)) for mm in range(165, 250)],
        pedal=[changed(pedal, "narrow", width=50.0, thickness=5.0, centre=20.0)],
        tyre=[
            changed(tyre, f"{mm} wide", measured_width=float(mm), measured_on=30.0)
            for mm in range(44, 84, 4)
        ],
        rim=[changed(rim, "broad", inner_width=50.0)],
        transmission=[
            changed(chain, f"{links} links", longest=links) for links in range(104, 122, 2)
        ],
    )
    first = chosen(known, {**fields, "pedal": "narrow", "tyre_front": "52 wide"})
    judged = options(Setup.of(known, first))["crank"]
    clear = [option.part for option in judged if not option.reason]
    wrong = [option.part for option in judged if "the lowest pedal" in option.reason]
    fewer = {**catalogue.parts, **known.parts, "crank": (crank, clear[-1], *wrong[-1:])}
    found = replace(known, parts=MappingProxyType(fewer))
    return found, first.with_parts({**first.parts, "crank": clear[-1].slug})


def with_a_short_stay(catalogue: Catalogue) -> Catalogue:
    """The smallest size with its rear axle further ahead."""
    size, drawn = catalogue.sizes[0], catalogue.revision.data.drawn_with
    data = size.data.model_copy(update={"chainstay_length": size.data.chainstay_length - 14.0})
    short = replace(size, data=data, frame=frame_of(data, drawn))
    return replace(catalogue, sizes=(short, *catalogue.sizes[1:]))


def with_more(catalogue: Catalogue, **more: list[AnyPart]) -> Catalogue:
    """A catalogue with more parts of some kinds."""
    kinds = {kind: (*catalogue.parts[kind], *parts) for kind, parts in more.items()}
    return replace(catalogue, parts=MappingProxyType({**catalogue.parts, **kinds}))


def other_in_one_thing(catalogue: Catalogue, choice: BuildChoice) -> Iterator[BuildChoice]:
    """Builds that differ from one in a single part, position, wish or measurement."""
    for place in PLACES:
        offered = [part.slug for part in catalogue.offered(place.kind)]
        here = choice.parts[place.name]
        for slug in [slug for slug in offered if slug != here][:1]:
            yield choice.with_parts({**choice.parts, place.name: slug})
    yield choice.with_parts({**choice.parts, "rim_front": "broad"})
    rider = Rider(stature=1820.0, weight=90.0, style=catalogue.styles[0].slug)
    others: tuple[dict[str, Any], ...] = (
        {"slot": catalogue.size(choice.size).data.slot_length},
        {"sag": 0.0}, {"sag": 50.0}, {"mud": 9.0}, {"usage": 5.0}, {"luggage": 30.0},
        {"rail": 15.0}, {"spacers": 0.0}, {"saddle_height": 640.0}, {"saddle_height": 810.0},
        {"rider": rider}, {"rider": replace(rider, stature=1560.0)}, {"scope": "frame"},
        {"size": catalogue.sizes[0].slug}, {"size": catalogue.sizes[-1].slug},
        *({"extras": (part.slug,)} for part in catalogue.offered("extra")),
    )  # fmt: skip
    for other in others:
        yield replace(choice, **other)


def test_what_is_kept_of_one_build_is_not_said_of_another(
    trail: Catalogue, tourer: Catalogue
) -> None:
    bases: tuple[tuple[Catalogue, Fields], ...] = ((trail, {}), (tourer, {"size": "s"}))
    for catalogue, base in bases:
        known, first = at_its_limits(catalogue, base)
        told = refusals(Setup.of(known, first))
        answers = set()
        for choice in other_in_one_thing(known, first):
            fresh = replace(known)
            alone = refusals(Setup.of(fresh, choice))
            assert refusals(Setup.of(known, choice)) == alone, choice
            assert refusals(Setup.of(fresh, first)) == told, choice
            answers.add(frozenset(alone.items()))
        assert len(answers) > 15


def test_most_feet_are_surely_clear(trail: Catalogue) -> None:
    """What is not sure is judged anyway, so that nobody would notice if nothing ever was."""
    setup = setup_of(trail, {})
    judge = OptionJudge(setup)
    changes = [
        (place, part)
        for place in sorted(FEET_PLACES)
        for part in trail.offered(PLACE_OF[place].kind)
        if judge.by_rules(place)[part.slug] is None
    ]
    setups = [each for place, part in changes if (each := whole(setup, place, part))]
    sure = surely_clear(setup, changes, setups)
    assert len(sure) == len(changes) > 12
    assert sum(sure) > 0.7 * len(sure)


def test_builds_stand_together_as_alone(trail: Catalogue) -> None:
    for choice in random_builds(trail, random.Random(8), 3):  # noqa: S311  # not a secret
        setup = Setup.of(trail, choice)
        changes = [
            (place, part)
            for place in ("fork", "headset", "tyre_front", "tyre_rear", "crank")
            for part in trail.offered(PLACE_OF[place].kind)
        ]
        together = stand_each(setup.assembly, choice, changes)
        for at, (place, part) in enumerate(changes):
            build = whole(setup, place, part)
            assert build is not None
            for row, state in ((at, UNLOADED), (at + len(changes), SAGGED)):
                alone = build.assembly.standing(state)
                for figure in fields(Standing):
                    found = getattr(together, figure.name)[row]
                    assert found == pytest.approx(getattr(alone, figure.name), abs=1e-9)


def test_of_an_option_that_is_not_stood_nothing_else_can_be_asked(trail: Catalogue) -> None:
    """An answer that came to rest on how such a build stands would be wrong: it fails instead."""
    assembly = setup_of(trail, {}).assembly
    for name in ("build", "seat", "seat_range", "states", "cockpit", "crank_length"):
        with pytest.raises(AttributeError):
            getattr(assembly.unstood(assembly.parts), name)
