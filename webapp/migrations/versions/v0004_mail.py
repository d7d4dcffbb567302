"""Mail."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the change."""
    op.create_table(
        "mail",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(length=120), nullable=False),
        sa.Column("about", sa.String(length=60), nullable=False),
        sa.Column("to_name", sa.String(length=120), nullable=False),
        sa.Column("to_mail", sa.String(length=254), nullable=False),
        sa.Column("subject", sa.String(length=200), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("due_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("sent_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("state", sa.String(length=20), nullable=False),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("error", sa.String(length=300), nullable=False),
        sa.CheckConstraint("state IN ('waiting', 'sent', 'failed')", name=op.f("ck_mail_state")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_mail")),
        sa.UniqueConstraint("key", name=op.f("uq_mail_key")),
    )
    with op.batch_alter_table("mail", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_mail_about"), ["about"], unique=False)
        batch_op.create_index("ix_mail_state_due_at", ["state", "due_at"], unique=False)


def downgrade() -> None:
    """Undo it."""
    with op.batch_alter_table("mail", schema=None) as batch_op:
        batch_op.drop_index("ix_mail_state_due_at")
        batch_op.drop_index(batch_op.f("ix_mail_about"))

    op.drop_table("mail")
