"""Changes of parts as drafts that can be taken back whole; what things cost the shop itself."""

import sqlalchemy as sa
from alembic import op

revision = "0023"
down_revision = "0022"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the change."""
    op.create_table(
        "catalogue_change",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("title", sa.String(length=200), nullable=False),
        sa.Column("address", sa.String(length=200), nullable=False),
        sa.Column("state", sa.String(length=20), nullable=False),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("taken_by", sa.String(length=120), nullable=False),
        sa.Column("taken_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("rows", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_catalogue_change")),
    )
    op.create_table(
        "cost",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("part_id", sa.Integer(), nullable=True),
        sa.Column("model_id", sa.Integer(), nullable=True),
        sa.Column("size", sa.String(length=60), nullable=False),
        sa.Column("minor", sa.BigInteger(), nullable=False),
        sa.Column("currency", sa.String(length=3), nullable=False),
        sa.CheckConstraint(
            "(part_id IS NULL) <> (model_id IS NULL)", name=op.f("ck_cost_one_thing")
        ),
        sa.CheckConstraint("minor >= 0", name=op.f("ck_cost_not_negative")),
        sa.ForeignKeyConstraint(
            ["model_id"], ["frame_model.id"], name=op.f("fk_cost_model_id_frame_model")
        ),
        sa.ForeignKeyConstraint(["part_id"], ["part.id"], name=op.f("fk_cost_part_id_part")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_cost")),
        sa.UniqueConstraint("model_id", "size", name=op.f("uq_cost_model_id_size")),
        sa.UniqueConstraint("part_id", name=op.f("uq_cost_part_id")),
    )
    op.create_index(op.f("ix_cost_model_id"), "cost", ["model_id"], unique=False)
    op.create_index(op.f("ix_cost_part_id"), "cost", ["part_id"], unique=False)


def downgrade() -> None:
    """Undo it."""
    op.drop_table("cost")
    op.drop_table("catalogue_change")
