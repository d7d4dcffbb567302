"""The database: one engine, sessions that read and sessions that write.

SQLite is run the way that survives many visitors and a power cut: write-ahead
log, foreign keys checked, full synchronisation, and a writing session that takes
its lock at once (``BEGIN IMMEDIATE``), since a session that reads first and
writes later is refused when another one wrote in between.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, event, make_url
from sqlmodel import Session, create_engine

from webapp.common.current_request import one_connection_a_request
from webapp.common.storage.private import private_file

THREADS = 40  # that answer requests in one process; the framework's own number
PATIENCE = 5.0  # how long a request waits for a connection before it is told to come back [s]

CONNECTS_WITHIN = 5  # [s]; of a server that is switched off nothing is heard at all

_WRITING = "writing"
# What a page reads in several statements is one moment on PostgreSQL too, whose usual level
# shows every statement what was committed before it.
_ONE_MOMENT = {"isolation_level": "REPEATABLE READ", "postgresql_readonly": True}
_PRAGMAS = (
    "PRAGMA journal_mode = WAL",
    "PRAGMA synchronous = FULL",
    "PRAGMA foreign_keys = ON",
    "PRAGMA busy_timeout = 10000",
    "PRAGMA secure_delete = ON",  # what is erased of a person is overwritten
)


@dataclass(frozen=True, kw_only=True)
class Limits:
    """How much of a database server the requests of one process may take.

    Attributes
    ----------
    connections : int
    wait : float
        How long a request waits for a connection before it is told to come back [s].
    statement : int
        How long one statement may take [s]; 0 is any time.
    """

    connections: int = 15
    wait: float = PATIENCE
    statement: int = 0


def make_engine(address: str, limits: Limits = Limits()) -> Engine:  # frozen
    """Engine for a database address in SQLAlchemy's form.

    Parameters
    ----------
    address : str
        ``sqlite:///file`` or ``postgresql+psycopg://...``
        (see `webapp.common.settings.Settings.database_address`).
    limits : Limits, optional
        By default a statement may take any time, as migrations and exports do.

    Returns
    -------
    Engine
        Ready for `reading` and `writing`; the folder of an SQLite file is made.

    Examples
    --------
    >>> engine = make_engine("sqlite://")
    >>> engine.dialect.name
    'sqlite'
    >>> engine.dispose()
    """
    # A statement that fails is logged without its values: they are somebody's name or body.
    engine = create_engine(address, hide_parameters=True, **_pooling(address, limits))
    one_connection_a_request(engine)
    if is_file(engine):
        file = make_url(address).database
        if file and file != ":memory:":
            Path(file).parent.mkdir(parents=True, exist_ok=True, mode=0o700)
            private_file(Path(file), make=True)  # its log and index beside it take its rights
        event.listen(engine, "connect", _prepare_connection)
        event.listen(engine, "begin", _begin)
    return engine


@contextmanager
def opened(address: str, limits: Limits = Limits()) -> Iterator[Engine]:  # frozen
    """An engine as `make_engine` makes it, whose connections are closed at the end."""
    engine = make_engine(address, limits)
    try:
        yield engine
    finally:
        engine.dispose()


def _pooling(address: str, limits: Limits) -> dict[str, Any]:
    """How many connections are kept: on SQLite one for each thread that answers requests."""
    if not address.startswith("sqlite"):
        return {
            "pool_pre_ping": True,
            "pool_size": limits.connections,
            "max_overflow": 0,
            "pool_timeout": limits.wait,
            "connect_args": _session_of_server(limits),
        }
    if make_url(address).database in {None, "", ":memory:"}:
        return {}
    return {"pool_size": THREADS, "max_overflow": 8, "pool_timeout": limits.wait}


def _session_of_server(limits: Limits) -> dict[str, Any]:
    """Options of each connection to PostgreSQL, by its client library's names."""
    milliseconds = 1000 * limits.statement
    return {
        "connect_timeout": CONNECTS_WITHIN,
        "application_name": "stancewright",
        "options": f"-c statement_timeout={milliseconds}",
    }


def _prepare_connection(connection: Any, _record: object) -> None:
    # The driver's own habit of opening transactions late is switched off;
    # `_begin` opens them.
    connection.isolation_level = None
    cursor = connection.cursor()
    for pragma in _PRAGMAS:
        cursor.execute(pragma)
    cursor.close()


def _begin(connection: Connection) -> None:
    writing = connection.get_execution_options().get(_WRITING, False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")


@contextmanager
def reading(engine: Engine) -> Iterator[Session]:
    """A session that only reads; what it holds is one consistent moment.

    Raises
    ------
    RuntimeError
        When something in it tries to write.

    Examples
    --------
    >>> from sqlalchemy import text
    >>> engine = make_engine("sqlite://")
    >>> with reading(engine) as session:
    ...     session.scalar(text("SELECT 1 + 1"))
    2
    >>> engine.dispose()
    """
    steady = engine.execution_options(**_ONE_MOMENT) if _is_server(engine) else engine
    with Session(steady) as session:
        event.listen(session, "before_flush", _refuse)
        yield session


def is_file(engine: Engine) -> bool:
    """Whether it is an SQLite file: one small read of it takes less time than handing the read to
    a thread, which then waits its turn among those that compute.
    """
    return engine.dialect.name == "sqlite"


def _is_server(engine: Engine) -> bool:
    return engine.dialect.name == "postgresql"


def _refuse(session: Session, _context: object, _instances: object) -> None:
    if session.new or session.dirty or session.deleted:
        raise RuntimeError("a reading session was asked to write; use writing()")


@contextmanager
def writing(engine: Engine) -> Iterator[Session]:
    """A session that writes: committed at the end, rolled back when anything is raised.

    Rows stay readable after the commit, so that a page can show what was saved.

    Examples
    --------
    >>> from sqlalchemy import text
    >>> engine = make_engine("sqlite://")
    >>> with writing(engine) as session:
    ...     _ = session.execute(text("CREATE TABLE note (word TEXT)"))
    >>> engine.dispose()
    """
    with (
        Session(engine.execution_options(**{_WRITING: True}), expire_on_commit=False) as session,
        session.begin(),
    ):
        yield session
