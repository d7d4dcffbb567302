"""The table check of a revision: does the drawn table close and agree with itself."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.core import GeometryError
from geometry.verify import DrawnSize, Finding, TableCheck, check_table
from webapp.catalogue.reading.views import Catalogue
from webapp.common.errors import Problem
from webapp.common.text.language import tr
from webapp.common.text.units import number, with_unit
from webapp.table.finding_sentences import FOUND_BY, finding_name, finding_remedy


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
    """Check every size of a revision as drawn.

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
    return check_table([DrawnSize(name=size.name, frame=size.frame) for size in catalogue.sizes])


def table_check_lines(catalogue: Catalogue) -> TableCheckLines:
    """The table check of a revision, for people."""
    try:
        found = table_check(catalogue)
    except GeometryError as error:
        return TableCheckLines(
            words=tr("This table cannot be checked: {error}.", error=Problem.of(error)), findings=()
        )
    closures = [abs(one.how_much) for one in found.closures().values()]
    words = tr(
        (
            "{comparisons} comparisons of the drawn numbers with each other; every size "
            "closes within {distance} mm at the front axle."
        ),
        comparisons=len(found.compared),
        distance=number(max(closures)),
    )
    return TableCheckLines(
        words=words, findings=tuple(_line(at, one) for at, one in enumerate(found.findings))
    )


def _line(at: int, found: Finding) -> FindingLine:
    return FindingLine(
        key=f"finding-{at}",
        outcome=found.outcome,
        name=tr("Size {size}: {name}", size=found.size, name=finding_name(found)),
        figure=with_unit(number(found.how_much), found.unit),
        limit=with_unit(number(found.limit), found.unit),
        reason=FOUND_BY[found.what],
        remedy=finding_remedy(found),
    )
