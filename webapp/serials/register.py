"""Taking serial numbers for orders and finding them; a number belongs to one frame."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.exc import IntegrityError
from sqlmodel import Session, col, func, select

from webapp.common.errors import Conflict, Invalid
from webapp.common.text.language import tr
from webapp.serials.tables import LONGEST_SERIAL, SerialNumber


@dataclass(frozen=True, kw_only=True)
class FrameKind:
    """What a frame is, by slugs; ``finish`` is empty where it is not known."""

    model: str
    revision: int
    size: str
    finish: str = ""


def as_stamped(typed: str) -> str:
    """A serial number as it is kept: one line, single spaces.

    Raises
    ------
    Invalid
        For none, or too long a one.

    Examples
    --------
    >>> as_stamped("  KN 26-014 ")
    'KN 26-014'
    """
    serial = " ".join(typed.split())
    if not 0 < len(serial) <= LONGEST_SERIAL:
        remedy = tr(
            "the number stamped into the frame, at most {longest} characters",
            longest=LONGEST_SERIAL,
        )
        raise Invalid("serial", serial[:LONGEST_SERIAL], remedy)
    return serial


def frame_of_serial(session: Session, serial: str, *, locked: bool = False) -> SerialNumber | None:
    """The frame of a number, whatever its case; None when there is none.

    Parameters
    ----------
    session : Session
    serial : str
    locked : bool
        Whether others who would change it have to wait; for writing sessions.
    """
    query = select(SerialNumber).where(func.lower(SerialNumber.serial) == serial.lower())
    return session.exec(query.with_for_update() if locked else query).first()


def frames_of_quote(session: Session, quote_id: int) -> Sequence[SerialNumber]:
    """The frames of an order, in the order they were given to it."""
    query = select(SerialNumber).where(SerialNumber.quote_id == quote_id)
    return session.exec(query.order_by(col(SerialNumber.id))).all()


def is_frame(frame: SerialNumber, kind: FrameKind) -> bool:
    """Whether a frame is of that kind; a finish that is not known may be any."""
    same = (frame.model, frame.revision, frame.size) == (kind.model, kind.revision, kind.size)
    return same and (not frame.finish or not kind.finish or frame.finish == kind.finish)


def take_serial(
    session: Session, typed: str, kind: FrameKind, *, quote_id: int, who: str, at: datetime
) -> SerialNumber:
    """Give an order the frame of a number, or a number to a frame that has none yet.

    Parameters
    ----------
    session : Session
        A writing session.
    typed : str
        The number as typed.
    kind : FrameKind
        What is ordered.
    quote_id : int
    who : str
    at : datetime

    Returns
    -------
    SerialNumber

    Raises
    ------
    Invalid
        For no number, or too long a one.
    Conflict
        For a number of another order, or of another frame than is ordered.
    """
    serial = as_stamped(typed)
    found = frame_of_serial(session, serial, locked=True)
    if found is not None:
        return _give(session, found, kind, quote_id=quote_id)
    made = SerialNumber(
        serial=serial,
        model=kind.model,
        revision=kind.revision,
        size=kind.size,
        finish=kind.finish,
        quote_id=quote_id,
        who=who,
        at=at,
    )
    try:
        with session.begin_nested():
            session.add(made)
    except IntegrityError:
        raise _taken(serial) from None  # by somebody else, at the same moment
    return made


def _give(session: Session, frame: SerialNumber, kind: FrameKind, *, quote_id: int) -> SerialNumber:
    if frame.quote_id not in (None, quote_id):
        raise _taken(frame.serial)
    if not is_frame(frame, kind):
        remedy = tr(
            "the number of a frame as ordered; this one is {model}, revision {revision}, "
            "size {size}, finish {finish}",
            model=frame.model,
            revision=frame.revision,
            size=frame.size,
            finish=frame.finish or tr("not known"),
        )
        raise Conflict("serial", frame.serial, remedy)
    frame.quote_id = quote_id
    frame.finish = frame.finish or kind.finish
    session.add(frame)
    session.flush()
    return frame


def _taken(serial: str) -> Conflict:
    return Conflict("serial", serial, tr("another number; this one belongs to another order"))


def free_serial(session: Session, frame: SerialNumber) -> None:
    """Free a frame from its order; its number stays in the register."""
    frame.quote_id = None
    session.add(frame)
    session.flush()


def enter_frame(
    session: Session, typed: str, kind: FrameKind, *, who: str, at: datetime
) -> SerialNumber:
    """Add a frame without an order to the register, unless it is there already.

    Parameters
    ----------
    session : Session
        A writing session.
    typed : str
        The number as typed.
    kind : FrameKind
        What the frame is, for a number that is new.
    who : str
    at : datetime

    Returns
    -------
    SerialNumber

    Raises
    ------
    Invalid
        For no number, or too long a one.
    """
    serial = as_stamped(typed)
    found = frame_of_serial(session, serial, locked=True)
    if found is not None:
        return found
    made = SerialNumber(
        serial=serial,
        model=kind.model,
        revision=kind.revision,
        size=kind.size,
        finish=kind.finish,
        who=who,
        at=at,
    )
    try:
        with session.begin_nested():
            session.add(made)
    except IntegrityError:  # by somebody else, at the same moment
        return session.exec(select(SerialNumber).where(SerialNumber.serial == serial)).one()
    return made


def frames_like(session: Session, text: str, *, most: int = 20) -> Sequence[SerialNumber]:
    """Frames whose number holds a text, whatever its case; those that begin with it first.

    Parameters
    ----------
    session : Session
    text : str
        Part of a serial number; nothing is found for an empty one.
    most : int

    Examples
    --------
    ``frames_like(session, "26-01")`` finds ``KN 26-014``.
    """
    wanted = " ".join(text.split()).lower()
    if not wanted:
        return ()
    serial = func.lower(SerialNumber.serial)
    begins = serial.startswith(wanted, autoescape=True)
    query = select(SerialNumber).where(serial.contains(wanted, autoescape=True))
    return session.exec(
        query.order_by(begins.desc(), col(SerialNumber.id).desc()).limit(most)
    ).all()


def newest_frames(session: Session, *, before: int = 0, most: int = 100) -> Sequence[SerialNumber]:
    """The register, newest first, one page of it; ``before`` is the last row seen."""
    query = select(SerialNumber).order_by(col(SerialNumber.id).desc()).limit(most)
    if before:
        query = query.where(col(SerialNumber.id) < before)
    return session.exec(query).all()
