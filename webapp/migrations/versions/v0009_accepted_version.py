"""The version accepted."""

from datetime import date

import sqlalchemy as sa
from alembic import op

from webapp.quote.freezing.packing import Packed

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


QUOTE = sa.table(
    "quote",
    sa.column("id", sa.Integer),
    sa.column("state", sa.String),
    sa.column("current_version", sa.Integer),
    sa.column("sent_version", sa.Integer),
    sa.column("accepted_version", sa.Integer),
    sa.column("model", sa.String),
    sa.column("size", sa.String),
    sa.column("gross_minor", sa.BigInteger),
    sa.column("currency", sa.String),
    sa.column("valid_until", sa.Date),
)
VERSION = sa.table(
    "quote_version",
    sa.column("quote_id", sa.Integer),
    sa.column("number", sa.Integer),
    sa.column("content", Packed()),
)


def upgrade() -> None:
    """Make the change."""
    op.add_column("quote", sa.Column("accepted_version", sa.Integer(), nullable=True))
    # So far a newer version could only be sent by giving up what was accepted.
    op.execute("UPDATE quote SET accepted_version = sent_version WHERE state = 'accepted'")
    _list_what_the_customer_has()


def _list_what_the_customer_has() -> None:
    """Lists said what the newest draft says; they say what the customer has."""
    database = op.get_bind()
    drafted = sa.select(QUOTE.c.id, VERSION.c.content).join_from(
        QUOTE,
        VERSION,
        sa.and_(VERSION.c.quote_id == QUOTE.c.id, VERSION.c.number == QUOTE.c.sent_version),
    ).where(QUOTE.c.sent_version != QUOTE.c.current_version)  # fmt: skip
    numbers = [row.id for row in database.execute(drafted.with_only_columns(QUOTE.c.id))]
    for number in numbers:
        content = database.execute(drafted.where(QUOTE.c.id == number)).one().content
        gross = content["price"]["gross"]
        database.execute(
            sa.update(QUOTE)
            .where(QUOTE.c.id == number)
            .values(
                model=content["build"]["model"],
                size=content["build"]["size"],
                gross_minor=gross["minor"],
                currency=gross["currency"],
                valid_until=date.fromisoformat(content["valid_until"]),
            )
        )


def downgrade() -> None:
    """Undo it."""
    op.drop_column("quote", "accepted_version")
