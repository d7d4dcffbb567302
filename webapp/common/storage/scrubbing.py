"""Removes traces of deleted rows from the database's own files.

SQLite overwrites deleted rows (``secure_delete``, set with every connection), but its
write-ahead log keeps former pages until it is begun anew. PostgreSQL clears its files by
itself, with the next vacuum. Backups made before still hold what they held.
"""

from __future__ import annotations

from sqlalchemy import Engine


def scrub(engine: Engine) -> None:
    """Begin SQLite's log anew, so that former pages go; after the deleting is committed."""
    if engine.dialect.name != "sqlite":
        return
    connection = engine.raw_connection()
    try:
        connection.cursor().execute("PRAGMA wal_checkpoint(TRUNCATE)").close()
    finally:
        connection.close()
