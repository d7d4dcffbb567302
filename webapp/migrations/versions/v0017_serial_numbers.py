"""One register of the serial numbers stamped into frames."""

import sqlalchemy as sa
from alembic import op

revision = "0017"
down_revision = "0016"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the change."""
    op.create_table(
        "serial_number",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("serial", sa.String(length=60), nullable=False),
        sa.Column("model", sa.String(length=60), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("size", sa.String(length=60), nullable=False),
        sa.Column("finish", sa.String(length=60), server_default=sa.text("''"), nullable=False),
        sa.Column("quote_id", sa.Integer(), nullable=True),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["quote_id"], ["quote.id"], name=op.f("fk_serial_number_quote_id_quote")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_serial_number")),
        sa.UniqueConstraint("serial", name=op.f("uq_serial_number_serial")),
    )
    with op.batch_alter_table("serial_number", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_serial_number_quote_id"), ["quote_id"], unique=False)


def downgrade() -> None:
    """Undo it."""
    with op.batch_alter_table("serial_number", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_serial_number_quote_id"))

    op.drop_table("serial_number")
