"""The answer to one question a mechanic would ask (clear, tight, no or unknown), rules of
fit as data with one evaluator, and the classes of riding a bike may be used for.
"""

from geometry.checks.outcomes import (
    CODES,
    Ask,
    AskMaker,
    Check,
    Outcome,
    Sense,
    Source,
    judge,
    unknown,
)
from geometry.checks.remedies import ComparableValues, KnownNumber, RoleAndProperty
from geometry.checks.rules import (
    AllMissing,
    AskOrMeasure,
    Compared,
    Condition,
    NotStated,
    Part,
    Relation,
    Rule,
    judge_rule,
)
from geometry.checks.usage import (
    USAGE_CLASSES,
    Ground,
    PartOfClass,
    UsageClass,
    UsageNotStated,
    UsageStated,
    usage_check,
    usage_class,
)

__all__ = [
    "CODES",
    "USAGE_CLASSES",
    "AllMissing",
    "Ask",
    "AskMaker",
    "AskOrMeasure",
    "Check",
    "ComparableValues",
    "Compared",
    "Condition",
    "Ground",
    "KnownNumber",
    "NotStated",
    "Outcome",
    "Part",
    "PartOfClass",
    "Relation",
    "RoleAndProperty",
    "Rule",
    "Sense",
    "Source",
    "UsageClass",
    "UsageNotStated",
    "UsageStated",
    "judge",
    "judge_rule",
    "unknown",
    "usage_check",
    "usage_class",
]
