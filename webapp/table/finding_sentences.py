"""What the table check found, in words: what was compared, and what would mend it."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from geometry.verify import Finding, What
from webapp.common.text.glossary import entry, spoken
from webapp.common.text.language import (
    in_service_language,
    tr,
)

FOUND_BY: Mapping[What, str] = MappingProxyType(
    {
        "closure": tr("Found by its closure."),
        "published": tr("Found by its published."),
        "triangle": tr("Found by its triangle."),
        "order": tr("Found by its order."),
    }
)


def finding_name(finding: Finding) -> str:
    """What was compared."""
    return in_service_language(finding.relation) or entry(finding.field).name


def finding_remedy(finding: Finding) -> str:
    """What to do, as a sentence without its full stop; empty when all is clear."""
    if finding.outcome == "clear":
        return ""
    if finding.what == "order":
        return tr(
            "{name} should not decrease from size {before} to size {after}",
            name=spoken(finding.field),
            before=finding.mends[1].size,
            after=finding.size,
        )
    if not finding.mends:
        return tr("no single value would mend it: draw this size again")
    best = finding.mends[0]
    unit = entry(best.key).unit
    space = "" if unit == "°" else " "
    return tr(
        "{name} of size {size}: {then:.10g}{unit} instead of {now:.10g}{unit} would mend it",
        name=spoken(best.key),
        size=best.size,
        then=best.then,
        now=best.now,
        unit=f"{space}{unit}",
    )
