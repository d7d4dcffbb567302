"""What a page may ask FastAPI for: a session that reads or writes, the settings."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable, Iterator
from datetime import datetime
from typing import Annotated

from fastapi import Depends, Path, Query, Request
from fastapi.concurrency import contextmanager_in_threadpool
from sqlalchemy import Engine
from sqlmodel import Session

from webapp.common.errors import Invalid
from webapp.common.settings import Settings
from webapp.common.storage.database import reading, writing
from webapp.common.storage.public_source import PublicSource
from webapp.common.text.language import tr


async def current_engine(request: Request) -> Engine:
    """The engine the application was started with."""
    engine: Engine = request.app.state.engine
    return engine


async def current_settings(request: Request) -> Settings:
    """The settings the application was started with."""
    settings: Settings = request.app.state.settings
    return settings


def _reading(engine: Annotated[Engine, Depends(current_engine)]) -> Iterator[Session]:
    with reading(engine) as session:
        yield session


def _writing(engine: Annotated[Engine, Depends(current_engine)]) -> Iterator[Session]:
    with writing(engine) as session:
        yield session


async def _public(request: Request) -> AsyncIterator[Session]:
    source: PublicSource = request.app.state.public
    if source.is_file:
        with source.reading() as session:
            yield session
    else:
        async with contextmanager_in_threadpool(source.reading()) as session:
            yield session


# For pages that compute between reading and writing, and hold no connection meanwhile.
CurrentEngine = Annotated[Engine, Depends(current_engine)]

# Closed before the answer leaves: who reads it slowly, or never, holds no connection meanwhile.
ReadingSession = Annotated[Session, Depends(_reading, scope="function")]

# For what everybody may see: from a copy of the database, where there is one that is not behind.
PublicSession = Annotated[Session, Depends(_public, scope="function")]

# Committed before the answer leaves: nobody is told "saved" before it is.
WritingSession = Annotated[Session, Depends(_writing, scope="function")]

CurrentSettings = Annotated[Settings, Depends(current_settings)]


async def _this_moment(request: Request) -> datetime:
    clock: Callable[[], datetime] = request.app.state.clock
    return clock()


# In UTC, to the second, by the clock that the service was made with.
Now = Annotated[datetime, Depends(_this_moment)]

LAST_ROW = 2**31 - 1  # the largest integer that every database can store

RowNumber = Annotated[int, Path(ge=0, le=LAST_ROW)]
"""The number of a row or a revision, in the path of an address."""

BeforeRow = Annotated[int, Query(ge=0, le=LAST_ROW)]
"""The row after which a list continues; 0 for its beginning."""

RowAsked = Annotated[int, Query(ge=0, le=LAST_ROW)]
"""The number of a row after the question mark of an address; 0 for none."""


async def base_url(request: Request, settings: CurrentSettings) -> str:
    """Public address of the service without its last slash, for links that leave it."""
    return settings.base_url or str(request.base_url).rstrip("/")


BaseUrl = Annotated[str, Depends(base_url)]


MOST_PAIRS = 200  # fields of a query; no form has more


def query_of_request(request: Request) -> dict[str, list[str]]:
    """The query of a request, every key with all its values, in their order.

    Raises
    ------
    Invalid
        For a query of more fields than any form has.
    """
    pairs = request.query_params.multi_items()
    if len(pairs) > MOST_PAIRS:
        raise Invalid(
            "query",
            tr("{pairs} fields", pairs=len(pairs)),
            tr("give at most {most_pairs}", most_pairs=MOST_PAIRS),
        )
    found: dict[str, list[str]] = {}
    for name, value in pairs:
        found.setdefault(name, []).append(value)
    return found
