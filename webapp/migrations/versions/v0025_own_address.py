"""Another address to sign in with, until a link sent there proves it."""

import sqlalchemy as sa
from alembic import op

revision = "0025"
down_revision = "0024"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the change."""
    op.create_table(
        "account_new_mail",
        sa.Column("account_id", sa.Integer(), nullable=False),
        sa.Column("mail", sa.String(254), nullable=False),
        sa.Column("token_hash", sa.String(64), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["account_id"], ["account.id"]),
        sa.PrimaryKeyConstraint("account_id"),
        sa.UniqueConstraint("token_hash"),
    )


def downgrade() -> None:
    """Undo it."""
    op.drop_table("account_new_mail")
