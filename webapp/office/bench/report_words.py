"""What the readings of a bike say, in words and as data for a record that is never changed."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from geometry.verify import BenchReport, Cause, Compared, Contradiction, Explanation
from webapp.common.text.glossary import entry, spoken
from webapp.common.text.language import tr
from webapp.common.text.sentences import capitalized
from webapp.common.text.statements import all_of
from webapp.common.text.units import number, signed_number, with_unit

VERDICTS: Mapping[str, str] = MappingProxyType(
    {
        "as built": tr("Nothing is beyond chance: the bike measures as drawn."),
        "one cause": tr("One cause stands out."),
        "more than one cause": tr("Two or more things are off together."),
        "cannot be told apart": tr(
            "Several explanations are possible; these readings do not tell them apart."
        ),
        "not explained": tr(
            "No known cause explains these readings. Check the size, the build and the units, "
            "and read again the values that are farthest off."
        ),
    }
)


def shown(key: str, value: float) -> str:
    """A value with its unit, printed.

    >>> shown("wheelbase", 1171.25), shown("head_angle", 66.04)
    ('1171.2 mm', '66.04°')
    """
    unit = entry(key).unit
    return with_unit(number(value, 2 if unit == "°" else 1), unit)


def signed(key: str, value: float) -> str:
    """A difference with its sign, printed.

    >>> signed("wheelbase", -12.04)
    '−12.0'
    """
    return signed_number(value, 2 if entry(key).unit == "°" else 1)


def chance(odds: float) -> str:
    """How likely something is; never printed as certain.

    >>> chance(0.834), chance(0.9991), chance(0.002)
    ('83 in 100', 'more than 99 in 100', 'less than 1 in 100')
    """
    if odds > 0.99:  # noqa: PLR2004
        return tr("more than 99 in 100")
    return tr("{share:.0f} in 100", share=100 * odds) if odds >= 0.01 else tr("less than 1 in 100")  # noqa: PLR2004


def cause_words(cause: Cause) -> str:
    """A likely cause as a sentence.

    Examples
    --------
    >>> cause = Cause(kind="misread", key="wheelbase", reading=0, now=1117.0, then=1171.0,
    ...               change=54.0, spread=2.0, odds=0.98)
    >>> cause_words(cause)
    'Wheelbase was misread: 1117.0 mm should read about 1171.0 mm.'
    """
    now, then = shown(cause.key, cause.now), shown(cause.key, cause.then)
    if cause.kind == "misread":
        return tr(
            "{name} was misread: {now} should read about {then}.",
            name=entry(cause.key).name,
            now=now,
            then=then,
        )
    spread = shown(cause.key, cause.spread)
    return tr(
        "{name} is not as stated: {then} instead of {now}, give or take {spread}.",
        name=entry(cause.key).name,
        then=then,
        now=now,
        spread=spread,
    )


def contradiction_words(found: Contradiction) -> str:
    """Readings that do not agree with one another, as a sentence."""
    names = all_of([spoken(key) for key in found.keys])
    names = capitalized(names)
    if found.size == float("inf"):
        return tr(
            "{readings} do not agree ({formula}): no such bike can be.",
            readings=names,
            formula=_formula(found),
        )
    said = tr(
        "{readings} do not agree ({formula}): they are {size} apart.",
        readings=names,
        formula=_formula(found),
        size=with_unit(number(abs(found.size), 1), _unit(found)),
    )
    mends = [f"{spoken(key)} {shown(key, value)}" for key, value in found.mends.items()]
    if not mends:
        return said
    return tr(
        "{contradiction} Changing one of these alone would resolve it: {readings}.",
        contradiction=said,
        readings=", ".join(mends),
    )


_POINTS_AT = 0.9


def blame_words(found: Contradiction) -> str:
    """The reading that the others contradict, before any comparison with the drawing."""
    if not found.blamed:
        return ""
    key, odds = next(iter(found.blamed.items()))
    if len(found.keys) > 1 and odds > _POINTS_AT:
        return tr(
            "Compared with each other, the readings point to {name}: {chance}.",
            name=spoken(key),
            chance=chance(odds),
        )
    return tr("By themselves these readings do not tell which of them is wrong.")


def _unit(found: Contradiction) -> str:
    """Millimetres of a relation; of one figure read several times, its own."""
    return "mm" if found.formula else entry(found.keys[0]).unit


def _formula(found: Contradiction) -> str:
    """What the readings do not keep; of one figure read several times, in words."""
    return found.formula or tr("reading = mean of the others")


_MOST, _SLIM = 6, 0.01


def frozen(report: BenchReport, next_words: tuple[str, ...] = ()) -> dict[str, Any]:
    """What was found, as plain data for a record that is never changed."""
    return {
        "verdict": report.verdict,
        "words": VERDICTS[report.verdict],
        "alarm": report.alarm,
        "threshold": round(report.threshold, 3),
        "readings": [_frozen_reading(one, report.threshold) for one in report.readings],
        "contradictions": [_frozen_contradiction(one) for one in report.contradictions],
        "explanations": [
            _frozen_explanation(one) for one in report.explanations[:_MOST] if one.odds > _SLIM
        ],
        "none_of_these": round(report.none_of_these, 4),
        "none_chance": chance(report.none_of_these) if report.none_of_these > _SLIM else "",
        "causes": [_frozen_cause(one) for one in report.causes[:_MOST] if one.odds > _SLIM],
        "rivals": [[cause.key for cause in one.causes] for one in report.rivals],
        "next": list(next_words),
    }


def _frozen_contradiction(one: Contradiction) -> dict[str, Any]:
    return {
        "keys": list(one.keys),
        "formula": _formula(one),
        "size": None if one.size == float("inf") else round(one.size, 3),
        "beyond": one.beyond,
        "words": contradiction_words(one),
        "blamed": {key: round(odds, 4) for key, odds in one.blamed.items()},
        "blame": blame_words(one),
    }


def _frozen_explanation(one: Explanation) -> dict[str, Any]:
    return {
        "causes": [_frozen_cause(cause) for cause in one.causes],
        "odds": round(one.odds, 4),
        "chance": chance(one.odds),
    }


def _frozen_cause(one: Cause) -> dict[str, Any]:
    return {
        "kind": one.kind,
        "key": one.key,
        "name": entry(one.key).name,
        "now": round(one.now, 3),
        "then": round(one.then, 3),
        "change": round(one.change, 3),
        "spread": round(one.spread, 3),
        "odds": round(one.odds, 4),
        "words": cause_words(one),
    }


def _frozen_reading(one: Compared, threshold: float) -> dict[str, Any]:
    return {
        "places": 2 if entry(one.key).unit == "°" else 1,
        "off": signed(one.key, one.residual),
        "beyond": abs(one.normalised) > threshold,
        "key": one.key,
        "name": entry(one.key).name,
        "unit": entry(one.key).unit,
        "value": one.value,
        "spread": one.spread,
        "predicted": round(one.predicted, 3),
        "residual": round(one.residual, 3),
        "expected": round(one.expected, 3),
        "normalised": round(one.normalised, 3),
        "detectable": round(one.detectable, 3),
    }


def as_told_now(report: dict[str, Any]) -> dict[str, Any]:
    """A kept report in today's form; older ones listed single causes only.

    Those said "no single cause" beside chances that were shares among single causes; these
    are left out there.
    """
    if "explanations" in report:
        return report
    together = report["verdict"] == "more than one cause"
    alone = [
        {"causes": [one], "odds": one["odds"], "chance": "" if together else chance(one["odds"])}
        for one in report.get("causes", ())
    ]
    told = [one | {"blame": "", "blamed": {}} for one in report["contradictions"]]
    return report | {"explanations": alone, "none_chance": "", "contradictions": told}
