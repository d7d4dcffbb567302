"""When a server was given a mail."""

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the change."""
    op.add_column("mail", sa.Column("handed_at", sa.DateTime(timezone=True), nullable=True))


def downgrade() -> None:
    """Undo it."""
    op.drop_column("mail", "handed_at")
