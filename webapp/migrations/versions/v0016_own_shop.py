"""A shop of one's own: marks of the firm, and models that are hidden or no longer made."""

import sqlalchemy as sa
from alembic import op

revision = "0016"
down_revision = "0015"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the change."""
    op.create_table(
        "shop_mark",
        sa.Column("fingerprint", sa.String(length=64), nullable=False),
        sa.Column("media_type", sa.String(length=40), nullable=False),
        sa.Column("content", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("fingerprint", name=op.f("pk_shop_mark")),
    )
    shown = sa.text("'shown'")
    column = sa.Column("state", sa.String(length=20), nullable=False, server_default=shown)
    op.add_column("frame_model", column)


def downgrade() -> None:
    """Undo it."""
    op.drop_column("frame_model", "state")
    op.drop_table("shop_mark")
