"""Bench records."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the change."""
    op.create_table(
        "bench_record",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("serial", sa.String(length=60), nullable=False),
        sa.Column("batch", sa.String(length=60), nullable=False),
        sa.Column("model", sa.String(length=60), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("size", sa.String(length=60), nullable=False),
        sa.Column("build", sa.Text(), nullable=False),
        sa.Column("state", sa.String(length=20), nullable=False),
        sa.Column("quote_number", sa.String(length=20), nullable=False),
        sa.Column("measured_on", sa.Date(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("readings", sa.JSON(), nullable=False),
        sa.Column("report", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_bench_record")),
    )
    with op.batch_alter_table("bench_record", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_bench_record_batch"), ["batch"], unique=False)
        batch_op.create_index(batch_op.f("ix_bench_record_serial"), ["serial"], unique=False)


def downgrade() -> None:
    """Undo it."""
    with op.batch_alter_table("bench_record", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_bench_record_serial"))
        batch_op.drop_index(batch_op.f("ix_bench_record_batch"))

    op.drop_table("bench_record")
