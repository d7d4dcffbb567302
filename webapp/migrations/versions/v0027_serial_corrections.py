"""Entries of the register of serial numbers are corrected, and their corrections kept."""

import sqlalchemy as sa
from alembic import op

revision = "0027"
down_revision = "0026"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the change."""
    op.create_table(
        "serial_correction",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("frame_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("before", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(
            ["frame_id"],
            ["serial_number.id"],
            name=op.f("fk_serial_correction_frame_id_serial_number"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_serial_correction")),
    )
    with op.batch_alter_table("serial_correction", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_serial_correction_frame_id"), ["frame_id"])


def downgrade() -> None:
    """Undo it."""
    with op.batch_alter_table("serial_correction", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_serial_correction_frame_id"))

    op.drop_table("serial_correction")
