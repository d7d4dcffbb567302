"""Outcomes know which bike of a quote they are of; all recorded so far are of the first."""

import sqlalchemy as sa
from alembic import op

revision = "0029"
down_revision = "0028"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the change."""
    with op.batch_alter_table("outcome", schema=None) as batch_op:
        batch_op.add_column(
            sa.Column("bike", sa.Integer(), nullable=False, server_default=sa.text("1"))
        )
        batch_op.drop_constraint(batch_op.f("uq_outcome_quote_number_moment"), type_="unique")
        batch_op.create_unique_constraint(
            batch_op.f("uq_outcome_quote_number_bike_moment"), ["quote_number", "bike", "moment"]
        )


def downgrade() -> None:
    """Take it back; an older program knows the outcomes of the first bike alone."""
    op.execute(
        "DELETE FROM outcome_body WHERE outcome_id IN (SELECT id FROM outcome WHERE bike > 1)"
    )
    op.execute("DELETE FROM outcome WHERE bike > 1")
    with op.batch_alter_table("outcome", schema=None) as batch_op:
        batch_op.drop_constraint(batch_op.f("uq_outcome_quote_number_bike_moment"), type_="unique")
        batch_op.create_unique_constraint(
            batch_op.f("uq_outcome_quote_number_moment"), ["quote_number", "moment"]
        )
        batch_op.drop_column("bike")
