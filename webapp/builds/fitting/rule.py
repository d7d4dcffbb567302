"""How a rule of fit is written down, and whose limits the rules are."""

from __future__ import annotations

from geometry.checks import Condition, Relation, Rule
from webapp.common.text.language import tr

MAKER = tr("part maker's fitting standard")
BUILDER = tr("builder's limit")
FORK_MAKER = tr("fork maker's limit, as the builder keeps it")


def fit_rule(
    code: str,
    compared: tuple[str, Relation, str],
    label: str,
    refusal: str,
    remedy: str,
    *,
    without: str = "",
    remedy_without: str = "",
    fits: str = "",
    source: str = MAKER,
    unit: str = "",
    applies: tuple[Condition, ...] = (),
) -> Rule:
    """One rule: its code, (left, relation, right), what is compared, and its sentences.

    Parameters
    ----------
    code : str
    compared : tuple of (str, Relation, str)
    label : str
        What is compared.
    refusal : str
        Why it does not fit, as `geometry.checks.rules.Rule` has it: with ``{left}``,
        ``{has}``, ``{right}`` and ``{takes}``.
    remedy : str
        What would make it fit, to follow "What would help:".
    without, remedy_without : str
        Both where the right part has nothing to offer.
    fits : str
        That it fits, where the values alone do not say it.
    source : str
    unit : str
    applies : tuple of Condition

    Returns
    -------
    Rule
    """
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
        refusal=refusal,
        without=without,
        remedy_without=remedy_without,
        fits=fits or _fits(label, relation),
        when=applies,
    )


def _fits(label: str, relation: Relation) -> str:
    """That two parts go together, said of what they share; of sizes the values say it."""
    if relation == "equal":
        return label + tr(" of {left} and {right}: {has}")
    if relation == "in":
        return label + tr(": {left} has {has}, and that suits {right}")
    return ""


def when(where: str, *values: object) -> tuple[Condition, ...]:
    """The rule applies only where a property has one of these values."""
    return (Condition(where=where, one_of=frozenset(values)),)
