"""The table check of a draft: does the table agree with itself, and may it be published?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from geometry.bike import closure
from geometry.core import GeometryError
from geometry.verify import DrawnSize, Finding, check_table
from webapp.catalogue.reading.frame_inputs import frame_of
from webapp.catalogue.schema.frames import DrawnWithData, SizeData
from webapp.common.errors import Problem
from webapp.common.text.glossary import entry
from webapp.common.text.language import tr
from webapp.common.text.units import minus, number, with_unit
from webapp.common.two_edits import field_in_words
from webapp.office.revisions.drafts import SizeContent
from webapp.table.finding_sentences import finding_name, finding_remedy


@dataclass(frozen=True, kw_only=True)
class SizeClosure:
    """How one size closes; ``outcome`` is clear, tight or no."""

    size: str
    gap: str
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
    limit: float,
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
    limit : float [mm]
        Largest closure the shop publishes.
    problems : sequence of Problem
        What is wrong with the others.

    Returns
    -------
    TableReport
    """
    found = list(problems)
    drawn = [one for s in sizes if s.slug in data for one in _drawn(s, data, drawn_with, found)]
    findings = _findings(drawn, found)
    closures = tuple(_closure(one, limit) for one in drawn)
    good = bool(closures) and not found and all(c.outcome != "no" for c in closures)
    outcomes = [finding.outcome for finding in findings] + [c.outcome for c in closures]
    worst = "no" if "no" in outcomes or found else "tight" if "tight" in outcomes else "clear"
    return TableReport(
        outcome=worst,
        words=_words(worst, can_be_published=good),
        closures=closures,
        remarks=tuple(_remark(one) for one in sorted(findings, key=_worst_first)),
        problems=tuple(found),
        can_be_published=good,
    )


def _drawn(
    size: SizeContent,
    data: Mapping[str, SizeData],
    drawn_with: DrawnWithData,
    problems: list[Problem],
) -> list[DrawnSize]:
    """The size as the solver takes it; none, and a problem, when it cannot stand."""
    try:
        made = DrawnSize(name=size.name, frame=frame_of(data[size.slug], drawn_with))
        check_table([made])
    except GeometryError as error:
        field = error.field.removeprefix("sizes.0.").removeprefix("frame.")
        problems.append(Problem.of(error, f"{size.slug}.{field}"))
        return []
    return [made]


def _findings(drawn: Sequence[DrawnSize], problems: list[Problem]) -> tuple[Finding, ...]:
    if not drawn:
        return ()
    try:
        return check_table(drawn).findings
    except GeometryError as error:
        problems.append(Problem.of(error))
        return ()


def _closure(size: DrawnSize, limit: float) -> SizeClosure:
    found = closure(size.frame)
    gap, turn = float(found.axle), float(found.head_angle)
    outcome = "no" if abs(gap) > limit else "tight" if abs(gap) > limit / 2 else "clear"
    return SizeClosure(
        size=size.name,
        gap=minus(f"{gap:+.2f}"),
        head_angle=minus(f"{float(size.frame.head_angle) + turn:.2f}"),
        outcome=outcome,
    )


def _worst_first(finding: Finding) -> tuple[bool, float]:
    over = abs(finding.how_much) - finding.limit
    return finding.outcome != "no", -over


def _remark(finding: Finding) -> Remark:
    size = with_unit(minus(f"{finding.how_much:+.2f}"), finding.unit)
    rounding = with_unit(number(finding.limit, 2), finding.unit)
    words = tr("{size}; rounding alone could do {rounding}", size=size, rounding=rounding)
    if finding.what == "order":
        fall = with_unit(number(finding.how_much, 1), finding.unit)
        words = tr("{remedy}: it does, by {fall}", remedy=finding_remedy(finding), fall=fall)
    return Remark(
        size=finding.size,
        outcome=finding.outcome,
        name=finding_name(finding),
        words=words,
        mends=tuple(
            tr(
                "{name}, size {size}: {with_unit} instead of {now:.10g}",
                name=entry(mend.key).name,
                size=mend.size,
                with_unit=with_unit(f"{mend.then:.10g}", entry(mend.key).unit),
                now=mend.now,
            )
            for mend in finding.mends
        ),
    )


def _words(outcome: str, *, can_be_published: bool) -> str:
    if not can_be_published:
        return tr("The table contradicts itself. It can be kept as a draft, but not published.")
    if outcome == "clear":
        return tr("The table agrees with itself, within its own rounding.")
    return tr("The table can be published. Something in it is worth another look.")
