"""What quotes say is kept packed.

A version of 75 kB becomes some 5 kB; it is read and written in small pieces, so that
memory does not grow with the number of quotes. SQLite keeps its file as large as it
was and fills the room that became free; a backup of it is small.
"""

import sys
from collections.abc import Callable, Iterator
from typing import Any

import sqlalchemy as sa
from alembic import op

from webapp.quote.freezing.packing import Packed

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None

_AT_ONCE = 50
_TOLD_FROM = 2_000
_TOLD_EVERY = 5_000


def upgrade() -> None:
    """Make the change."""
    _turn(sa.JSON(), Packed(), sa.LargeBinary())


def downgrade() -> None:
    """Undo it."""
    _turn(Packed(), sa.JSON(), sa.JSON())


def _turn(before: sa.types.TypeEngine[Any], after: sa.types.TypeEngine[Any], kept_as: Any) -> None:
    """Write the column ``content`` anew in another type, row by row."""
    here = op.get_bind()
    if here.dialect.name == "sqlite":
        # A column of SQLite holds whatever is written, so it is turned where it stands.
        _write(here, before, after, into="content")
        with op.batch_alter_table("quote_version", schema=None) as batch_op:
            batch_op.alter_column("content", type_=kept_as, existing_nullable=False)
        return
    op.add_column("quote_version", sa.Column("turned", kept_as, nullable=True))
    _write(here, before, after, into="turned")
    op.drop_column("quote_version", "content")
    op.alter_column("quote_version", "turned", new_column_name="content", nullable=False)


def _write(here: sa.Connection, before: Any, after: Any, *, into: str) -> None:
    old = sa.table("quote_version", sa.column("id"), sa.column("content", before))
    new = sa.table("quote_version", sa.column("id"), sa.column(into, after))
    change = new.update().where(new.c.id == sa.bindparam("row")).values({into: sa.bindparam("new")})
    for rows in _told(here, lambda last: _after(old, last)):
        here.execute(change, [{"row": row.id, "new": row.content} for row in rows])


def _after(table: Any, last: int) -> sa.Select[Any]:
    query = sa.select(table.c.id, table.c.content).where(table.c.id > last)
    return query.order_by(table.c.id).limit(_AT_ONCE)


def _told(
    here: sa.Connection, query: Callable[[int], sa.Select[Any]]
) -> Iterator[list[sa.Row[Any]]]:
    """Rows a few at a time; of many it is said how far it is, since the service waits for it."""
    count = here.execute(sa.text("SELECT count(*) FROM quote_version")).scalar_one()
    done = last = 0
    while rows := list(here.execute(query(last))):
        yield rows
        done, last = done + len(rows), rows[-1].id
        if count >= _TOLD_FROM and (done % _TOLD_EVERY < _AT_ONCE or done == count):
            sys.stderr.write(f"Keeping what quotes say in less room: {done:,} of {count:,}\n")
