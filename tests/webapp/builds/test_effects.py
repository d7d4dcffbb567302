"""What each option would change: counted like the build itself, packages and own parts included."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from webapp.builds.choice.build_choice import BuildChoice, read_choice
from webapp.builds.choice.places import MADE_HERE, PLACE_OF, PLACES
from webapp.builds.effects import Effect, Effects, mass_sold
from webapp.builds.evaluation import compute
from webapp.builds.pricing import price_of
from webapp.catalogue.reading.views import Catalogue
from webapp.common.text.reader import chosen

PACKAGE = {"hub": ["hub-gear-6-135"], "transmission": ["belt"]}  # less 90 EUR together
NET = {"tax_included": False}


def with_part(choice: BuildChoice, place: str, slug: str) -> BuildChoice:
    return replace(choice, parts={**choice.parts, place: slug})


def same(sooner: Effect, whole: Effect) -> None:
    assert sooner.money == whole.money
    assert sooner.mass == pytest.approx(whole.mass)


@pytest.mark.parametrize("query", [{}, PACKAGE, {"own": ["stem", "hub"]}, {"scope": ["frameset"]}])
@pytest.mark.parametrize("tax", [{}, NET])
def test_effect_is_the_difference_of_the_two_whole_builds(
    trail: Catalogue, query: dict[str, list[str]], tax: dict[str, bool]
) -> None:
    catalogue = replace(trail, **tax)  # type: ignore[arg-type]
    choice = read_choice(catalogue, query).strict()
    effects, before = Effects(catalogue, choice), price_of(catalogue, choice)
    weighed = mass_sold(catalogue, choice)
    for place in PLACES:
        for part in catalogue.offered(place.kind):
            other = with_part(choice, place.name, part.slug)
            found = effects.of_part(place.name, part)
            after = price_of(catalogue, other)
            assert found.money == after.gross - before.gross, (place.name, part.slug)
            assert found.mass == pytest.approx(mass_sold(catalogue, other).total - weighed.total)
        listed = catalogue.offered(place.kind)
        for _ in ("made", "kept"):
            said, _own = effects.said_of(place.name, listed)
            assert said == tuple(effects.of_part(place.name, part).words for part in listed)
        if place.name in effects.sold - MADE_HERE and choice.parts[place.name]:
            owned = replace(choice, own=tuple({*choice.own, place.name}))
            assert effects.of_owning(place.name) == effects.of(owned), place.name
            assert effects.said_of(place.name, [])[1] == effects.of(owned).words
    for size in catalogue.sizes:
        same(effects.of_size(size), effects.of(replace(choice, size=size.slug)))
    for extra in catalogue.offered("extra"):
        changed = replace(choice, extras=tuple({*choice.extras} ^ {extra.slug}))
        same(effects.of_extra(extra), effects.of(changed))


def test_words_that_are_kept_are_those_of_this_very_build(trail: Catalogue) -> None:
    """One catalogue's memory serves builds of other packages, scopes, owners and readers."""
    odd = trail.settings.model_copy(update={"tax_percent": Decimal("8.875")})  # must be rounded
    net = replace(trail, tax_included=False, settings=odd)
    dear = max(trail.offered("handlebar"), key=lambda part: part.price.minor if part.price else 0)
    queries = [{}, {"transmission": ["belt"]}, PACKAGE, {"own": ["hub"]}, {"scope": ["frame"]}]
    queries += [{"handlebar": [dear.slug]}]
    for catalogue in (trail, net):
        for query in [*queries, *queries]:
            effects = Effects(catalogue, read_choice(catalogue, query).choice)
            for units in ("metric", "imperial"):
                token = chosen.set(units)
                for place in ("hub", "transmission", "handlebar", "stem"):
                    parts = catalogue.offered(PLACE_OF[place].kind)
                    told = tuple(effects.of_part(place, part).words for part in parts)
                    assert effects.said_of(place, parts)[0] == told, (query, units, place)
                chosen.reset(token)


def test_a_package_that_is_left_is_in_the_effect(trail: Catalogue) -> None:
    choice = read_choice(trail, PACKAGE).strict()
    chain = trail.part("transmission", "chain-narrow")
    belt = trail.part("transmission", "belt")
    assert chain.price is not None
    assert belt.price is not None
    money = Effects(trail, choice).of_part("transmission", chain).money
    assert money is not None
    assert money.minor == chain.price.minor - belt.price.minor + 9000


def test_an_own_part_costs_nothing_and_is_judged_and_measured_as_any_other(
    trail: Catalogue,
) -> None:
    sold = compute(trail, read_choice(trail, {}).strict())
    own = compute(trail, read_choice(trail, {"own": ["stem", "tyre_rear"]}).strict())
    saved = sum(
        part.price.minor
        for place in ("stem", "tyre_rear")
        if (part := own.assembly.parts[place]).price
    )
    assert sold.price.gross.minor - own.price.gross.minor == saved
    lines = {line.key: line for line in own.price.lines}
    assert lines["stem"].amount is not None
    assert lines["stem"].amount.minor == 0
    assert lines["stem"].item.endswith("(the customer’s own)")
    assert own.checks == sold.checks
    assert own.states["unloaded"].figures == sold.states["unloaded"].figures


def test_an_own_part_takes_no_part_in_a_package(trail: Catalogue) -> None:
    choice = read_choice(trail, PACKAGE | {"own": ["hub"]}).strict()
    assert not [line for line in price_of(trail, choice).lines if line.key.startswith("rule-")]


def test_nothing_is_said_of_what_is_not_sold(trail: Catalogue) -> None:
    choice = read_choice(trail, {"scope": ["frame"]}).strict()
    effects = Effects(trail, choice)
    assert {effects.of_part("stem", part).words for part in trail.offered("stem")} == {""}


@pytest.mark.parametrize("own", ["finish", "wings"])
def test_what_nobody_can_bring_is_refused(trail: Catalogue, own: str) -> None:
    read = read_choice(trail, {"own": [own]})
    assert [problem.field for problem in read.problems] == ["own"]
    assert PLACE_OF["fork"].label in read.problems[0].remedy
