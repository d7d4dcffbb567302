"""The table check of a draft: does the table agree with itself, and may it be published?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from geometry.bike import closure
from geometry.checks import Outcome
from geometry.core import GeometryError
from geometry.verify import Finding, Mend, TableCheck
from webapp.catalogue.reading.frame_inputs import frame_of
from webapp.catalogue.reading.table_check import checked_table
from webapp.catalogue.schema.frames import DrawnWithData, SizeData
from webapp.common.errors import Problem
from webapp.common.text.language import tr
from webapp.common.text.units import number, signed_number, with_unit
from webapp.common.two_edits import field_in_words
from webapp.geometry_table.finding_sentences import (
    OUTCOME_WORDS,
    column_name,
    figure_of,
    finding_name,
    finding_remedy,
    limit_of,
    unit_of_column,
)
from webapp.office.revisions.drafts import SizeContent


@dataclass(frozen=True, kw_only=True)
class SizeClosure:
    """How one size closes; ``outcome`` is clear, tight or no."""

    size: str
    gap: str
    limit: str
    head_angle: str
    outcome: str


@dataclass(frozen=True, kw_only=True)
class Remark:
    """One thing the check found, in words."""

    size: str
    outcome: str
    name: str
    words: str
    mends: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class TableReport:
    """What the table check says of a draft.

    Parameters
    ----------
    outcome : str
        Clear, tight or no, of all that can be computed.
    words : str
        The same in a sentence.
    closures : tuple of SizeClosure
    remarks : tuple of Remark
        Contradictions first.
    problems : tuple of Problem
        Cells that cannot be used at all; they are left out of the check.
    can_be_published : bool
        Nothing that publishing would refuse.
    """

    outcome: str
    words: str
    closures: tuple[SizeClosure, ...]
    remarks: tuple[Remark, ...]
    problems: tuple[Problem, ...]
    can_be_published: bool

    @property
    def problem_lines(self) -> tuple[tuple[str, str, str], ...]:
        """Field, its name in words, and what is wrong with it, of each unusable cell."""
        return tuple((p.field, field_in_words(p.field), p.remedy) for p in self.problems)


def check_sizes(
    sizes: Sequence[SizeContent],
    data: Mapping[str, SizeData],
    drawn_with: DrawnWithData,
    *,
    problems: Sequence[Problem] = (),
) -> TableReport:
    """Check the sizes of a draft against themselves and each other.

    Parameters
    ----------
    sizes : sequence of SizeContent
        For names and order.
    data : mapping of slug to SizeData
        Those that hold usable numbers.
    drawn_with : DrawnWithData
    problems : sequence of Problem
        What is wrong with the others.

    Returns
    -------
    TableReport
    """
    found = list(problems)
    drawn = [
        (s.name, data[s.slug])
        for s in sizes
        if s.slug in data and _stands(s, data[s.slug], drawn_with, found)
    ]
    checked = checked_table(drawn, drawn_with) if drawn else TableCheck()
    outcome = "no" if found else checked.outcome
    turns = {name: float(closure(frame_of(size, drawn_with)).head_angle) for name, size in drawn}
    angles = {name: size.head_angle + turns[name] for name, size in drawn}
    words = tr("Some numbers cannot be used yet. The draft can be kept, but not published.")
    return TableReport(
        outcome=outcome,
        words=words if found else verdict(checked),
        closures=tuple(_closure(one, angles[one.size]) for one in checked.closures().values()),
        remarks=remarks_of(checked),
        problems=tuple(found),
        can_be_published=bool(drawn) and outcome != "no",
    )


def _stands(
    size: SizeContent, data: SizeData, drawn_with: DrawnWithData, problems: list[Problem]
) -> bool:
    """Whether the size can stand; if not, a problem says why."""
    try:
        checked_table([(size.name, data)], drawn_with)
    except GeometryError as error:
        field = error.field.removeprefix("sizes.0.").removeprefix("frame.")
        problems.append(Problem.of(error, f"{size.slug}.{field}"))
        return False
    return True


def _closure(found: Finding, head_angle: float) -> SizeClosure:
    return SizeClosure(
        size=found.size,
        gap=signed_number(found.how_much, 2),
        limit=number(found.limit, 2),
        head_angle=number(head_angle, 2),
        outcome=found.outcome,
    )


def remarks_of(checked: TableCheck) -> tuple[Remark, ...]:
    """What the check found, in words, the worst first."""
    return tuple(_remark(one) for one in checked.findings)


def verdict(checked: TableCheck) -> str:
    """The verdict in a sentence, and what follows from it."""
    follows: Mapping[Outcome, str] = {
        "clear": tr("It can be published."),
        "tight": tr("It can be published, and is worth another look."),
        "no": tr("It can be kept as a draft, but not published."),
    }
    return f"{OUTCOME_WORDS[checked.outcome]} {follows[checked.outcome]}"


def _remark(finding: Finding) -> Remark:
    return Remark(
        size=finding.size,
        outcome=finding.outcome,
        name=finding_name(finding),
        words=_found(finding),
        mends=tuple(_mend(mend) for mend in finding.mends),
    )


def _found(finding: Finding) -> str:
    if finding.what in ("copy", "gap"):
        return finding_remedy(finding)
    if finding.what == "order":
        fall = with_unit(number(finding.how_much, 1), finding.unit)
        return tr("{remedy}: it does, by {fall}", remedy=finding_remedy(finding), fall=fall)
    if finding.what == "slip" and finding.mends:
        return finding_remedy(finding)
    return tr(
        "{size}; rounding alone could do {rounding}",
        size=figure_of(finding),
        rounding=limit_of(finding),
    )


def _mend(mend: Mend) -> str:
    return tr(
        "{name}, size {size}: {with_unit} instead of {now:.10g}",
        name=column_name(mend.key),
        size=mend.size,
        with_unit=with_unit(f"{mend.then:.10g}", unit_of_column(mend.key)),
        now=mend.now,
    )
