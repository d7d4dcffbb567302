"""Rules of fit: every relation, what a refusal tells, unknown properties, bad rules."""

from __future__ import annotations

from typing import Any

import pytest

from geometry.checks.rules import (
    AllMissing,
    Compared,
    Condition,
    NotStated,
    Part,
    Relation,
    Rule,
    judge_rule,
)
from geometry.core.errors import InvalidInput


def rule(relation: Relation = "equal", **more: Any) -> Rule:
    return Rule(
        code="c",
        left="left.a",
        right="right.b",
        relation=relation,
        source="builder",
        **more,
    )


def parts(left: Any, right: Any, **more: Part) -> dict[str, Part]:
    return {
        "left": Part(name="this part", properties={"a": left}),
        "right": Part(name="that part", properties={"b": right}),
        **more,
    }


@pytest.mark.parametrize(
    ("relation", "left", "right", "outcome", "margin"),
    [
        ("equal", "12 × 148", "12 × 148", "clear", None),
        ("equal", "12 × 142", "12 × 148", "no", None),
        ("in", "622", frozenset({"584", "622"}), "clear", None),
        ("in", "559", frozenset({"584", "622"}), "no", None),
        ("at most", 180, 180, "clear", 0.0),
        ("at most", 203, 180, "no", -23.0),
        ("at least", 160, 180, "no", -20.0),
        ("at least", 180, 160, "clear", 20.0),
        ("at least", 180, 180, "clear", 0.0),
        ("within", 140, (140, 180), "clear", 0.0),
        ("within", 180, (140, 180), "clear", 0.0),
        ("within", 160, (140, 180), "clear", 20.0),
        ("within", 130, (140, 180), "no", -10.0),
        ("within", 203, (140, 180), "no", -23.0),
    ],
)
def test_relations(
    relation: Relation, left: Any, right: Any, outcome: str, margin: float | None
) -> None:
    check = judge_rule(rule(relation), parts(left, right))
    assert check is not None
    assert (check.outcome, check.margin) == (outcome, margin)
    assert check.remedy == "", "what would help is known to whoever wrote the rule"


def test_a_refusal_names_both_parts_and_the_mismatch() -> None:
    check = judge_rule(rule("within", unit="mm"), parts(203, (140, 180)))
    assert check is not None
    assert check.reason == Compared(left="this part", has=203, right="that part", takes=(140, 180))
    assert check.unit == "mm"
    assert check.limit == 180.0
    assert not check.safety, "a rule holds an order back only where it says so"


@pytest.mark.parametrize("missing", ["left", "right"])
def test_a_missing_property_is_not_known(missing: str) -> None:
    given = parts(None if missing == "left" else 1, None if missing == "right" else 1)
    check = judge_rule(rule(safety=True), given)
    assert check is not None
    assert check.outcome is None
    assert check.safety
    part, name = ("this part", "a") if missing == "left" else ("that part", "b")
    assert check.reason == AllMissing(each=(NotStated(part=part, property=name, compared=True),))


def test_a_rule_without_both_parts_does_not_apply() -> None:
    assert judge_rule(rule(), {"left": Part(name="this part")}) is None


def test_conditions_switch_a_rule() -> None:
    conditional = rule(when=(Condition(where="drive.kind", one_of=frozenset({"belt"})),))
    belt, chain = (Part(name="drive", properties={"kind": kind}) for kind in ("belt", "chain"))
    assert judge_rule(conditional, parts(1, 2)) is None
    assert judge_rule(conditional, parts(1, 2, drive=chain)) is None
    check = judge_rule(conditional, parts(1, 2, drive=belt))
    assert check is not None
    assert check.outcome == "no"
    unstated = judge_rule(conditional, parts(1, 1, drive=Part(name="old drive")))
    assert unstated is not None
    assert unstated.outcome is None
    said = NotStated(part="old drive", property="kind", compared=False)
    assert unstated.reason == AllMissing(each=(said,))


def test_values_of_the_wrong_kind_name_the_field() -> None:
    with pytest.raises(InvalidInput) as caught:
        judge_rule(rule("at most"), parts("wide", 5))
    assert caught.value.field == "left.a"
    with pytest.raises(InvalidInput, match="within"):
        judge_rule(rule("within"), parts(5, 5))


@pytest.mark.parametrize("where", ["hub", "hub.", ".axle", ""])
def test_a_rule_must_name_role_and_property(where: str) -> None:
    with pytest.raises(InvalidInput, match="role and property"):
        Rule(code="c", left=where, right="a.b", relation="equal", source="")


def test_an_unknown_relation_is_refused_when_the_rule_is_made() -> None:
    with pytest.raises(InvalidInput, match="relation"):
        rule("nearly")  # type: ignore[arg-type]


def test_a_rule_tells_the_roles_it_reads_each_once() -> None:
    made = rule(when=(Condition(where="hub.kind", one_of=frozenset({"geared"})),))
    assert made.roles == ("left", "right", "hub")
    same = Rule(code="c", left="frame.a", right="frame.b", relation="equal", source="builder")
    assert same.roles == ("frame",)
