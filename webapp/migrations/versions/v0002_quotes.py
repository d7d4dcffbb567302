"""Quotes."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the change."""
    op.create_table(
        "quote",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.String(length=20), nullable=False),
        sa.Column("token", sa.String(length=64), nullable=False),
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("form_hash", sa.String(length=64), nullable=True),
        sa.Column("state", sa.String(length=20), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("customer_name", sa.String(length=120), nullable=False),
        sa.Column("customer_mail", sa.String(length=254), nullable=False),
        sa.Column("customer_note", sa.Text(), nullable=False),
        sa.Column("current_version", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "state IN ('draft', 'sent', 'accepted', 'declined', 'expired', 'withdrawn')",
            name=op.f("ck_quote_state"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_quote")),
        sa.UniqueConstraint("form_hash", name=op.f("uq_quote_form_hash")),
        sa.UniqueConstraint("number", name=op.f("uq_quote_number")),
        sa.UniqueConstraint("token", name=op.f("uq_quote_token")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_quote_token_hash")),
    )
    with op.batch_alter_table("quote", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_quote_created_at"), ["created_at"], unique=False)

    op.create_table(
        "quote_counter",
        sa.Column("year", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("last", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("year", name=op.f("pk_quote_counter")),
    )
    op.create_table(
        "quote_event",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("quote_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.Column("what", sa.String(length=40), nullable=False),
        sa.Column("version", sa.Integer(), nullable=True),
        sa.Column("detail", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(
            ["quote_id"], ["quote.id"], name=op.f("fk_quote_event_quote_id_quote")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_quote_event")),
    )
    with op.batch_alter_table("quote_event", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_quote_event_quote_id"), ["quote_id"], unique=False)

    op.create_table(
        "quote_version",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("quote_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("created_by", sa.String(length=120), nullable=False),
        sa.Column("model", sa.String(length=60), nullable=False),
        sa.Column("build", sa.Text(), nullable=False),
        sa.Column("customer", sa.JSON(), nullable=False),
        sa.Column("content", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(
            ["quote_id"], ["quote.id"], name=op.f("fk_quote_version_quote_id_quote")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_quote_version")),
        sa.UniqueConstraint("quote_id", "number", name=op.f("uq_quote_version_quote_id_number")),
    )


def downgrade() -> None:
    """Undo it."""
    op.drop_table("quote_version")
    with op.batch_alter_table("quote_event", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_quote_event_quote_id"))

    op.drop_table("quote_event")
    op.drop_table("quote_counter")
    with op.batch_alter_table("quote", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_quote_created_at"))

    op.drop_table("quote")
