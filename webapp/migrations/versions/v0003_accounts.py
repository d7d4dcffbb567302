"""Accounts."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the change."""
    op.create_table(
        "account",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("mail", sa.String(length=254), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("role", sa.String(length=20), nullable=False),
        sa.Column("password_hash", sa.String(length=200), nullable=True),
        sa.Column("active", sa.Boolean(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("role IN ('staff', 'builder')", name=op.f("ck_account_role")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_account")),
        sa.UniqueConstraint("mail", name=op.f("uq_account_mail")),
    )
    op.create_table(
        "account_event",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("account_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.Column("what", sa.String(length=40), nullable=False),
        sa.ForeignKeyConstraint(
            ["account_id"], ["account.id"], name=op.f("fk_account_event_account_id_account")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_account_event")),
    )
    with op.batch_alter_table("account_event", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_account_event_account_id"), ["account_id"], unique=False
        )

    op.create_table(
        "account_link",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("account_id", sa.Integer(), nullable=False),
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("used_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["account_id"], ["account.id"], name=op.f("fk_account_link_account_id_account")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_account_link")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_account_link_token_hash")),
    )
    with op.batch_alter_table("account_link", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_account_link_account_id"), ["account_id"], unique=False
        )

    op.create_table(
        "account_session",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("account_id", sa.Integer(), nullable=False),
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("last_seen_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["account_id"], ["account.id"], name=op.f("fk_account_session_account_id_account")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_account_session")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_account_session_token_hash")),
    )
    with op.batch_alter_table("account_session", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_account_session_account_id"), ["account_id"], unique=False
        )


def downgrade() -> None:
    """Undo it."""
    with op.batch_alter_table("account_session", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_account_session_account_id"))

    op.drop_table("account_session")
    with op.batch_alter_table("account_link", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_account_link_account_id"))

    op.drop_table("account_link")
    with op.batch_alter_table("account_event", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_account_event_account_id"))

    op.drop_table("account_event")
    op.drop_table("account")
