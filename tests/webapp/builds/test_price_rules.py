"""Package prices and surcharges: applied once, when all their parts are sold together."""

from __future__ import annotations

from dataclasses import replace

import pytest

from webapp.builds.choice.build_choice import read_choice
from webapp.builds.evaluation import compute
from webapp.catalogue.reading.views import Catalogue
from webapp.catalogue.schema.shop import PriceRule, RulePart

COASTER = {
    "hub": ["single-coaster-135"],
    "sprocket": ["lug-20"],
    "ring": ["single-32"],
    "transmission": ["chain-wide"],
    "axle": ["nutted-10x135"],
    "derailleur": ["none"],
    "brake": ["disc-front-180"],
}


def rules(catalogue: Catalogue, *told: PriceRule) -> Catalogue:
    """The catalogue with these price rules only."""
    return replace(catalogue, settings=catalogue.settings.model_copy(update={"price_rules": told}))


def rule(minor: int, *parts: tuple[str, str], model: str = "") -> PriceRule:
    needed = tuple(RulePart(place=place, part=part) for place, part in parts)
    return PriceRule(name="Rule", model=model, parts=needed, minor=minor)


@pytest.mark.parametrize("minor", [-6000, 2500])
def test_rule_moves_the_total_by_its_amount(trail: Catalogue, minor: int) -> None:
    choice = read_choice(trail, COASTER).strict()
    plain = compute(rules(trail), choice).price
    ruled = compute(rules(trail, rule(minor, ("hub", "single-coaster-135"))), choice).price
    assert ruled.gross.minor - plain.gross.minor == minor
    (line,) = set(ruled.lines) - set(plain.lines)
    assert line.place == ("Package" if minor < 0 else "Surcharge")


def test_rule_waits_for_all_its_parts(trail: Catalogue) -> None:
    ruled = rules(trail, rule(-6000, ("hub", "single-coaster-135"), ("sprocket", "no-such")))
    choice = read_choice(trail, COASTER).strict()
    assert compute(ruled, choice).price == compute(rules(trail), choice).price


def test_rule_of_another_model_does_not_count(trail: Catalogue) -> None:
    ruled = rules(trail, rule(-6000, ("hub", "single-coaster-135"), model="burdock"))
    choice = read_choice(trail, COASTER).strict()
    assert compute(ruled, choice).price == compute(rules(trail), choice).price


def test_parts_shown_but_not_sold_make_no_package(trail: Catalogue) -> None:
    """A frame alone is drawn with a coaster hub, and is not sold with it."""
    ruled = rules(trail, rule(-6000, ("hub", "single-coaster-135")))
    choice = read_choice(trail, {**COASTER, "scope": ["frame"]}).strict()
    assert compute(ruled, choice).price == compute(rules(trail), choice).price


def test_the_demo_s_packages_name_parts_there_are(trail: Catalogue) -> None:
    for found in trail.settings.price_rules:
        for needed in found.parts:
            kinds = {"hub", "sprocket", "ring", "transmission"}
            assert needed.place in kinds
            assert trail.part(needed.place, needed.part).slug == needed.part
    names = [line.item for line in compute(trail, read_choice(trail, COASTER).strict()).price.lines]
    assert "Single speed package" in names
