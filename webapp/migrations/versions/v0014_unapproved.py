"""Quotes that wait for the shop's word before they can be ordered."""

import sqlalchemy as sa
from alembic import op

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the change; whoever has a quote already may order it as before."""
    op.add_column(
        "quote",
        sa.Column("unapproved", sa.Boolean(), nullable=False, server_default=sa.text("false")),
    )


def downgrade() -> None:
    """Undo it."""
    op.drop_column("quote", "unapproved")
