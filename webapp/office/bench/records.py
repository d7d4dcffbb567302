"""Bench checks kept with a serial number, listed, and their trend over a production batch."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlmodel import Session, col, select

from geometry.verify import Reading
from webapp.builds.choice.build_choice import query_of
from webapp.common.errors import Gathering, NotFound
from webapp.common.text.glossary import entry
from webapp.common.text.language import tr
from webapp.common.text.sentences import capitalized
from webapp.common.text.units import with_unit
from webapp.office.bench.check import BenchFinding
from webapp.office.bench.words import as_told_now, frozen, signed
from webapp.office.tables import BenchRecord

PAGE = 100
_LONGEST = 60


@dataclass(frozen=True, kw_only=True)
class BenchView:
    """One kept bench check."""

    id: int
    serial: str
    batch: str
    model: str
    revision: int
    size: str
    build: str
    state: str
    quote_number: str
    measured_on: date
    at: datetime
    who: str
    note: str
    readings: tuple[dict[str, Any], ...]
    report: dict[str, Any]

    @property
    def model_heading(self) -> str:
        """Its model, at the beginning of a sentence."""
        return capitalized(self.model)


@dataclass(frozen=True, kw_only=True)
class TrendRow:
    """One dimension over a batch: mean offset and spread of the bikes measured [unit].

    ``mean`` is the average of what was read less what was drawn; ``spread`` the
    standard deviation of a single bike about it (None for one bike);
    ``standing`` how many of its own uncertainties the mean is from nothing.
    """

    key: str
    name: str
    unit: str
    count: int
    mean: float
    spread: float | None
    expected: float
    standing: float

    @property
    def stands_out(self) -> bool:
        """Whether the batch as a whole is off, beyond chance (2 σ of its mean)."""
        return abs(self.standing) > 2  # noqa: PLR2004  # two standard deviations

    @property
    def words(self) -> str:
        """What to tell whoever made the frames; empty when nothing stands out."""
        if not self.stands_out:
            return ""
        side = "more" if self.mean > 0 else "less"
        size = with_unit(signed(self.key, abs(self.mean)).lstrip("+"), self.unit)
        return tr(
            "{size} {side} than drawn, over {count} bikes", size=size, side=side, count=self.count
        )


def save_bench(
    session: Session,
    finding: BenchFinding,
    readings: tuple[Reading, ...],
    *,
    who: str,
    serial: str,
    batch: str,
    note: str,
    quote_number: str,
    measured_on: date,
) -> int:
    """Keep a bench check.

    Returns
    -------
    int
        Its number.

    Raises
    ------
    Invalid
        Without a serial number, or for names that are too long.
    """
    gathering = Gathering()
    if not serial.strip():
        gathering.add("serial", serial, tr("the number stamped into the frame"))
    for name, text in (("serial", serial), ("batch", batch)):
        if len(text) > _LONGEST:
            gathering.add(name, text[:80], tr("at most {longest} characters", longest=_LONGEST))
    gathering.finish()
    choice = finding.result.choice
    row = BenchRecord(
        serial=serial.strip(),
        batch=batch.strip(),
        model=choice.model,
        revision=choice.revision,
        size=choice.size,
        build=query_of(choice),
        state=finding.state,
        quote_number=quote_number,
        measured_on=measured_on,
        who=who,
        note=note.strip()[:4000],
        readings=[{"key": r.key, "value": r.value, "spread": r.spread} for r in readings],
        report=frozen(finding.report, finding.next_words),
    )
    session.add(row)
    session.flush()
    return int(row.id or 0)


def bench_by_id(session: Session, number: int) -> BenchView:
    """One kept check.

    Raises
    ------
    NotFound
        When there is none of that number.
    """
    row = session.get(BenchRecord, number)
    if row is None:
        raise NotFound("bench check", number, tr("the number of one that was kept"))
    return _view(row)


def list_bench(
    session: Session, *, batch: str = "", serial: str = "", before: int = 0
) -> tuple[BenchView, ...]:
    """Kept checks, newest first, one page of them.

    Parameters
    ----------
    batch, serial : str
        Only those of this batch; only serial numbers that begin so.
    before : int
        Only those kept before this one; 0 for the newest.
    """
    query = select(BenchRecord).order_by(col(BenchRecord.id).desc()).limit(PAGE)
    if batch:
        query = query.where(BenchRecord.batch == batch)
    if serial:
        query = query.where(col(BenchRecord.serial).startswith(serial, autoescape=True))
    if before:
        query = query.where(col(BenchRecord.id) < before)
    return tuple(_view(row) for row in session.exec(query).all())


def batches(session: Session) -> tuple[str, ...]:
    """Names of the batches there are."""
    query = select(BenchRecord.batch).where(BenchRecord.batch != "").distinct()
    return tuple(sorted(session.exec(query).all()))


def trend(session: Session, batch: str) -> tuple[TrendRow, ...]:
    """Mean offset and spread of every dimension over a batch.

    Of a bike measured more than once (same serial number) the last check counts;
    of a dimension read more than once in it, their mean.
    """
    query = select(BenchRecord).where(BenchRecord.batch == batch).order_by(col(BenchRecord.id))
    last = {row.serial: row.report for row in session.exec(query).all()}
    offsets: dict[str, list[tuple[float, float]]] = {}
    for report in last.values():
        for key in dict.fromkeys(one["key"] for one in report["readings"]):
            same = [one for one in report["readings"] if one["key"] == key]
            mean = sum(one["residual"] for one in same) / len(same)
            offsets.setdefault(key, []).append((mean, same[0]["expected"]))
    rows = [_trend_row(key, found) for key, found in offsets.items()]
    return tuple(sorted(rows, key=lambda row: -abs(row.standing)))


def _trend_row(key: str, found: list[tuple[float, float]]) -> TrendRow:
    """The mean's own uncertainty is the larger of what the bikes show and what is expected."""
    count = len(found)
    mean = sum(offset for offset, _ in found) / count
    spread = None
    if count > 1:
        spread = math.sqrt(sum((offset - mean) ** 2 for offset, _ in found) / (count - 1))
    expected = math.sqrt(sum(width**2 for _, width in found) / count)
    return TrendRow(
        key=key,
        name=entry(key).name,
        unit=entry(key).unit,
        count=count,
        mean=mean,
        spread=spread,
        expected=expected,
        standing=mean * math.sqrt(count) / max(expected, spread or 0.0),
    )


def _view(row: BenchRecord) -> BenchView:
    values = row.model_dump(exclude={"readings", "report"})
    return BenchView(**values, readings=tuple(row.readings), report=as_told_now(row.report))
