"""Rules of fit: each fails on a mismatch and passes on the usual build; ways out repair."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any

import pytest

from webapp.builds.choice.build_choice import BuildChoice, read_choice
from webapp.builds.choice.places import PLACE_OF, SCOPES, Scope
from webapp.builds.evaluation import compute
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.checks import fit_checks, places_of, rules_for
from webapp.builds.fitting.options import options
from webapp.builds.fitting.part_rules import RULES
from webapp.builds.fitting.roles import roles_of
from webapp.builds.fitting.rule import FitPart, FitRule, judge_fit
from webapp.builds.page.check_view import check_lists, key_of
from webapp.builds.page.troubles import place_of_check
from webapp.builds.solving.solver_inputs import assemble
from webapp.builds.suggestions.check_remedies import remedies_of
from webapp.builds.suggestions.repair import find_repair
from webapp.catalogue.reading.views import Catalogue

Catalogues = Mapping[tuple[str, int], Catalogue]

# Builds between which every rule applies at least once.
BUILDS: tuple[tuple[tuple[str, int], dict[str, str]], ...] = (
    (("knapweed", 2), {}),
    (
        ("knapweed", 2),
        {
            "hub": "single-coaster-135",
            "axle": "nutted-10x135",
            "ring": "single-32",
            "sprocket": "lug-18",
            "transmission": "chain-wide",
            "derailleur": "none",
            "brake": "disc-front-180",
        },
    ),
    (
        ("knapweed", 2),
        {
            "hub": "hub-gear-6-135",
            "axle": "nutted-10x135",
            "ring": "belt-44",
            "sprocket": "belt-24",
            "transmission": "belt",
            "derailleur": "none",
        },
    ),
    (("burdock", 1), {}),
)


def chosen(catalogue: Catalogue, fields: Mapping[str, str]) -> BuildChoice:
    return read_choice(catalogue, {name: [value] for name, value in fields.items()}).strict()


def all_roles(catalogues: Catalogues) -> list[Mapping[str, FitPart]]:
    found = []
    for key, fields in BUILDS:
        catalogue = catalogues[key]
        found.append(roles_of(catalogue, assemble(catalogue, chosen(catalogue, fields))))
    return found


def outcomes(catalogue: Catalogue, choice: BuildChoice) -> dict[str, str | None]:
    checks = fit_checks(Setup.of(catalogue, choice))
    return {check.code: check.outcome for check in checks}


def mismatched(rule: FitRule, roles: Mapping[str, FitPart]) -> dict[str, FitPart]:
    """The same roles, with one side put outside what the other takes."""
    (left, name), (right, limit) = (where.split(".") for where in (rule.left, rule.right))
    takes: Any = roles[right].properties[limit]
    if rule.left in {condition.where for condition in rule.when}:
        # Another value on the left would only switch the rule off.
        return {**roles, right: _with(roles[right], limit, frozenset({"of another kind"}))}
    bad: Mapping[str, Callable[[], Any]] = {
        "equal": lambda: not takes if isinstance(takes, bool) else f"not {takes}",
        "in": lambda: "of another kind",
        "at most": lambda: takes + 1,
        "at least": lambda: takes - 1,
        "within": lambda: takes[1] + 1,
    }
    return {**roles, left: _with(roles[left], name, bad[rule.relation]())}


def _with(part: FitPart, name: str, value: Any) -> FitPart:
    return FitPart(name=part.name, properties={**part.properties, name: value})


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.code)
def test_rule_passes_as_built_and_fails_on_a_mismatch(
    catalogues: Catalogues, rule: FitRule
) -> None:
    judged = [(roles, judge_fit(rule, roles)) for roles in all_roles(catalogues)]
    applying = [(roles, check) for roles, check in judged if check is not None]
    assert applying, "no demo build is judged by this rule"
    for roles, check in applying:
        assert check.outcome == "clear", check.reason
        failed = judge_fit(rule, mismatched(rule, roles))
        assert failed is not None
        assert failed.outcome == "no"
        assert failed.remedy


# One part or position that does not belong, on the usual build, and the rule that says so.
MISMATCHES = [
    ("tyre_front", "57-584", "tyre.rim.front"),
    ("tyre_rear", "64-584", "tyre.rim.rear"),
    ("rim_rear", "584-38", "tyre.rim.rear"),
    ("hub", "single-coaster-135", "axle.hub"),
    ("hub", "single-coaster-135", "brake.rear.hub"),
    ("axle", "nutted-10x135", "axle.hub"),
    ("transmission", "belt", "ring.transmission"),
    ("transmission", "chain-wide", "sprocket.transmission"),
    ("sprocket", "lug-18", "sprocket.hub"),
    ("derailleur", "none", "derailleur.hub"),
    ("brake", "none", "brake.two"),
    ("brake", "disc-front-180", "brake.two"),
    ("spacers", "100", "spacers"),
    ("saddle_height", "1000", "post.range"),
    ("saddle_height", "400", "post.range"),
    ("rail", "60", "saddle.rails"),
]


@pytest.mark.parametrize(("name", "value", "code"), MISMATCHES)
def test_real_mismatch_is_found(trail: Catalogue, name: str, value: str, code: str) -> None:
    choice = chosen(trail, {name: value})
    assert outcomes(trail, choice)[code] == "no"
    assert not compute(trail, choice).can_be_ordered


@pytest.mark.parametrize("key", [("knapweed", 1), ("knapweed", 2), ("burdock", 1)])
@pytest.mark.parametrize("scope", SCOPES)
def test_every_size_can_be_ordered_as_usual(
    catalogues: Catalogues, key: tuple[str, int], scope: Scope
) -> None:
    catalogue = catalogues[key]
    for size in catalogue.sizes:
        choice = chosen(catalogue, {"size": size.slug, "scope": scope})
        result = compute(catalogue, choice)
        assert result.failed == (), size.name
        assert result.can_be_ordered == (catalogue.revision.state == "published")


def test_rules_between_parts_that_are_not_sold_are_left_out() -> None:
    assert set(rules_for("frame")) < set(rules_for("frameset")) < set(rules_for("bike"))
    assert rules_for("bike") == RULES


def test_draft_cannot_be_ordered(trail: Catalogue) -> None:
    draft = replace(trail, revision=replace(trail.revision, state="draft"))
    assert not compute(draft, chosen(draft, {})).can_be_ordered


@pytest.mark.parametrize(
    ("key", "fields", "keep"),
    [
        (("knapweed", 2), {"rim_rear": "584-38"}, "rim_rear"),
        (("knapweed", 2), {"rim_rear": "584-38"}, "tyre_rear"),
        (("knapweed", 2), {"tyre_front": "57-584"}, "tyre_front"),
        (("knapweed", 2), {"transmission": "belt"}, "transmission"),
        (("knapweed", 2), {"hub": "single-freewheel-148"}, "hub"),
        (("knapweed", 2), {"hub": "single-coaster-135"}, "hub"),
        (("knapweed", 2), {"hub": "hub-gear-6-135"}, "hub"),
        (("knapweed", 2), {"derailleur": "none"}, "derailleur"),
        (("knapweed", 2), {"brake": "none"}, ""),
        (("burdock", 1), {"rim_front": "584-27"}, "rim_front"),
    ],
)
def test_way_out_repairs_and_keeps_what_was_chosen(
    catalogues: Catalogues, key: tuple[str, int], fields: dict[str, str], keep: str
) -> None:
    catalogue = catalogues[key]
    broken = chosen(catalogue, fields)
    assert compute(catalogue, broken).failed
    way = find_repair(catalogue, broken, keep=[keep] if keep else [])
    assert way is not None
    assert compute(catalogue, way.choice).failed == ()
    if keep:
        assert way.choice.part(keep) == broken.part(keep)
    changed = [place for place in PLACE_OF if way.choice.part(place) != broken.part(place)]
    assert [label for label, _ in way.changes] == [PLACE_OF[place].label for place in changed]


def test_way_out_of_nothing_is_none(trail: Catalogue) -> None:
    assert find_repair(trail, chosen(trail, {})) is None


def test_way_out_that_needs_a_kept_part_is_none(trail: Catalogue) -> None:
    broken = chosen(trail, {"tyre_rear": "64-584"})
    assert find_repair(trail, broken, keep=["tyre_rear", "rim_rear"]) is None


def test_options_judge_every_part_against_the_rest(trail: Catalogue) -> None:
    choice = chosen(trail, {})
    judged = options(Setup.of(trail, choice))
    tyres = {option.part.slug: option for option in judged["tyre_rear"]}
    assert tyres["59-622"].reason == ""
    assert "584" in tyres["64-584"].reason
    assert tyres["64-584"].remedy == "a rear tyre for a rim of 622 mm"
    for option in judged["fork"]:
        parts = MappingProxyType({**choice.parts, "fork": option.part.slug})
        swapped = outcomes(trail, replace(choice, parts=parts))
        fails = any(outcome == "no" for outcome in swapped.values())
        assert bool(option.reason) == fails


def test_places_of_a_rule_leave_out_the_frame() -> None:
    assert places_of("fork.length") == ("fork",)
    assert all(set(places_of(rule.code)) <= set(PLACE_OF) for rule in RULES)


def test_extras_no_longer_made_are_told_each_and_can_be_left_out(trail: Catalogue) -> None:
    gone = ("mudguards-29", "bottle-600")
    extras = [replace(part, retired=part.slug in gone) for part in trail.parts["extra"]]
    known = replace(trail, parts=MappingProxyType({**trail.parts, "extra": tuple(extras)}))
    result = compute(known, replace(chosen(known, {}), extras=gone))
    told = {check.code for check in result.failed if check.code.startswith("offered.")}
    assert told == {f"offered.extra.{slug}" for slug in gone}
    assert {line.key for line in check_lists(result).failing} >= {key_of(code) for code in told}
    for code in told:
        (way,) = remedies_of(result)[code]
        assert set(way.choice.extras) == {*gone} - {code.rpartition(".")[2]}
        assert place_of_check(code, PLACE_OF) == "extras"
