"""The history of every edit, and the export of everything."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, StreamingResponse

from webapp.accounts.confirmation import CONFIRMED
from webapp.accounts.dependencies import Builder
from webapp.accounts.people import Person
from webapp.archive.export import export_stream
from webapp.archive.row_values import count, tables
from webapp.common.storage.locking import sqlite_file
from webapp.common.text.language import tr
from webapp.common.web.choices import Option
from webapp.common.web.dependencies import (
    BeforeRow,
    CurrentEngine,
    CurrentSettings,
    Now,
    ReadingSession,
)
from webapp.common.web.templating import page
from webapp.office.forms.submitted import PRIVATE
from webapp.office.history.edit_history import PAGE, TABLES, EditView, everybody, history

router = APIRouter(prefix="/office", include_in_schema=False)

Short = Annotated[str, Query(max_length=200)]


@dataclass(frozen=True, kw_only=True)
class HistoryPage:
    """Edits, newest first."""

    person: Person
    edits: tuple[EditView, ...]
    tables: tuple[Option, ...]
    people: tuple[Option, ...]
    table: str
    key: str
    who: str
    older: str


@dataclass(frozen=True, kw_only=True)
class StoredDataPage:
    """How much is kept, and how it is kept safe."""

    person: Person
    database: str
    counts: tuple[tuple[str, int], ...]


@router.get("/history")
def edits(
    request: Request,
    person: Builder,
    session: ReadingSession,
    *,
    table: Short = "",
    key: Short = "",
    who: Short = "",
    before: BeforeRow = 0,
) -> HTMLResponse:
    """Who changed what, when, and how it was before."""
    found = history(session, table=table, key=key, who=who, before=before)
    more = {"table": table, "key": key, "who": who, "before": found[-1].id if found else 0}
    context = HistoryPage(
        person=person,
        edits=found,
        tables=(
            Option(value="", label=tr("everything")),
            *(Option(value=name, label=label) for name, label in TABLES.items()),
        ),
        people=(
            Option(value="", label=tr("everybody")),
            *(Option(value=name, label=name) for name in everybody(session)),
        ),
        table=table,
        key=key,
        who=who,
        older=f"/office/history?{urlencode(more)}" if len(found) == PAGE else "",
    )
    return page(request, "pages/office/history/history.html", context, headers=PRIVATE)


@router.get("/keeping")
def stored_data(
    request: Request, person: Builder, session: ReadingSession, settings: CurrentSettings
) -> HTMLResponse:
    """How much is kept, and the commands that keep it safe."""
    connection = session.connection()
    file = sqlite_file(settings.database_address())
    context = StoredDataPage(
        person=person,
        database="PostgreSQL" if file is None else tr("SQLite, {name}", name=file.name),
        counts=tuple((table.name, count(connection, table)) for table in tables()),
    )
    return page(request, "pages/office/history/take_out.html", context, headers=PRIVATE)


@router.get("/keeping/export.zip", dependencies=[CONFIRMED])
def export(_person: Builder, at: Now, engine: CurrentEngine) -> StreamingResponse:
    """Everything in open formats, sent while it is written."""
    name = f"everything-{at:%Y-%m-%d}.zip"
    # It is compressed already; compressing it again would delay its beginning.
    headers = {
        **PRIVATE,
        "Content-Disposition": f'attachment; filename="{name}"',
        "Content-Encoding": "identity",
        "X-Accel-Buffering": "no",
    }
    return StreamingResponse(export_stream(engine), media_type="application/zip", headers=headers)
