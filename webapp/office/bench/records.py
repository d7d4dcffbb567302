"""Bench checks kept with a serial number, corrected with their history, and listed."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Any
from urllib.parse import parse_qs

from sqlmodel import Session, col, func, select

from geometry.verify import Reading
from webapp.builds.choice.build_choice import BuildChoice, query_of
from webapp.common.errors import Gathering, Invalid, NotFound
from webapp.common.text.dates import day_in_words
from webapp.common.text.glossary import entry
from webapp.common.text.language import tr
from webapp.common.timestamps import now
from webapp.office.bench.check import BenchFinding
from webapp.office.bench.report_words import as_told_now, frozen, shown
from webapp.office.tables import BenchCorrection, BenchRecord
from webapp.serials.names import FrameNames, names_of_frame
from webapp.serials.register import FrameKind, as_stamped, enter_frame, frame_of_serial

PAGE = 100
_LONGEST, _LONGEST_NOTE = 60, 4000
_OF_THE_BIKE = ("serial", "batch", "model", "revision", "size", "build", "state", "measured_on")


@dataclass(frozen=True, kw_only=True)
class Correction:
    """One correction of a kept check: who, when, why, and what it changed, in words."""

    at: datetime
    who: str
    why: str
    changes: tuple[str, ...]


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
    named: FrameNames
    corrections: tuple[Correction, ...] = field(default=())

    @property
    def measured_day(self) -> str:
        """The day it was measured on, in words."""
        return day_in_words(self.measured_on)


def kind_of(choice: BuildChoice) -> FrameKind:
    """What frame a build is of."""
    finish = parse_qs(query_of(choice)).get("finish", [""])[0]
    return FrameKind(model=choice.model, revision=choice.revision, size=choice.size, finish=finish)


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
    again: bool = False,
) -> int:
    """Keep a bench check, and its frame in the register of serial numbers.

    Parameters
    ----------
    session : Session
        A writing session.
    again : bool
        Whether the user confirmed that a bike of this number was measured before.

    Returns
    -------
    int
        Its number.

    Raises
    ------
    Invalid
        Without a serial number, for one of another frame, for one measured before
        unless that is meant, or for names that are too long.
    """
    serial = _stamped(session, finding.result.choice, serial, batch)
    if not again:
        _ask_about_another(session, serial, besides=0)
    row = BenchRecord(
        **_content(finding, readings, serial=serial, batch=batch, note=note, on=measured_on),
        quote_number=quote_number,
        who=who,
    )
    session.add(row)
    session.flush()
    enter_frame(session, serial, kind_of(finding.result.choice), who=who, at=now())
    return int(row.id or 0)


def correct_bench(
    session: Session,
    record: int,
    finding: BenchFinding,
    readings: tuple[Reading, ...],
    *,
    who: str,
    why: str,
    serial: str,
    batch: str,
    note: str,
    measured_on: date,
    again: bool = False,
) -> None:
    """Put a kept check right; what it said before is kept with who, when and why.

    Raises
    ------
    Invalid
        Without a reason, and as `save_bench`.
    NotFound
        When there is none of that number.
    """
    row = _row(session, record)
    if not why.strip():
        raise Invalid("why", why, tr("what was wrong, in a few words"))
    serial = _stamped(session, finding.result.choice, serial, batch)
    if not again and serial.lower() != row.serial.lower():
        _ask_about_another(session, serial, besides=record)
    _remember(session, row, who=who, why=why)
    told = _content(finding, readings, serial=serial, batch=batch, note=note, on=measured_on)
    for name, value in told.items():
        setattr(row, name, value)
    session.add(row)
    session.flush()
    enter_frame(session, serial, kind_of(finding.result.choice), who=who, at=now())


def follow_number(session: Session, before: str, after: str, *, who: str, why: str) -> None:
    """Checks of a bike whose number was put right go with it, each with a correction of its own."""
    query = select(BenchRecord).where(func.lower(BenchRecord.serial) == before.lower())
    for row in session.exec(query).all():
        _remember(session, row, who=who, why=why)
        row.serial = after
        session.add(row)
    session.flush()


def _remember(session: Session, row: BenchRecord, *, who: str, why: str) -> None:
    """Keep what a record says now, before it is put right."""
    before = {name: _plain(getattr(row, name)) for name in (*_OF_THE_BIKE, "note", "readings")}
    kept = why.strip()[:_LONGEST_NOTE]
    session.add(
        BenchCorrection(bench_id=int(row.id or 0), at=now(), who=who, why=kept, before=before)
    )


def _content(
    finding: BenchFinding,
    readings: tuple[Reading, ...],
    *,
    serial: str,
    batch: str,
    note: str,
    on: date,
) -> dict[str, Any]:
    """What is kept of a check, without the person who kept it."""
    choice = finding.result.choice
    return {
        "serial": serial,
        "batch": batch.strip(),
        "model": choice.model,
        "revision": choice.revision,
        "size": choice.size,
        "build": query_of(choice),
        "state": finding.state,
        "measured_on": on,
        "note": note.strip()[:_LONGEST_NOTE],
        "readings": [{"key": r.key, "value": r.value, "spread": r.spread} for r in readings],
        "report": frozen(finding.report, finding.next_words),
    }


def _stamped(session: Session, choice: BuildChoice, serial: str, batch: str) -> str:
    """A serial number that may be this frame's, as it is kept."""
    gathering = Gathering()
    found = gathering.take(lambda: as_stamped(serial))
    if len(batch) > _LONGEST:
        gathering.add("batch", batch[:80], tr("at most {longest} characters", longest=_LONGEST))
    gathering.finish()
    stamped, kind = str(found), kind_of(choice)
    frame = frame_of_serial(session, stamped)
    if frame is None:
        return stamped
    entered = FrameKind(model=frame.model, revision=frame.revision, size=frame.size)
    if entered != replace(kind, finish=""):
        raise Invalid(
            "serial",
            stamped,
            tr(
                "the number of the frame measured; in the register this one is {frame}",
                frame=names_of_frame(session, entered).words,
            ),
        )
    return frame.serial


def _ask_about_another(session: Session, serial: str, *, besides: int) -> None:
    """Refuse a number that was measured before, so that somebody says that it is meant."""
    query = select(BenchRecord).where(
        func.lower(BenchRecord.serial) == serial.lower(), BenchRecord.id != besides
    )
    other = session.exec(query.order_by(col(BenchRecord.id).desc())).first()
    if other is not None:
        raise Invalid(
            "again",
            serial,
            tr(
                "a tick if this bike was measured once more; {serial} was measured on {day} by "
                "{who}",
                serial=other.serial,
                day=other.measured_on,
                who=other.who,
            ),
        )


def _row(session: Session, record: int) -> BenchRecord:
    row = session.get(BenchRecord, record)
    if row is None:
        raise NotFound("bench check", record, tr("the number of one that was kept"))
    return row


def bench_by_id(session: Session, number: int) -> BenchView:
    """One kept check with its corrections, newest first.

    Raises
    ------
    NotFound
        When there is none of that number.
    """
    row = _row(session, number)
    query = select(BenchCorrection).where(BenchCorrection.bench_id == number)
    rows = session.exec(query.order_by(col(BenchCorrection.id).desc())).all()
    told, after = [], {name: _plain(getattr(row, name)) for name in (*_OF_THE_BIKE, "readings")}
    for each in rows:
        told.append(
            Correction(at=each.at, who=each.who, why=each.why, changes=_changes(each.before, after))
        )
        after = each.before
    return _view(session, row, tuple(told))


def _plain(value: Any) -> Any:
    return value.isoformat() if isinstance(value, date) else value


def _changes(before: dict[str, Any], after: dict[str, Any]) -> tuple[str, ...]:
    """What a correction changed, one line a thing."""
    names = {"serial": tr("serial number"), "batch": tr("batch"), "model": tr("model"),
             "revision": tr("revision"), "size": tr("size"), "state": tr("state"),
             "measured_on": tr("measured on")}  # fmt: skip
    lines = [
        tr(
            "{name}: {before} → {after}",
            name=said,
            before=before[name] or "–",
            after=after[name] or "–",
        )
        for name, said in names.items()
        if before[name] != after[name]
    ]
    old, new = _read(before["readings"]), _read(after["readings"])
    lines += [
        tr(
            "{name}: {before} → {after}",
            name=entry(key).name,
            before=old.get(key, "–"),
            after=new.get(key, "–"),
        )
        for key in dict.fromkeys([*old, *new])
        if old.get(key) != new.get(key)
    ]
    if before["build"] != after["build"] and not lines:
        lines.append(tr("another build"))
    return tuple(lines)


def _read(readings: list[dict[str, Any]]) -> dict[str, str]:
    found: dict[str, list[str]] = {}
    for one in readings:
        found.setdefault(one["key"], []).append(shown(one["key"], one["value"]))
    return {key: "; ".join(values) for key, values in found.items()}


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
    return tuple(_view(session, row) for row in session.exec(query).all())


def checks_of_serial(session: Session, serial: str) -> tuple[BenchView, ...]:
    """Every check of one frame, newest first; the number in any case."""
    query = select(BenchRecord).where(func.lower(BenchRecord.serial) == serial.lower())
    rows = session.exec(query.order_by(col(BenchRecord.id).desc())).all()
    return tuple(_view(session, row) for row in rows)


def batches(session: Session) -> tuple[str, ...]:
    """Names of the batches there are."""
    query = select(BenchRecord.batch).where(BenchRecord.batch != "").distinct()
    return tuple(sorted(session.exec(query).all()))


def _view(
    session: Session, row: BenchRecord, corrections: tuple[Correction, ...] = ()
) -> BenchView:
    values = row.model_dump(exclude={"readings", "report"})
    kind = FrameKind(model=row.model, revision=row.revision, size=row.size)
    return BenchView(
        **values,
        readings=tuple(row.readings),
        report=as_told_now(row.report),
        named=names_of_frame(session, kind),
        corrections=corrections,
    )
