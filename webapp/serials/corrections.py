"""Entries of the register put right: what stood there is kept with who, when and why."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from sqlalchemy.exc import IntegrityError
from sqlmodel import Session, col, select

from webapp.common.errors import Conflict, Gathering
from webapp.common.text.language import tr
from webapp.common.timestamps import utc
from webapp.serials.register import FrameKind, as_stamped, frame_of_serial
from webapp.serials.tables import SerialCorrection, SerialNumber

_LONGEST = 1000


def kind_of_frame(frame: SerialNumber) -> FrameKind:
    """What a frame of the register is."""
    return FrameKind(
        model=frame.model, revision=frame.revision, size=frame.size, finish=frame.finish
    )


def correct_frame(
    session: Session,
    frame: SerialNumber,
    typed: str,
    kind: FrameKind,
    *,
    who: str,
    why: str,
    at: datetime,
) -> None:
    """Put an entry right; what it said before is kept.

    Parameters
    ----------
    session : Session
        A writing session; the frame is locked in it.
    frame : SerialNumber
    typed : str
        The number as it should be.
    kind : FrameKind
        What the frame is.
    who : str
    why : str
        In a few words.
    at : datetime

    Raises
    ------
    Invalid
        For no number, too long a one, or no reason.
    Conflict
        For a number of another frame, or another frame while an order holds this one.
    """
    gathering = Gathering()
    serial = gathering.take(lambda: as_stamped(typed)) or frame.serial
    if not why.strip():
        gathering.add("why", why, tr("what was wrong, in a few words"))
    gathering.finish()
    other = frame_of_serial(session, serial)
    if other is not None and other.id != frame.id:
        raise _taken(serial)
    if frame.quote_id is not None and kind != kind_of_frame(frame):
        remedy = tr("the frame as it is; an order holds it: take the number out of the order first")
        raise Conflict("frame", serial, remedy)
    now = {"serial": serial, **vars(kind)}
    before = {name: getattr(frame, name) for name in now}
    if now == before:
        return
    kept = why.strip()[:_LONGEST]
    session.add(
        SerialCorrection(frame_id=int(frame.id or 0), at=at, who=who, why=kept, before=before)
    )
    try:
        with session.begin_nested():
            for name, value in now.items():
                setattr(frame, name, value)
            session.add(frame)
    except IntegrityError:  # by somebody else, at the same moment
        raise _taken(serial) from None


def _taken(serial: str) -> Conflict:
    return Conflict("serial", serial, tr("another number; this one is in the register already"))


def corrections_of(session: Session, frame: SerialNumber) -> Sequence[SerialCorrection]:
    """The corrections of an entry, newest first."""
    query = select(SerialCorrection).where(SerialCorrection.frame_id == frame.id)
    return session.exec(query.order_by(col(SerialCorrection.id).desc())).all()


def corrected_after(
    session: Session, frame: SerialNumber, moment: datetime
) -> tuple[str, datetime] | None:
    """The number a frame had at a moment and when it was put right; None where it is the same."""
    later = [each for each in corrections_of(session, frame) if utc(each.at) > moment]
    if not later:
        return None
    was = str(later[-1].before["serial"])
    return None if was == frame.serial else (was, utc(later[0].at))


def entries_of(session: Session, frame: SerialNumber) -> tuple[dict[str, Any], ...]:
    """What the entry says, and what it said before each correction; newest first."""
    now = {"serial": frame.serial, **vars(kind_of_frame(frame))}
    return (now, *(each.before for each in corrections_of(session, frame)))
