"""The table check of a revision: does the drawn table close and agree with itself."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.core import GeometryError
from geometry.verify import Finding, TableCheck
from webapp.catalogue.reading.table_check import checked_table
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import Problem
from webapp.common.text.language import tr
from webapp.geometry_table.finding_sentences import (
    FOUND_BY,
    OUTCOME_WORDS,
    figure_of,
    finding_name,
    finding_remedy,
    limit_of,
)


@dataclass(frozen=True, kw_only=True)
class FindingLine:
    """One thing the table check found, printed."""

    key: str
    outcome: str
    name: str
    figure: str
    limit: str
    reason: str
    remedy: str


@dataclass(frozen=True, kw_only=True)
class TableCheckLines:
    """The table check in words: one sentence, then what is not clear."""

    words: str
    findings: tuple[FindingLine, ...]


def table_check(catalogue: Catalogue) -> TableCheck:
    """Check every size of a revision as drawn; once for a catalogue, on which alone it depends.

    Parameters
    ----------
    catalogue : Catalogue

    Returns
    -------
    TableCheck

    Raises
    ------
    GeometryError
        A size that cannot close or stand at all.
    """
    sizes = [(size.name, size.data) for size in catalogue.sizes]
    drawn_with = catalogue.revision.data.drawn_with
    return catalogue.memory.of("table check", lambda: checked_table(sizes, drawn_with))


def table_check_lines(catalogue: Catalogue) -> TableCheckLines:
    """The table check of a revision, for people."""
    try:
        found = table_check(catalogue)
    except GeometryError as error:
        return TableCheckLines(
            words=tr("This table cannot be checked: {error}.", error=Problem.of(error)), findings=()
        )
    words = OUTCOME_WORDS[found.outcome]
    return TableCheckLines(
        words=words, findings=tuple(_line(at, one) for at, one in enumerate(found.findings))
    )


def _line(at: int, found: Finding) -> FindingLine:
    return FindingLine(
        key=f"finding-{at}",
        outcome=found.outcome,
        name=tr("Size {size}: {name}", size=found.size, name=finding_name(found)),
        figure=figure_of(found),
        limit=limit_of(found),
        reason=FOUND_BY[found.what],
        remedy=finding_remedy(found),
    )
