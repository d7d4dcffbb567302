"""Database rows as plain JSON values and back, for any table of this service."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from datetime import UTC, date, datetime
from typing import Any

from sqlalchemy import JSON, Column, Connection, Date, DateTime, Table, func, insert, select, update

from webapp.migrations.models import metadata
from webapp.quote.freezing.packing import Packed

LEFT_OUT = frozenset({"account_session", "account_link"})
"""Tables of secrets that are worth nothing elsewhere: sessions and one-time links."""

_READ_AT_ONCE = 50
_MOST_AT_ONCE = 500
_BYTES_AT_ONCE = 2_000_000


def tables() -> tuple[Table, ...]:
    """Every table that is kept, referred-to ones before those that refer to them."""
    return tuple(table for table in metadata.sorted_tables if table.name not in LEFT_OUT)


def plain(value: Any) -> Any:
    """One value as JSON has it; moments in UTC.

    >>> plain(date(2026, 3, 1)), plain(datetime(2026, 3, 1, 12)), plain(450)
    ('2026-03-01', '2026-03-01T12:00:00+00:00', 450)
    """
    if isinstance(value, datetime):
        moment = value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)
        return moment.isoformat()
    return value.isoformat() if isinstance(value, date) else value


def valued(column: Column[Any], value: Any) -> Any:
    """A column's value from what `plain` made of it.

    >>> from webapp.catalogue.tables import FrameRevision
    >>> valued(FrameRevision.__table__.c.published_on, "2026-03-01")
    datetime.date(2026, 3, 1)
    """
    if value is None or isinstance(column.type, (JSON, Packed)):
        return value
    if isinstance(column.type, DateTime):
        return datetime.fromisoformat(value)
    return date.fromisoformat(value) if isinstance(column.type, Date) else value


def read_lines(connection: Connection, table: Table) -> Iterator[bytes]:
    """Every row of a table as one line of JSON in UTF-8, in the order of its key.

    A few rows are read at a time, however many there are.
    """
    query = select(table).order_by(*table.primary_key.columns)
    with connection.execute(query.execution_options(yield_per=_READ_AT_ONCE)) as rows:
        for row in rows.mappings():
            yield _line({column.name: plain(row[column.name]) for column in table.columns})


def _line(values: Mapping[str, Any]) -> bytes:
    try:
        return (json.dumps(values, ensure_ascii=False, sort_keys=True) + "\n").encode()
    except UnicodeEncodeError:  # half a pair of UTF-16, which JSON can name and UTF-8 cannot hold
        return (json.dumps(values, sort_keys=True) + "\n").encode()


def write_lines(connection: Connection, table: Table, lines: Iterable[bytes]) -> int:
    """Write lines of JSON into an empty table.

    A row that refers to another row of its own table is written without it
    first, since the other may come later.

    Returns
    -------
    int
        How many rows there were.

    Raises
    ------
    ValueError
        For a line that is no row of the table.
    """
    own = [c for c in table.columns if any(f.column.table is table for f in c.foreign_keys)]
    referring: list[dict[str, Any]] = []
    written = 0
    for rows in _batches(table, lines):
        connection.execute(insert(table), [{**row, **{c.name: None for c in own}} for row in rows])
        names = [*(key.name for key in table.primary_key.columns), *(c.name for c in own)]
        referring += [
            {name: row[name] for name in names}
            for row in rows
            if any(row[c.name] is not None for c in own)
        ]
        written += len(rows)
    for column in own:
        for row in referring:
            _point(connection, table, column, row)
    return written


def _batches(table: Table, lines: Iterable[bytes]) -> Iterator[list[dict[str, Any]]]:
    """Rows to be written at once: not too many, and none after a long one."""
    rows: list[dict[str, Any]] = []
    size = 0
    for line in lines:
        rows.append(_row(table, line))
        size += len(line)
        if len(rows) == _MOST_AT_ONCE or size > _BYTES_AT_ONCE:
            yield rows
            rows, size = [], 0
    if rows:
        yield rows


def _row(table: Table, line: bytes) -> dict[str, Any]:
    given = json.loads(line)
    names = {column.name for column in table.columns}
    if not isinstance(given, Mapping) or set(given) != names:
        raise ValueError(f"a line of {table.name} that is no row of it: {line[:80]!r}")
    return {column.name: valued(column, given[column.name]) for column in table.columns}


def _point(
    connection: Connection, table: Table, column: Column[Any], row: Mapping[str, Any]
) -> None:
    (key,) = table.primary_key.columns
    change = update(table).where(key == row[key.name]).values({column.name: row[column.name]})
    connection.execute(change)


def count(connection: Connection, table: Table) -> int:
    """How many rows a table has."""
    return int(connection.execute(select(func.count()).select_from(table)).scalar_one())


def continue_numbers(connection: Connection) -> None:
    """Let PostgreSQL number new rows after the highest there is; SQLite does so by itself."""
    if connection.dialect.name != "postgresql":
        return
    for table in tables():
        keys = list(table.primary_key.columns)
        if len(keys) == 1 and keys[0].autoincrement is not False and keys[0].name == "id":
            sequence = func.pg_get_serial_sequence(table.name, "id")
            highest = select(func.max(keys[0])).scalar_subquery()
            connection.execute(
                select(func.setval(sequence, func.coalesce(highest, 1), highest.is_not(None)))
            )
