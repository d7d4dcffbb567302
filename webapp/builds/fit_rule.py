"""How a rule of fit is written down, and whose limits the rules are."""

from __future__ import annotations

from geometry.standards import Condition, Relation, Rule

MAKER = "part maker's fitting standard"
BUILDER = "builder's limit"
FORK_MAKER = "fork maker's limit, as the builder keeps it"


def fit_rule(
    code: str,
    compared: tuple[str, Relation, str],
    label: str,
    remedy: str,
    *,
    source: str = MAKER,
    unit: str = "",
    applies: tuple[Condition, ...] = (),
) -> Rule:
    """One rule: its code, (left, relation, right), what is compared, what would make it fit."""
    left, relation, right = compared
    return Rule(
        code=code,
        left=left,
        relation=relation,
        right=right,
        label=label,
        remedy=remedy,
        source=source,
        unit=unit,
        safety=True,
        when=applies,
    )


def when(where: str, *values: object) -> tuple[Condition, ...]:
    """The rule applies only where a property has one of these values."""
    return (Condition(where=where, one_of=frozenset(values)),)
