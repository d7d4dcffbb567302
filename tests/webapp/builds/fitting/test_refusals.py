"""Every refusal in plain words: each rule on every pair of parts, and what is computed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import product
from types import MappingProxyType

import pytest

from tests.architecture.reading_code import ROOT
from tests.webapp.builds.plain_words import Codes, codes_of, parts_of, wrong_in
from webapp.builds.choice.build_choice import read_choice
from webapp.builds.choice.places import PLACE_OF
from webapp.builds.evaluation import compute
from webapp.builds.fitting.calculations.setup import Setup
from webapp.builds.fitting.checks import fit_checks, label_of
from webapp.builds.fitting.options import extra_options, options
from webapp.builds.fitting.part_rules import EXTRA_RULES, RULES
from webapp.builds.fitting.roles import extra_roles, part_role, roles_of
from webapp.builds.fitting.rule import FitPart, FitRule, judge_fit
from webapp.builds.fitting.sentences import WordedCheck
from webapp.builds.solving.solver_inputs import Assembly
from webapp.builds.suggestions.check_remedies import remedies_of
from webapp.catalogue.reading.views import AnyPart, Catalogue
from webapp.catalogue.schema.part_kinds import ExtraData
from webapp.common.text.sentences import reason_and_remedy

Catalogues = Mapping[tuple[str, int], Catalogue]
Parts = Mapping[str, tuple[AnyPart, ...]]


def usual(catalogue: Catalogue) -> Setup:
    return Setup.of(catalogue, read_choice(catalogue, {}).strict())


def in_words(check: WordedCheck) -> str:
    return reason_and_remedy(check.reason, check.remedy)


def places_in(rule: FitRule) -> tuple[str, ...]:
    """Places on whose parts a rule's answer depends."""
    wheres = (rule.left, rule.right, *(each.where for each in rule.when))
    roles = {where.partition(".")[0] for where in wheres}
    if "ring.chainline" in wheres:
        roles.add("crank")
    if "hub.chainlines" in wheres:
        roles.add("transmission")
    return tuple(place for place in PLACE_OF if place in roles)


def candidates(parts: Parts, place: str) -> list[AnyPart | None]:
    known = PLACE_OF[place]
    return [*parts[known.kind], *([None] if known.optional else [])]


def with_parts(
    assembly: Assembly, roles: Mapping[str, FitPart], chosen: Mapping[str, AnyPart | None]
) -> dict[str, FitPart]:
    held = {**assembly.parts, **chosen}
    mixed = replace(assembly, parts={place: part for place, part in held.items() if part})
    called = roles["frame"].called
    return {**roles, **{place: part_role(mixed, place, called) for place in chosen}}


def answers(rule: FitRule, catalogue: Catalogue, parts: Parts) -> Iterator[WordedCheck]:
    assembly = usual(catalogue).assembly
    roles = roles_of(catalogue, assembly)
    places = places_in(rule)
    for chosen in product(*(candidates(parts, place) for place in places)):
        mixed = with_parts(assembly, roles, dict(zip(places, chosen, strict=True)))
        check = judge_fit(rule, mixed)
        if check is not None:
            yield check


def extra_answers(catalogue: Catalogue, parts: Parts) -> Iterator[WordedCheck]:
    assembly = usual(catalogue).assembly
    roles = roles_of(catalogue, assembly)
    for extra, place in product(parts["extra"], ("fork", "rim_rear", "tyre_rear", "transmission")):
        for part in parts[PLACE_OF[place].kind]:
            mixed = with_parts(assembly, roles, {place: part})
            for beside in extra_roles(catalogue, mixed, extra.of(ExtraData)):
                found = (judge_fit(rule, beside) for rule in EXTRA_RULES)
                yield from (check for check in found if check is not None)


@pytest.fixture(scope="module")
def codes(catalogues: Catalogues) -> Codes:
    return codes_of(catalogues.values())


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.code)
def test_a_rule_speaks_plainly_of_every_pair_of_parts(
    rule: FitRule, catalogues: Catalogues, codes: Codes
) -> None:
    parts = parts_of(catalogues.values())
    said = {
        in_words(check)
        for catalogue in catalogues.values()
        for check in answers(rule, catalogue, parts)
    }
    wrong = {text: found for text in said if (found := wrong_in(text, codes))}
    assert not wrong
    assert rule.refusal, "every rule has its own sentence"


def test_a_rule_of_an_extra_speaks_plainly_of_every_pair_of_parts(
    catalogues: Catalogues, codes: Codes
) -> None:
    parts = parts_of(catalogues.values())
    for catalogue in catalogues.values():
        for text in {in_words(check) for check in extra_answers(catalogue, parts)}:
            assert not wrong_in(text, codes), text
    assert all(rule.refusal for rule in EXTRA_RULES)


def test_the_guide_says_how_many_comparisons_are_code() -> None:
    """Rule 4 of DEVELOPERS.md: what is compared is data, which with which is code."""
    guide = " ".join((ROOT / "DEVELOPERS.md").read_text().split())
    assert "fifty declarations in `part_rules.py` and `drive_rules.py`" in guide
    assert len((*RULES, *EXTRA_RULES)) == 50


def test_every_rule_has_a_sentence_of_its_own() -> None:
    sentences = defaultdict(list)
    for rule in (*RULES, *EXTRA_RULES):
        sentences[rule.refusal, rule.remedy].append(rule.code)
        assert "{right}" in rule.refusal or "{left}" in rule.refusal
    assert all(len(shared) == 1 for shared in sentences.values()), sentences


@pytest.mark.parametrize("key", [("knapweed", 2), ("burdock", 1)])
def test_what_is_computed_of_any_other_part_is_told_plainly(
    key: tuple[str, int], catalogues: Catalogues, codes: Codes
) -> None:
    catalogue = catalogues[key]
    setup = usual(catalogue)
    judged = [o for found in options(setup).values() for o in found]
    judged += extra_options(setup).values()
    said = {reason_and_remedy(option.reason, option.remedy) for option in judged}
    assert any(said), "some part is refused"
    for text in said:
        assert not wrong_in(text, codes), text


def test_checks_labels_and_ways_of_mismatches_are_plain(
    catalogues: Catalogues, codes: Codes
) -> None:
    """In each place in turn the part that is least like the usual one: the last listed."""
    for catalogue in (catalogues["knapweed", 2], catalogues["burdock", 1]):
        choice = usual(catalogue).choice
        for place in ("fork", "tyre_rear", "hub", "transmission", "axle"):
            last = catalogue.offered(PLACE_OF[place].kind)[-1].slug
            changed = replace(choice, parts=MappingProxyType({**choice.parts, place: last}))
            result = compute(catalogue, changed)
            said = [in_words(check) for check in result.checks]
            said += [label_of(check.code) for check in result.checks]
            said += [mend.words for ways in remedies_of(result).values() for mend in ways]
            for text in said:
                assert not wrong_in(text, codes), text


def test_the_usual_checks_pass_in_plain_words(trail: Catalogue, codes: Codes) -> None:
    for check in fit_checks(usual(trail)):
        assert not wrong_in(in_words(check), codes), check.reason
