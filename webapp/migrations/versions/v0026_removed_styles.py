"""A riding style can be removed and stays readable where it was chosen."""

import sqlalchemy as sa
from alembic import op

revision = "0026"
down_revision = "0025"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the change."""
    with op.batch_alter_table("riding_style", schema=None) as batch_op:
        batch_op.add_column(
            sa.Column(
                "state", sa.String(length=20), nullable=False, server_default=sa.text("'active'")
            )
        )
        batch_op.create_check_constraint(
            op.f("ck_riding_style_state"), "state IN ('active', 'retired')"
        )


def downgrade() -> None:
    """Take it back."""
    with op.batch_alter_table("riding_style", schema=None) as batch_op:
        batch_op.drop_constraint(op.f("ck_riding_style_state"), type_="check")
        batch_op.drop_column("state")
