"""Migrations of the one database, and whether it has drifted from the tables.

``env.py`` runs inside Alembic; everything else calls the functions here. A new
migration is drafted by ``python -m webapp.migrations "what it does"`` and then
read and corrected by hand.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection

from webapp.common.storage.fault_messages import UNKNOWN_MIGRATION, CannotGoOn
from webapp.migrations.models import metadata

HERE = Path(__file__).parent
FULL_TEXT = "quote_words"  # made by a migration in each database's own way, with tables beside it


def configuration(connection: Connection) -> Config:
    """Alembic's configuration, bound to an open connection."""
    config = Config()
    config.set_main_option("script_location", str(HERE))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    return config


def upgrade(connection: Connection) -> None:
    """Bring the database to the newest migration, within the connection's transaction.

    Parameters
    ----------
    connection : Connection
        Of a writing session; an empty database is made whole.

    Raises
    ------
    CannotGoOn
        For a database that another version of this program has migrated further.
    """
    refuse_unknown(connection)
    if _taken(connection) != set(_steps().get_heads()):
        command.upgrade(configuration(connection), "head")


def refuse_unknown(connection: Connection) -> None:
    """Refuse a database whose tables this version does not know.

    Raises
    ------
    CannotGoOn
        For a database that another version of this program has migrated further.
    """
    if not _taken(connection) <= {step.revision for step in _steps().walk_revisions()}:
        raise CannotGoOn(UNKNOWN_MIGRATION)


@cache
def _steps() -> ScriptDirectory:
    """Every migration there is, read once in a process: a twentieth of a second, each time."""
    return ScriptDirectory(str(HERE))


def _taken(connection: Connection) -> set[str]:
    """The newest migrations that a database has been brought to."""
    return set(MigrationContext.configure(connection).get_current_heads())


def is_ours(name: str | None, kind: str, _parents: object) -> bool:
    """Whether a table is declared in the code; a full-text index is the database's own."""
    return kind != "table" or not (name or "").startswith(FULL_TEXT)


def drift(connection: Connection) -> list[Any]:
    """Differences between the tables in the code and in the database; empty when equal."""
    options = {
        "compare_type": True,
        "compare_server_default": True,
        "include_name": is_ours,
    }
    context = MigrationContext.configure(connection, opts=options)
    return list(compare_metadata(context, metadata))
