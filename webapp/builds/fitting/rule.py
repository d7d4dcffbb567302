"""How a rule of fit is written down with its sentences, judged, and put into words."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from geometry.checks import (
    AllMissing,
    AskOrMeasure,
    Check,
    Compared,
    Condition,
    NotStated,
    Part,
    Relation,
    Rule,
    judge_rule,
)
from geometry.core import Statement
from webapp.builds.fitting.sentences import CHECK_SENTENCES, WordedCheck, not_known, with_words
from webapp.common.memory import Memory
from webapp.common.text.language import filled, tr
from webapp.common.text.statements import all_of, one_of

MAKER = tr("part maker's fitting standard")
BUILDER = tr("builder's limit")
FORK_MAKER = tr("fork maker's limit, as the builder keeps it")


@dataclass(frozen=True, kw_only=True, slots=True)
class FitPart(Part):
    """A part of a build, and the names by which its codes are shown to readers."""

    called: Callable[[str], str] = str


@dataclass(frozen=True, kw_only=True, slots=True)
class FitRule(Rule):
    """A rule of fit with its sentences.

    Parameters
    ----------
    label : str
        What is compared, in the trade's words ("rear axle").
    remedy : str
        What would make it fit.
    refusal : str
        Why it does not fit, as a sentence without its full stop, with ``{left}``
        and ``{right}`` for the two parts' names, ``{has}`` and ``{takes}`` for
        the two values; empty for a sentence made of the label.
    without : str
        The same where the right part has nothing: none, no, zero, an empty list.
    remedy_without : str
        What would make it fit then; the remedy when empty.
    fits : str
        That it fits, with the same places; empty for a sentence made of the label.
    """

    label: str
    remedy: str
    refusal: str = ""
    without: str = ""
    remedy_without: str = ""
    fits: str = ""


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
) -> FitRule:
    """One rule: its code, (left, relation, right), what is compared, and its sentences.

    Parameters
    ----------
    code : str
    compared : tuple of (str, Relation, str)
    label : str
        What is compared.
    refusal : str
        Why it does not fit, as `FitRule` has it: with ``{left}``,
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
    FitRule
    """
    left, relation, right = compared
    return FitRule(
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
        fits=fits or _fits(relation),
        when=applies,
    )


def _fits(relation: Relation) -> str:
    """The sentence that two parts go together: it names what they share, for sizes their values."""
    if relation == "equal":
        return tr("{label} of {left} and {right}: {has}")
    if relation == "in":
        return tr("{label}: {left} has {has}, and that suits {right}")
    return ""


def when(where: str, *values: object) -> tuple[Condition, ...]:
    """The rule applies only where a property has one of these values."""
    return (Condition(where=where, one_of=frozenset(values)),)


def judge_fit(rule: FitRule, parts: Mapping[str, FitPart]) -> WordedCheck | None:
    """Judge one rule on the parts of one build, and say why.

    Parameters
    ----------
    rule : FitRule
    parts : mapping of role to FitPart

    Returns
    -------
    WordedCheck or None
        ``None`` when the rule does not apply. A refusal names both parts and the
        mismatch.

    Raises
    ------
    InvalidInput
        As for `geometry.checks.judge_rule`.

    Examples
    --------
    >>> rule = FitRule(code="axle.rear", left="hub.axle", right="frame.rear_axle", relation="equal",
    ...                label="rear axle", source="builder", remedy="choose a hub for that axle")
    >>> parts = {"hub": FitPart(name="geared hub", properties={"axle": "12 × 142"}),
    ...          "frame": FitPart(name="Knapweed", properties={"rear_axle": "12 × 148"})}
    >>> judge_fit(rule, parts).reason
    'rear axle: geared hub has 12 × 142, Knapweed takes 12 × 148'
    """
    check = judge_rule(rule, parts)
    return None if check is None else worded_fit(rule, parts, check)


def remembered_fit(
    memory: Memory, rule: FitRule, parts: Mapping[str, FitPart]
) -> WordedCheck | None:
    """The answer of `judge_fit`, worked out once for the very same parts.

    Parameters
    ----------
    memory : Memory
        Of the catalogue the parts are from.
    rule : FitRule
    parts : mapping of role to FitPart
    """
    read = (rule, *map(parts.get, rule.roles))
    return memory.of_very("fit", read, lambda: judge_fit(rule, parts))


def worded_fit(rule: FitRule, parts: Mapping[str, FitPart], check: Check[Statement]) -> WordedCheck:
    """The answer to a rule with its sentences."""
    if isinstance(check.reason, AllMissing):
        return not_known(
            rule.code,
            missing=all_of([_not_stated(rule, each) for each in check.reason.each]),
            source=rule.source,
            remedy=CHECK_SENTENCES.say(AskOrMeasure()),
            safety=rule.safety,
        )
    assert isinstance(check.reason, Compared)  # noqa: S101  # the only other answer to a rule
    left, right = (parts[where.partition(".")[0]] for where in (rule.left, rule.right))
    words = {
        "label": rule.label,
        "left": left.name,
        "has": _value(check.reason.has, rule.unit, left.called),
        "right": right.name,
        "takes": _value(check.reason.takes, rule.unit, right.called),
    }
    kept, nothing = check.outcome == "clear", not check.reason.takes
    return with_words(
        check,
        reason=filled(_sentence(rule, kept, nothing=nothing), **words),
        remedy="" if kept else filled(_remedy(rule, nothing=nothing), **words),
    )


_PLAIN: Mapping[Relation, str] = MappingProxyType(
    {
        "equal": tr("{label}: {left} has {has}, {right} takes {takes}"),
        "in": tr("{label}: {left} has {has}, {right} takes one of {takes}"),
        "at most": tr("{label}: {left} has {has}, {right} allows at most {takes}"),
        "at least": tr("{label}: {left} has {has}, {right} needs at least {takes}"),
        "within": tr("{label}: {left} has {has}, {right} takes {takes}"),
    }
)


def _sentence(rule: FitRule, kept: bool, *, nothing: bool) -> str:
    """Why it fits or does not, with the places for names and values still open."""
    if kept:
        return rule.fits or _PLAIN[rule.relation]
    return (rule.without if nothing else "") or rule.refusal or _PLAIN[rule.relation]


def _remedy(rule: FitRule, *, nothing: bool) -> str:
    return (rule.remedy_without if nothing else "") or rule.remedy


def _not_stated(rule: FitRule, missing: NotStated) -> str:
    what = rule.label if missing.compared else missing.property.replace("_", " ")
    return tr("{what} of {part}", what=what, part=missing.part)


def _value(value: object, unit: str, called: Callable[[str], str]) -> str:
    """A value in words: numbers with their unit, pairs as a range, sets as a list."""
    tail = f" {unit}" if unit else ""
    if isinstance(value, tuple) and len(value) == 2:  # noqa: PLR2004  # a (lowest, highest) pair
        lowest, highest = _value(value[0], "", called), _value(value[1], unit, called)
        return tr("{lowest} to {highest}", lowest=lowest, highest=highest)
    if isinstance(value, (set, frozenset, list, tuple)):
        return one_of(sorted(_value(item, "", called) for item in value)) + tail if value else tail
    if isinstance(value, (int, float)):
        return filled("{value:.5g}", value=value).replace("-", "\N{MINUS SIGN}") + tail
    return f"{called(str(value))}{tail}"


MOST_BUILDS = 1_000
"""Of how many builds the answers to all rules are kept together."""

Answers = tuple[WordedCheck | None, ...]
"""Answers to several rules, in their order; None where one does not apply."""


def answers_to(memory: Memory, rules: tuple[FitRule, ...], parts: Mapping[str, FitPart]) -> Answers:
    """The answer to each of several rules about one build, kept together too.

    Builds differ in many ways that no rule asks for, such as their size and axle position.

    >>> answers_to(Memory(most=4), (), {})
    ()
    """
    together = memory.nested("answers to the rules", most=MOST_BUILDS)
    return together.of_very(
        tuple(parts),
        (rules, *parts.values()),
        lambda: tuple(remembered_fit(memory, rule, parts) for rule in rules),
    )


def judge_fits(
    memory: Memory, rules: tuple[FitRule, ...], parts: Mapping[str, FitPart]
) -> list[WordedCheck]:
    """Every rule that applies to one build, in the rules' order, with its sentences.

    >>> judge_fits(Memory(most=4), (), {})
    []
    """
    return [check for check in answers_to(memory, rules, parts) if check is not None]
