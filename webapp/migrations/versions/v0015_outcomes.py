"""What riders said of their bikes, and apart from it the measurements they agreed to."""

import sqlalchemy as sa
from alembic import op

revision = "0015"
down_revision = "0014"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the change."""
    op.create_table(
        "outcome",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("quote_number", sa.String(length=20), nullable=True),
        sa.Column("moment", sa.String(length=20), nullable=False),
        sa.Column("recorded_on", sa.Date(), nullable=False),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.Column("model", sa.String(length=60), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("style", sa.String(length=60), nullable=False),
        sa.Column("size_ridden", sa.String(length=60), nullable=False),
        sa.Column("size_bought", sa.String(length=60), nullable=False),
        sa.Column("build", sa.Text(), nullable=False),
        sa.Column("length", sa.Integer(), nullable=False),
        sa.Column("height", sa.Integer(), nullable=True),
        sa.CheckConstraint(
            "moment IN ('after_ride', 'after_months')", name=op.f("ck_outcome_moment")
        ),
        sa.CheckConstraint(
            "height IS NULL OR height IN (-1, 0, 1)", name=op.f("ck_outcome_height")
        ),
        sa.CheckConstraint("length IN (-1, 0, 1)", name=op.f("ck_outcome_length")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_outcome")),
        sa.UniqueConstraint("quote_number", "moment", name=op.f("uq_outcome_quote_number_moment")),
    )
    with op.batch_alter_table("outcome", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_outcome_model"), ["model"], unique=False)

    op.create_table(
        "outcome_body",
        sa.Column("outcome_id", sa.Integer(), nullable=False),
        sa.Column("agreed_on", sa.Date(), nullable=False),
        sa.Column("rider", sa.JSON(), nullable=False),
        sa.Column("foretold", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(
            ["outcome_id"], ["outcome.id"], name=op.f("fk_outcome_body_outcome_id_outcome")
        ),
        sa.PrimaryKeyConstraint("outcome_id", name=op.f("pk_outcome_body")),
    )


def downgrade() -> None:
    """Undo it."""
    op.drop_table("outcome_body")
    with op.batch_alter_table("outcome", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_outcome_model"))

    op.drop_table("outcome")
