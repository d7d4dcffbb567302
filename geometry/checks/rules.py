"""Rules of fit between parts, as data, and the one function that judges any of them.

A part is a name and a bag of properties. A rule compares one property of one
role ("frame", "hub", "fork" …) with one property of another. A new rule is a new
row; nothing here needs to know what it is about::

    Rule(code="axle.rear", left="hub.axle", right="frame.rear_axle", relation="equal", …)
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal, cast

from geometry.checks.outcomes import Check, unknown
from geometry.checks.remedies import ComparableValues, RoleAndProperty
from geometry.core import (
    InvalidInput,
    OneOf,
    Statement,
)

Relation = Literal["equal", "in", "at most", "at least", "within"]


@dataclass(frozen=True, kw_only=True)
class Compared(Statement):
    """Two parts' names and the values that were compared, fitting or not."""

    left: str
    has: object
    right: str
    takes: object


@dataclass(frozen=True, kw_only=True)
class NotStated(Statement):
    """A property of a part that is not known: one compared, or one a condition asks for."""

    part: str
    property: str
    compared: bool


@dataclass(frozen=True, kw_only=True)
class AllMissing(Statement):
    """Every property that a rule needs and that is not known."""

    each: tuple[NotStated, ...]


@dataclass(frozen=True, kw_only=True)
class AskOrMeasure(Statement):
    """Ask the builder, or measure the part."""


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
    """

    name: str
    properties: Mapping[str, object] = field(default_factory=lambda: MappingProxyType({}))


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
    source : str
        Whose rule it is.
    unit : str
        Of numbers.
    safety : bool
        True when a failure must block an order.
    when : tuple of Condition
        All must hold for the rule to apply; empty for always. One that is not
        known makes the rule's answer not known.
    roles : tuple of str
        Every role whose part it reads; not given but found in the others.

    Raises
    ------
    InvalidInput
        A ``left`` or ``right`` that is not "role.property", or an unknown relation.
    """

    code: str
    left: str
    right: str
    relation: Relation
    source: str
    unit: str = ""
    safety: bool = False
    when: tuple[Condition, ...] = ()
    roles: tuple[str, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        wheres = [("left", self.left), ("right", self.right)]
        asked = [("when", condition.where) for condition in self.when]
        for name, where in wheres + asked:
            role, dot, prop = where.partition(".")
            if not (role and dot and prop):
                raise InvalidInput(name, where, RoleAndProperty())
        if self.relation not in _KEPT:
            raise InvalidInput("relation", self.relation, OneOf(choices=tuple(_KEPT)))
        roles = dict.fromkeys(where.partition(".")[0] for _, where in [*wheres, *asked])
        object.__setattr__(self, "roles", tuple(roles))


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


def _property(parts: Mapping[str, Part], where: str) -> object:
    role, _, name = where.partition(".")
    return parts[role].properties.get(name)


def _applies(rule: Rule, parts: Mapping[str, Part]) -> bool:
    roles = (where.partition(".")[0] for where in (rule.left, rule.right))
    if any(role not in parts for role in roles):
        return False
    for condition in rule.when:
        if condition.where.partition(".")[0] not in parts:
            return False
        value = _property(parts, condition.where)
        # an unknown condition must not switch a rule off silently
        if value is not None and value not in condition.one_of:
            return False
    return True


def _missing(rule: Rule, parts: Mapping[str, Part]) -> tuple[NotStated, ...]:
    """Properties the rule needs that are not known."""
    compared = (rule.left, rule.right)
    conditions = tuple(condition.where for condition in rule.when)
    return tuple(
        NotStated(
            part=parts[where.partition(".")[0]].name,
            property=where.partition(".")[2],
            compared=place < len(compared),
        )
        for place, where in enumerate(compared + conditions)
        if _property(parts, where) is None
    )


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


def judge_rule(rule: Rule, parts: Mapping[str, Part]) -> Check[Statement] | None:
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
        condition does not hold. An unknown property gives an unknown check, its
        reason `AllMissing`; else the reason is `Compared`. What would make it fit
        is known to whoever wrote the rule: there is no remedy here.

    Raises
    ------
    InvalidInput
        Values that cannot be compared as the rule asks (a word where a number
        must be).

    Examples
    --------
    >>> rule = Rule(code="axle.rear", left="hub.axle", right="frame.rear_axle", relation="equal",
    ...             source="builder")
    >>> parts = {"hub": Part(name="geared hub", properties={"axle": "12 × 142"}),
    ...          "frame": Part(name="Knapweed", properties={"rear_axle": "12 × 148"})}
    >>> print(judge_rule(rule, parts).reason)
    compared (left geared hub, has 12 × 142, right Knapweed, takes 12 × 148)
    """
    if not _applies(rule, parts):
        return None
    missing = _missing(rule, parts)
    if missing:
        return unknown(
            rule.code,
            missing=AllMissing(each=missing),
            source=rule.source,
            remedy=AskOrMeasure(),
            safety=rule.safety,
        )
    sides = (
        (parts[where.partition(".")[0]], _property(parts, where))
        for where in (rule.left, rule.right)
    )
    return _compared(rule, *sides)


def _compared(
    rule: Rule, left_side: tuple[Part, object], right_side: tuple[Part, object]
) -> Check[Statement]:
    (left_part, left), (right_part, right) = left_side, right_side
    try:
        kept = bool(_KEPT[rule.relation](left, right))
        figure, limit, margin = _numbers(rule, left, right)
    except (TypeError, IndexError, KeyError) as error:
        remedy = ComparableValues(relation=rule.relation, other=repr(right), part=right_part.name)
        raise InvalidInput(rule.left, left, remedy) from error
    return Check(
        code=rule.code,
        outcome="clear" if kept else "no",
        figure=figure,
        limit=limit,
        margin=margin,
        unit=rule.unit,
        reason=Compared(left=left_part.name, has=left, right=right_part.name, takes=right),
        source=rule.source,
        safety=rule.safety,
    )
