"""How the answer to a rule of fit is told: names, values, what is missing."""

from __future__ import annotations

from typing import Any

import pytest

from geometry.checks import Condition, Relation
from webapp.builds.fitting.rule import FitPart, FitRule, judge_fit, judge_fits
from webapp.common.memory import Memory


def rule(relation: Relation = "equal", **more: Any) -> FitRule:
    return FitRule(
        code="c",
        left="left.a",
        right="right.b",
        relation=relation,
        label="size",
        source="builder",
        remedy="choose another",
        **more,
    )


def parts(left: Any, right: Any, **more: FitPart) -> dict[str, FitPart]:
    return {
        "left": FitPart(name="this part", properties={"a": left}),
        "right": FitPart(name="that part", properties={"b": right}),
        **more,
    }


def reason(of: FitRule, given: dict[str, FitPart]) -> str:
    check = judge_fit(of, given)
    assert check is not None
    return check.reason


def test_a_refusal_names_both_parts_and_the_mismatch() -> None:
    told = reason(rule("within", unit="mm"), parts(203, (140, 180)))
    assert told == "size: this part has 203 mm, that part takes 140 to 180 mm"


def test_sets_are_told_in_a_fixed_order() -> None:
    told = reason(rule("in"), parts("559", frozenset({"622", "584"})))
    assert told.endswith("takes one of 584 or 622")


@pytest.mark.parametrize(
    ("relation", "right", "words"),
    [("at most", 180, "allows at most 180"), ("at least", 300, "needs at least 300")],
)
def test_sizes_are_told_with_which_side_is_good(
    relation: Relation, right: float, words: str
) -> None:
    assert words in reason(rule(relation), parts(203, right))


def test_the_rule_s_own_sentences_come_before_one_made_of_its_label() -> None:
    own = rule(
        refusal="{left} is too large for {right}",
        without="{right} takes none",
        remedy_without="leave it out",
        fits="{left} fits {right}",
    )
    assert reason(own, parts(1, 1)) == "this part fits that part"
    assert reason(own, parts(2, 1)) == "this part is too large for that part"
    assert reason(own, parts(2, 0)) == "that part takes none"
    nothing = judge_fit(own, parts(2, 0))
    assert nothing is not None
    assert nothing.remedy == "leave it out"


@pytest.mark.parametrize(("left", "remedy"), [(1, ""), (2, "choose another")])
def test_a_remedy_is_given_only_where_one_is_needed(left: int, remedy: str) -> None:
    check = judge_fit(rule(), parts(left, 1))
    assert check is not None
    assert check.remedy == remedy


@pytest.mark.parametrize("missing", ["left", "right"])
def test_what_is_missing_is_told_with_the_part_s_name(missing: str) -> None:
    given = parts(None if missing == "left" else 1, None if missing == "right" else 1)
    name = "this part" if missing == "left" else "that part"
    assert reason(rule(), given) == f"Not known: size of {name}"


def test_a_condition_that_is_not_known_is_told_as_missing() -> None:
    conditional = rule(when=(Condition(where="drive.old_kind", one_of=frozenset({"belt"})),))
    told = reason(conditional, parts(1, None, drive=FitPart(name="old drive")))
    assert told == "Not known: size of that part and old kind of old drive"


def test_codes_are_told_by_their_names_in_the_trade() -> None:
    named = FitPart(name="hub", properties={"a": "six-bolt"}, called=lambda code: f"<{code}>")
    assert "has <six-bolt>," in reason(rule(), {**parts(1, "splined"), "left": named})


def test_rules_that_do_not_apply_are_left_out() -> None:
    alone = {"left": FitPart(name="this part")}
    assert judge_fit(rule(), alone) is None
    assert judge_fits(Memory(most=9), (rule(),), alone) == []
