"""What is counted of those who ask."""

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the change."""
    op.create_table(
        "limited",
        sa.Column("key", sa.String(64), nullable=False),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("who", sa.String(60), nullable=False),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("until", sa.DateTime(timezone=True), nullable=False),
        sa.Column("last_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("refused", sa.Integer(), nullable=False),
        sa.Column("refused_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("key"),
    )
    op.create_index("ix_limited_last_at", "limited", ["last_at"])
    op.create_index("ix_limited_refused_at", "limited", ["refused_at"])


def downgrade() -> None:
    """Undo it."""
    op.drop_table("limited")
