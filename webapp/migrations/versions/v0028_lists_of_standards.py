"""A standard that the builder adds stands in the list of its joint before anything uses it."""

import sqlalchemy as sa
from alembic import op

revision = "0028"
down_revision = "0027"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the change."""
    with op.batch_alter_table("trade_name", schema=None) as batch_op:
        batch_op.add_column(
            sa.Column("joint", sa.String(length=40), nullable=False, server_default=sa.text("''"))
        )


def downgrade() -> None:
    """Take it back."""
    with op.batch_alter_table("trade_name", schema=None) as batch_op:
        batch_op.drop_column("joint")
