"""What the table check found, in words: what was compared, and what would correct it."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from geometry.checks import Outcome
from geometry.verify import Finding, What
from webapp.catalogue.reading.table_check import FURTHER, FURTHER_UNITS
from webapp.common.text.glossary import entry, spoken
from webapp.common.text.language import (
    in_service_language,
    tr,
)
from webapp.common.text.units import minus, number, with_unit

FOUND_BY: Mapping[What, str] = MappingProxyType(
    {
        "closure": tr("Found by its closure."),
        "published": tr("Found by its published."),
        "triangle": tr("Found by its triangle."),
        "slip": tr("Found by everything that depends on it."),
        "order": tr("Found by its order."),
        "copy": tr("Found by its numbers."),
        "gap": tr("Found by its steps."),
    }
)


OUTCOME_WORDS: Mapping[Outcome, str] = MappingProxyType(
    {
        "clear": tr("The table agrees with itself, within its own rounding."),
        "tight": tr("Nothing in the table contradicts itself. Something in it is unusual."),
        "no": tr("The table contradicts itself beyond what rounding can do."),
    }
)
"""The verdict in a sentence: the same in the office, on the public page and in JSON."""


def figure_of(finding: Finding) -> str:
    """The size of a finding, printed; empty where it has no number."""
    return _printed(finding.how_much, finding) if finding.limit else ""


def limit_of(finding: Finding) -> str:
    """How much of it rounding can explain, printed; empty where it has no number."""
    return _printed(finding.limit, finding) if finding.limit else ""


def _printed(value: float, finding: Finding) -> str:
    digits = 3 if finding.field == "mass" else 2
    return with_unit(minus(number(value, digits)), unit_of_column(finding.field))


def column_name(key: str) -> str:
    """What a column of the table is called."""
    return FURTHER.get(key) or entry(key).name


def unit_of_column(key: str) -> str:
    """The unit of a column of the table."""
    return FURTHER_UNITS.get(key) or entry(key).unit


def _spoken(key: str) -> str:
    return FURTHER[key].lower() if key in FURTHER else spoken(key)


def finding_name(finding: Finding) -> str:
    """What was compared."""
    if finding.what == "copy":
        return tr("A copy of another size")
    if finding.what == "gap":
        return tr("A step twice as wide")
    return in_service_language(finding.relation) or column_name(finding.field)


def finding_remedy(finding: Finding) -> str:
    """What to do, as a sentence without its full stop; empty when all is clear."""
    if finding.outcome == "clear":
        return ""
    if finding.what == "order":
        return tr(
            "{name} should not decrease from size {before} to size {after}",
            name=_spoken(finding.field),
            before=finding.beside,
            after=finding.size,
        )
    if finding.what == "copy":
        return tr("nearly all its numbers are those of size {before}", before=finding.beside)
    if finding.what == "gap":
        return tr(
            "from size {before} to size {after} nearly everything changes twice as much as "
            "elsewhere: is a size missing between them",
            before=finding.beside,
            after=finding.size,
        )
    if not finding.mends:
        return tr("no single value would correct it: draw this size again")
    best = finding.mends[0]
    unit = unit_of_column(best.key)
    space = "" if unit == "°" else " "
    if finding.what == "slip":
        return tr(
            "{name} of size {size}: {then:.10g}{unit} instead of {now:.10g}{unit} would agree with "
            "the other sizes and with what is computed",
            name=_spoken(best.key),
            size=best.size,
            then=best.then,
            now=best.now,
            unit=f"{space}{unit}",
        )
    return tr(
        "{name} of size {size}: {then:.10g}{unit} instead of {now:.10g}{unit} would correct it",
        name=_spoken(best.key),
        size=best.size,
        then=best.then,
        now=best.now,
        unit=f"{space}{unit}",
    )
