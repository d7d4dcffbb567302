"""Customers are found by words of their own, and live in a country."""

import sqlalchemy as sa
from alembic import op

from webapp.common.folding import folded

revision = "0021"
down_revision = "0020"
branch_labels = None
depends_on = None

_AT_ONCE = 500


def upgrade() -> None:
    """Make the change, and give every entry its words."""
    empty = sa.text("''")
    for column in (
        sa.Column("found_by", sa.Text(), nullable=False, server_default=empty),
        sa.Column("country", sa.String(length=2), nullable=False, server_default=empty),
    ):
        op.add_column("customer", column)
    people = sa.table("customer", *map(sa.column, ("id", "name", "mail", "found_by")))
    connection, last = op.get_bind(), 0
    while True:
        wanted = sa.select(people).where(people.c.id > last).order_by(people.c.id)
        rows = connection.execute(wanted.limit(_AT_ONCE)).mappings().all()
        if not rows:
            break
        last = rows[-1]["id"]
        words = [
            {"entry": row["id"], "words": " ".join(folded(f"{row['name']} {row['mail']}")) + " "}
            for row in rows
        ]
        found = sa.update(people).where(people.c.id == sa.bindparam("entry"))
        connection.execute(found.values(found_by=sa.bindparam("words")), words)


def downgrade() -> None:
    """Undo it."""
    for name in ("found_by", "country"):
        op.drop_column("customer", name)
