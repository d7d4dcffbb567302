"""Quotes at the counter."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


SQLITE = "CREATE VIRTUAL TABLE quote_words USING fts5(words, prefix='2 3 4', detail=none)"
POSTGRESQL = (
    "CREATE TABLE quote_words (rowid BIGINT PRIMARY KEY, words TSVECTOR NOT NULL)",
    "CREATE INDEX ix_quote_words_words ON quote_words USING gin (words)",
)


def upgrade() -> None:
    """Make the change."""
    for name, kind in (("model", sa.String(120)), ("size", sa.String(120)),
                       ("currency", sa.String(3)), ("waiting_for", sa.String(40))):  # fmt: skip
        op.add_column("quote", sa.Column(name, kind, nullable=False, server_default=sa.text("''")))
    op.add_column(
        "quote", sa.Column("gross_minor", sa.BigInteger(), nullable=False, server_default="0")
    )
    op.add_column("quote", sa.Column("sent_version", sa.Integer(), nullable=True))
    op.add_column("quote", sa.Column("valid_until", sa.Date(), nullable=True))
    op.add_column("quote", sa.Column("waiting_since", sa.DateTime(timezone=True), nullable=True))
    op.add_column("quote", sa.Column("erased_at", sa.DateTime(timezone=True), nullable=True))
    op.create_index(op.f("ix_quote_customer_mail"), "quote", ["customer_mail"])
    op.create_index("ix_quote_state_id", "quote", ["state", "id"])
    op.create_index("ix_quote_waiting_since_id", "quote", ["waiting_since", "id"])
    # Whoever has a link to a quote has been sent the version it shows.
    op.execute("UPDATE quote SET sent_version = current_version WHERE state <> 'draft'")

    with op.batch_alter_table("quote_event", schema=None) as batch_op:
        batch_op.add_column(sa.Column("form_hash", sa.String(length=64), nullable=True))
        batch_op.create_unique_constraint(batch_op.f("uq_quote_event_form_hash"), ["form_hash"])

    # The full-text index is each database's own; the tables in the code do not list it.
    if op.get_bind().dialect.name == "sqlite":
        op.execute(SQLITE)
    else:
        for statement in POSTGRESQL:
            op.execute(statement)


def downgrade() -> None:
    """Undo it."""
    op.execute("DROP TABLE quote_words")
    with op.batch_alter_table("quote_event", schema=None) as batch_op:
        batch_op.drop_constraint(batch_op.f("uq_quote_event_form_hash"), type_="unique")
        batch_op.drop_column("form_hash")

    for index in ("ix_quote_waiting_since_id", "ix_quote_state_id", "ix_quote_customer_mail"):
        op.drop_index(index, "quote")
    for name in ("erased_at", "waiting_for", "waiting_since", "valid_until", "currency",
                 "gross_minor", "size", "model", "sent_version"):  # fmt: skip
        op.drop_column("quote", name)
