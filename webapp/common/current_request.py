"""The request being answered: its number in the log, and the connection it holds.

A request may hold one connection to the database at a time. Were it to wait for a
second while holding a first, enough of them at once would hold every connection
there is and wait for each other until they gave up. So the second is refused,
always, and not only when many requests come at once.
"""

from __future__ import annotations

import secrets
from contextvars import ContextVar
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Engine, event

_HOLDER = "request"


def _number() -> str:
    return secrets.token_hex(6)


@dataclass(slots=True)
class Current:
    """What is known everywhere about the request being answered."""

    number: str = field(default_factory=_number)
    held: int = 0


current: ContextVar[Current | None] = ContextVar("current", default=None)


def number_of_request() -> str:
    """Number of the request being answered; a dash outside of any.

    >>> number_of_request()
    '-'
    """
    answering = current.get()
    return answering.number if answering else "-"


def one_connection_a_request(engine: Engine) -> None:
    """Have an engine refuse a request its second connection while it holds the first.

    Examples
    --------
    >>> from sqlalchemy import create_engine
    >>> from sqlalchemy.pool import QueuePool
    >>> engine = create_engine("sqlite://", poolclass=QueuePool)
    >>> one_connection_a_request(engine)
    >>> token = current.set(Current())
    >>> with engine.connect(), engine.connect():
    ...     pass
    Traceback (most recent call last):
    ...
    RuntimeError: a request that holds a connection asked for another; close the first session
    >>> current.reset(token)
    """
    event.listen(engine, "checkout", _taken)
    event.listen(engine, "checkin", _given_back)


def _taken(_connection: object, record: Any, _proxy: object) -> None:
    answering = current.get()
    if answering is None:
        return
    if answering.held:
        raise RuntimeError(
            "a request that holds a connection asked for another; close the first session"
        )
    answering.held += 1
    record.info[_HOLDER] = answering


def _given_back(_connection: object, record: Any) -> None:
    answering: Current | None = record.info.pop(_HOLDER, None)
    if answering is not None:
        answering.held -= 1
