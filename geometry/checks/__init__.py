"""The answer to one question a mechanic would ask (clear, tight, no or unknown), rules of
fit as data with one evaluator, and the classes of riding a bike may be used for.
"""

from geometry.checks.outcomes import CODES, Check, Outcome, Sense, judge, unknown
from geometry.checks.rules import Condition, Part, Relation, Rule, judge_rule, judge_rules
from geometry.checks.usage import USAGE_CLASSES, UsageClass, usage_check, usage_class

__all__ = [
    "CODES",
    "USAGE_CLASSES",
    "Check",
    "Condition",
    "Outcome",
    "Part",
    "Relation",
    "Rule",
    "Sense",
    "UsageClass",
    "judge",
    "judge_rule",
    "judge_rules",
    "unknown",
    "usage_check",
    "usage_class",
]
