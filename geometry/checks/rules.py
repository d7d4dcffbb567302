"""Rules of fit between parts, as data, and the one function that judges them all.

A part is a name and a bag of properties. A rule compares one property of one
role ("frame", "hub", "fork" …) with one property of another. A new rule is a new
row; nothing here needs to know what it is about::

    Rule(code="axle.rear", left="hub.axle", right="frame.rear_axle", relation="equal", …)
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal, cast

from geometry.checks.outcomes import Check, unknown
from geometry.core import InvalidInput

Relation = Literal["equal", "in", "at most", "at least", "within"]


@dataclass(frozen=True, kw_only=True, slots=True)
class Part:
    """One part as the rules see it.

    Parameters
    ----------
    name : str
        As a customer reads it ("suspension fork 29, 130 mm").
    properties : mapping of str to object
        Numbers, words, collections of words, or (lowest, highest) pairs. A
        missing property, or ``None``, is not known.
    called : callable
        What a word among the properties is called when a reader is told of it.
    """

    name: str
    properties: Mapping[str, object] = field(default_factory=lambda: MappingProxyType({}))
    called: Callable[[str], str] = str


@dataclass(frozen=True, kw_only=True, slots=True)
class Condition:
    """When a rule applies at all: a property's value is one of those listed.

    Parameters
    ----------
    where : str
        ``"role.property"``.
    one_of : collection
        Values for which the rule applies.
    """

    where: str
    one_of: frozenset[object]


@dataclass(frozen=True, kw_only=True, slots=True)
class Rule:
    """One rule of fit between two properties.

    Parameters
    ----------
    code : str
        Which question, dotted.
    left, right : str
        ``"role.property"`` of the two parts.
    relation : {"equal", "in", "at most", "at least", "within"}
        What the left must be to the right: the same; a member of it; no more
        than it; no less than it; between its lowest and highest.
    label : str
        What is compared, in the trade's words ("rear axle").
    source : str
        Whose rule it is.
    remedy : str
        What would make it fit.
    unit : str
        Of numbers.
    safety : bool
        True when a failure must block an order.
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
    when : tuple of Condition
        All must hold for the rule to apply; empty for always. One that is not
        known makes the rule's answer not known.

    Raises
    ------
    InvalidInput
        A ``left`` or ``right`` that is not "role.property", or an unknown relation.
    """

    code: str
    left: str
    right: str
    relation: Relation
    label: str
    source: str
    remedy: str
    unit: str = ""
    safety: bool = False
    refusal: str = ""
    without: str = ""
    remedy_without: str = ""
    fits: str = ""
    when: tuple[Condition, ...] = ()

    def __post_init__(self) -> None:
        wheres = [("left", self.left), ("right", self.right)]
        for name, where in wheres + [("when", condition.where) for condition in self.when]:
            role, dot, prop = where.partition(".")
            if not (role and dot and prop):
                raise InvalidInput(name, where, 'must be "role.property"')
        if self.relation not in _KEPT:
            remedy = f"must be one of {', '.join(_KEPT)}"
            raise InvalidInput("relation", self.relation, remedy)



def _size(value: object) -> float:
    """A property that is a number, as rules that compare sizes say it is."""
    return cast("float", value)


def _range(value: object) -> tuple[float, float]:
    """A property that is a pair, (lowest, highest)."""
    return cast("tuple[float, float]", value)


def _within(left: object, right: object) -> bool:
    lowest, highest = _range(right)
    return lowest <= _size(left) <= highest


_KEPT: Mapping[str, Callable[[object, object], bool]] = MappingProxyType(
    {
        "equal": lambda left, right: left == right,
        "in": lambda left, right: left in cast("Collection[object]", right),
        "at most": lambda left, right: _size(left) <= _size(right),
        "at least": lambda left, right: _size(left) >= _size(right),
        "within": _within,
    }
)

_WORDS: Mapping[str, str] = MappingProxyType(
    {
        "equal": "takes",
        "in": "takes one of",
        "at most": "allows at most",
        "at least": "needs at least",
        "within": "takes",
    }
)


def _property(parts: Mapping[str, Part], where: str) -> object:
    role, _, name = where.partition(".")
    return parts[role].properties.get(name)


def _said(value: object, unit: str, called: Callable[[str], str]) -> str:
    """A value in words: numbers with their unit, pairs as a range, sets as a list."""
    tail = f" {unit}" if unit else ""
    if isinstance(value, tuple) and len(value) == 2:  # noqa: PLR2004  # a (lowest, highest) pair
        return f"{_said(value[0], '', called)} to {_said(value[1], unit, called)}"
    if isinstance(value, (set, frozenset, list, tuple)):
        return " or ".join(sorted(_said(item, "", called) for item in value)) + tail
    if isinstance(value, (int, float)):
        return f"{value:.5g}{tail}".replace("-", "\N{MINUS SIGN}")
    return f"{called(str(value))}{tail}"


def _applies(rule: Rule, parts: Mapping[str, Part]) -> bool:
    roles = (where.partition(".")[0] for where in (rule.left, rule.right))
    if any(role not in parts for role in roles):
        return False
    for condition in rule.when:
        if condition.where.partition(".")[0] not in parts:
            return False
        value = _property(parts, condition.where)
        # an unknown condition must not switch a rule off unseen
        if value is not None and value not in condition.one_of:
            return False
    return True


def _missing(rule: Rule, parts: Mapping[str, Part]) -> list[str]:
    """What the rule needs and nobody has stated, in words."""
    compared = [
        f"{rule.label} of {parts[where.partition('.')[0]].name}"
        for where in (rule.left, rule.right)
        if _property(parts, where) is None
    ]
    conditions = [
        f"{where.partition('.')[2].replace('_', ' ')} of {parts[where.partition('.')[0]].name}"
        for where in (condition.where for condition in rule.when)
        if _property(parts, where) is None
    ]
    return compared + conditions


def _numbers(rule: Rule, left: object, right: object) -> tuple[float | None, ...]:
    """Figure, limit and margin where the rule compares sizes."""
    if rule.relation == "at most":
        figure, limit = float(_size(left)), float(_size(right))
        return figure, limit, limit - figure
    if rule.relation == "at least":
        figure, limit = float(_size(left)), float(_size(right))
        return figure, limit, figure - limit
    if rule.relation == "within":
        figure, (lowest, highest) = float(_size(left)), _range(right)
        below, above = figure - lowest, highest - figure
        return figure, float(lowest if below < above else highest), float(min(below, above))
    return None, None, None


def judge_rule(rule: Rule, parts: Mapping[str, Part]) -> Check | None:
    """Judge one rule on the parts of one build.

    Parameters
    ----------
    rule : Rule
        What to compare.
    parts : mapping of role to Part
        The build's parts by role.

    Returns
    -------
    Check or None
        ``None`` when the rule does not apply: a role is not filled or a
        condition does not hold. An unknown property gives an unknown check. A
        refusal names both parts and the mismatch.

    Raises
    ------
    InvalidInput
        Values that cannot be compared as the rule asks (a word where a number
        must be).

    Examples
    --------
    >>> rule = Rule(code="axle.rear", left="hub.axle", right="frame.rear_axle", relation="equal",
    ...             label="rear axle", source="builder", remedy="choose a hub for that axle")
    >>> parts = {"hub": Part(name="geared hub", properties={"axle": "12 × 142"}),
    ...          "frame": Part(name="Knapweed", properties={"rear_axle": "12 × 148"})}
    >>> print(judge_rule(rule, parts).reason)
    rear axle: geared hub has 12 × 142, Knapweed takes 12 × 148
    """
    if not _applies(rule, parts):
        return None
    missing = _missing(rule, parts)
    if missing:
        return unknown(
            rule.code,
            missing=" and ".join(missing),
            source=rule.source,
            remedy="ask the builder or measure the part",
            safety=rule.safety,
        )
    sides = (
        (parts[where.partition(".")[0]], _property(parts, where))
        for where in (rule.left, rule.right)
    )
    return _compared(rule, *sides)


def _compared(rule: Rule, left_side: tuple[Part, object], right_side: tuple[Part, object]) -> Check:
    (left_part, left), (right_part, right) = left_side, right_side
    try:
        kept = bool(_KEPT[rule.relation](left, right))
        figure, limit, margin = _numbers(rule, left, right)
    except (TypeError, IndexError, KeyError) as error:
        remedy = f'"{rule.relation}" cannot compare it with {right!r} of {right_part.name}'
        raise InvalidInput(rule.left, left, remedy) from error
    words = {
        "left": left_part.name,
        "has": _said(left, rule.unit, left_part.called),
        "right": right_part.name,
        "takes": _said(right, rule.unit, right_part.called),
    }
    return Check(
        code=rule.code,
        outcome="clear" if kept else "no",
        figure=figure,
        limit=limit,
        margin=margin,
        unit=rule.unit,
        reason=_sentence(rule, kept, nothing=not right).format(**words),
        source=rule.source,
        remedy="" if kept else _remedy(rule, nothing=not right).format(**words),
        safety=rule.safety,
    )


def _sentence(rule: Rule, kept: bool, *, nothing: bool) -> str:
    """Why it fits or does not, with the places for names and values still open."""
    plain = rule.label + ": {left} has {has}, {right} " + _WORDS[rule.relation] + " {takes}"
    if kept:
        return rule.fits or plain
    return (rule.without if nothing else "") or rule.refusal or plain


def _remedy(rule: Rule, *, nothing: bool) -> str:
    return (rule.remedy_without if nothing else "") or rule.remedy


def judge_rules(rules: Iterable[Rule], parts: Mapping[str, Part]) -> list[Check]:
    """Judge every rule that applies to one build.

    Parameters
    ----------
    rules : iterable of Rule
        The builder's rules.
    parts : mapping of role to Part
        The build's parts by role.

    Returns
    -------
    list of Check
        In the rules' order, those that do not apply left out.

    Examples
    --------
    >>> judge_rules([], {})
    []
    """
    checks = (judge_rule(rule, parts) for rule in rules)
    return [check for check in checks if check is not None]


def judge_options(
    rules: Iterable[Rule], parts: Mapping[str, Part], *, role: str, options: Iterable[Part]
) -> list[list[Check]]:
    """What every other choice for one role would do to a build.

    Parameters
    ----------
    rules : iterable of Rule
        The builder's rules; only those that touch the role are judged.
    parts : mapping of role to Part
        The build's parts by role.
    role : str
        Which choice is open.
    options : iterable of Part
        The choices.

    Returns
    -------
    list of list of Check
        One list of checks per option, in the order given.

    Examples
    --------
    >>> judge_options([], {}, role="hub", options=[Part(name="geared hub")])
    [[]]
    """
    start = f"{role}."
    touching = [
        rule
        for rule in rules
        if any(
            where.startswith(start)
            for where in (rule.left, rule.right, *(condition.where for condition in rule.when))
        )
    ]
    return [judge_rules(touching, {**parts, role: option}) for option in options]
