"""Database rows as plain JSON values and back, for any table of this service."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from datetime import UTC, date, datetime
from typing import Any

from sqlalchemy import JSON, Column, Connection, Date, DateTime, Table, func, insert, select, update

from webapp.migrations.models import metadata
from webapp.quote.packing import Packed

LEFT_OUT = frozenset({"account_session", "account_link"})
"""Tables of secrets that are worth nothing elsewhere: sessions and one-time links."""

_BATCH = 500


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


def read_lines(connection: Connection, table: Table) -> Iterator[str]:
    """Every row of a table as one line of JSON, in the order of its key."""
    order = list(table.primary_key.columns)
    for row in connection.execute(select(table).order_by(*order)).mappings():
        values = {column.name: plain(row[column.name]) for column in table.columns}
        yield json.dumps(values, ensure_ascii=False, sort_keys=True) + "\n"


def write_lines(connection: Connection, table: Table, lines: Iterable[str]) -> int:
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
    rows = [_row(table, line) for line in lines]
    for start in range(0, len(rows), _BATCH):
        batch = [{**row, **{c.name: None for c in own}} for row in rows[start : start + _BATCH]]
        connection.execute(insert(table), batch)
    for column in own:
        for row in rows:
            if row[column.name] is not None:
                _point(connection, table, column, row)
    return len(rows)


def _row(table: Table, line: str) -> dict[str, Any]:
    given = json.loads(line)
    names = {column.name for column in table.columns}
    if not isinstance(given, Mapping) or set(given) != names:
        raise ValueError(f"a line of {table.name} that is no row of it: {line[:80]}")
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
