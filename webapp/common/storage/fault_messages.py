"""Faults of a database or a disk, each as one plain sentence with what to do.

The drivers' errors are recognised by their codes, never by their texts: SQLite's result
codes (sqlite.org/rescode.html [R]) and PostgreSQL's SQLSTATE classes (appendix A of
its manual [R]). Any other error is a fault of the program.
"""

from __future__ import annotations

import errno
import sqlite3
from dataclasses import dataclass

from sqlalchemy.exc import DBAPIError, SQLAlchemyError
from sqlalchemy.exc import TimeoutError as NoConnectionFree

from webapp.common.errors import DomainError
from webapp.common.text.language import tr

SOON = 5  # [s] until a retry where the database is only busy
LATER = 60  # [s] until a retry where somebody has to repair it


@dataclass(frozen=True, kw_only=True)
class Fault:
    """Something that keeps the service from its data.

    Attributes
    ----------
    what : str
        For the operator: what is wrong and what to do, in whole sentences.
    visitor : str
        For whoever asked, as a sentence without its full stop.
    retry_after : int
        When to ask again [s].
    """

    what: str
    visitor: str
    retry_after: int = LATER


class CannotGoOn(Exception):
    """The service cannot start; carries the fault to show to the operator."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(fault.what)
        self.fault = fault


_COME_BACK = tr(
    "our data cannot be reached at the moment and somebody has to repair that; nothing was "
    "changed, try again later"
)
_BUSY_WORDS = tr("the service is very busy; nothing was changed, try again in a moment")

DAMAGED = Fault(
    what=tr(
        "The database is damaged. Stop the service, keep the damaged files aside, and put the "
        "last good copy back with 'python -m webapp.archive restore PATH --replace'."
    ),
    visitor=_COME_BACK,
)
FULL = Fault(
    what=tr(
        "The disk is full, so nothing can be written. Free some space or enlarge the disk; "
        "nothing that was confirmed is lost, and the service goes on by itself."
    ),
    visitor=tr(
        "nothing more can be saved at the moment and somebody has to repair that; what you sent "
        "was not saved, try again later"
    ),
)
READ_ONLY = Fault(
    what=tr(
        "The data folder or the database cannot be written. Give the account that runs the "
        "service the right to write in DATA_FOLDER, or mount it writable, and start again."
    ),
    visitor=_COME_BACK,
)
UNREADABLE = Fault(
    what=tr(
        "The database file cannot be opened. See that DATA_FOLDER or DATABASE_URL names the "
        "right place and that the account that runs the service may read and write there."
    ),
    visitor=_COME_BACK,
)
FAILING = Fault(
    what=tr(
        "The disk reports an error while the database is read or written. Look at the system's "
        "log, make a backup to another disk, and replace the disk before going on."
    ),
    visitor=_COME_BACK,
)
AWAY = Fault(
    what=tr(
        "The database server does not answer. See that PostgreSQL runs and can be reached from "
        "here under DATABASE_URL; the service goes on by itself once it answers."
    ),
    visitor=_COME_BACK,
    retry_after=30,
)
REFUSED = Fault(
    what=tr(
        "The database server refuses to let the service in. See that the user, the password and "
        "the name of the database in DATABASE_URL are right and that this database exists."
    ),
    visitor=_COME_BACK,
)
BUSY = Fault(
    what=tr(
        "The database was busy for longer than a request may wait. If this comes often, look "
        "for a long write, or let more processes share the work with --workers and PostgreSQL."
    ),
    visitor=_BUSY_WORDS,
    retry_after=SOON,
)
EMPTY = Fault(
    what=tr(
        "The database does not hold this program's tables: it was moved or replaced while the "
        "service ran. Stop the service, put the database back, and start again."
    ),
    visitor=_COME_BACK,
)
UNKNOWN_MIGRATION = Fault(
    what=tr(
        "The database was written by another, probably newer, version of this program, which "
        "this one cannot read. Run that version again, or restore the backup made before it."
    ),
    visitor=_COME_BACK,
)

_SQLITE = {
    "SQLITE_BUSY": BUSY,
    "SQLITE_LOCKED": BUSY,
    "SQLITE_FULL": FULL,
    "SQLITE_READONLY": READ_ONLY,
    "SQLITE_PERM": READ_ONLY,
    "SQLITE_CANTOPEN": UNREADABLE,
    "SQLITE_CORRUPT": DAMAGED,
    "SQLITE_NOTADB": DAMAGED,
    "SQLITE_IOERR": FAILING,
}

# Whole codes first, then classes: the first two characters.
_POSTGRES = {
    "53100": FULL,
    "53300": BUSY,
    "57014": BUSY,  # a statement that took longer than it may
    "55P03": BUSY,
    "25006": READ_ONLY,
    "42P01": EMPTY,
    "3D000": REFUSED,
    "08": AWAY,
    "28": REFUSED,
    "40": BUSY,  # two that waited for each other
    "53": BUSY,
    "57": AWAY,
    "58": FAILING,
    "XX": DAMAGED,
}

_DISK = {
    errno.ENOSPC: FULL,
    errno.EDQUOT: FULL,
    errno.EROFS: READ_ONLY,
    errno.EACCES: READ_ONLY,
    errno.EPERM: READ_ONLY,
    errno.EIO: FAILING,
    errno.EEXIST: UNREADABLE,  # a file where the folder should be
    errno.ENOTDIR: UNREADABLE,
}


def fault_of(error: BaseException) -> Fault | None:
    """The fault behind an error; None when it is none of the database's or the disk's.

    Examples
    --------
    >>> fault_of(OSError(errno.ENOSPC, "No space left on device")) is FULL
    True
    >>> fault_of(ValueError("a mistake of ours")) is None
    True
    """
    if isinstance(error, CannotGoOn):
        return error.fault
    if isinstance(error, NoConnectionFree):
        return BUSY
    if isinstance(error, DBAPIError):
        return _fault_of_driver(error.orig)
    if isinstance(error, sqlite3.Error):
        return _fault_of_driver(error)
    if isinstance(error, OSError):
        return _DISK.get(error.errno or 0)
    return None


FAULTS = (DomainError, CannotGoOn, SQLAlchemyError, sqlite3.Error, OSError)
"""What keeps a command from its work without a mistake of the program's."""


def in_one_sentence(error: Exception) -> str | None:
    """What keeps a command from its work and what to do about it; None when nobody foresaw it.

    Examples
    --------
    >>> in_one_sentence(OSError(errno.ENOSPC, "No space left on device")) == FULL.what
    True
    """
    fault = fault_behind(error)
    if fault is not None:
        return fault.what
    return str(error) if isinstance(error, DomainError) else None


def fault_behind(error: Exception) -> Fault | None:
    """The fault that an error is, or that it was raised from."""
    return fault_of(error) or (fault_of(error.__cause__) if error.__cause__ else None)


def _fault_of_driver(error: BaseException | None) -> Fault | None:
    name = getattr(error, "sqlite_errorname", None)
    if name is not None:
        return _fault_of_sqlite(name, str(error))
    code = getattr(error, "sqlstate", None)
    if code:
        return _POSTGRES.get(code) or _POSTGRES.get(code[:2])
    # psycopg gives no code to a connection that could not be made or broke off.
    if type(error).__name__ == "OperationalError" and type(error).__module__.startswith("psycopg"):
        return _fault_of_connecting(str(error))
    return None


def _fault_of_sqlite(name: str, words: str) -> Fault | None:
    # SQLite has one code for every mistake in a statement; only the message identifies this one.
    if name == "SQLITE_ERROR" and words.startswith("no such table"):
        return EMPTY
    plain = "_".join(name.split("_")[:2])  # SQLITE_READONLY_DIRECTORY is a kind of SQLITE_READONLY
    return _SQLITE.get(plain)


def _fault_of_connecting(words: str) -> Fault:
    """A server that refuses a connection gives only a text and no code."""
    refusals = ("authentication failed", "does not exist", "no pg_hba.conf entry")
    return REFUSED if any(refusal in words for refusal in refusals) else AWAY
