"""Bench records kept before there was a register of serial numbers come into it."""

from __future__ import annotations

import json

from alembic import command
from sqlalchemy import Engine, text

from webapp.common.storage.database import writing
from webapp.migrations import configuration, upgrade

RECORD = (
    "INSERT INTO bench_record (id, serial, batch, model, revision, size, build, state, "
    "quote_number, measured_on, at, who, note, readings, report) VALUES (:id, :serial, '', "
    "'knapweed', 2, :size, :build, 'unloaded', '', '2026-03-01', '2026-03-01 09:00:00', 'Edda', "
    "'', :none, :none)"
)
FRAME = (
    "INSERT INTO serial_number (serial, model, revision, size, finish, who, at)"
    " VALUES ('kw-2', 'knapweed', 2, 's', '', 'Edda', '2026-02-01 09:00:00')"
)


def test_measured_bikes_come_into_the_register_once(empty_engine: Engine) -> None:
    """By their last check; a number that is there already, in whatever case, stays as it is."""
    kept = [(1, "KW-1", "m", "size=m"), (2, " KW-1 ", "l", "size=l&finish=soot"),
            (3, "KW-2", "m", "size=m")]  # fmt: skip
    with writing(empty_engine) as session:
        connection = session.connection()
        command.upgrade(configuration(connection), "0023")
        connection.execute(text(FRAME))
        for number, serial, size, build in kept:
            row = {"id": number, "serial": serial, "size": size, "build": build}
            connection.execute(text(RECORD), row | {"none": json.dumps([])})
        upgrade(connection)
        found = connection.execute(
            text("SELECT serial, size, finish FROM serial_number ORDER BY serial")
        ).all()
    assert {tuple(row) for row in found} == {("KW-1", "l", "soot"), ("kw-2", "s", "")}
