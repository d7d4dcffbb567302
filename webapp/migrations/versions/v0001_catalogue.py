"""The catalogue."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the change."""
    op.create_table(
        "catalogue_edit",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.Column("row_table", sa.String(length=40), nullable=False),
        sa.Column("row_key", sa.String(length=200), nullable=False),
        sa.Column("before", sa.JSON(none_as_null=True), nullable=True),
        sa.Column("after", sa.JSON(none_as_null=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_catalogue_edit")),
    )
    with op.batch_alter_table("catalogue_edit", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_catalogue_edit_at"), ["at"], unique=False)
        batch_op.create_index(batch_op.f("ix_catalogue_edit_row_key"), ["row_key"], unique=False)

    op.create_table(
        "catalogue_stamp",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("token", sa.String(length=32), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_catalogue_stamp_one_row")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_catalogue_stamp")),
    )
    op.create_table(
        "frame_model",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("slug", sa.String(length=60), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("summary", sa.String(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_frame_model")),
        sa.UniqueConstraint("slug", name=op.f("uq_frame_model_slug")),
    )
    op.create_table(
        "part",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=40), nullable=False),
        sa.Column("slug", sa.String(length=60), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("state", sa.String(length=20), nullable=False),
        sa.Column("replaced_by_id", sa.Integer(), nullable=True),
        sa.Column("data", sa.JSON(), nullable=False),
        sa.CheckConstraint("state IN ('active', 'retired')", name=op.f("ck_part_state")),
        sa.ForeignKeyConstraint(
            ["replaced_by_id"], ["part.id"], name=op.f("fk_part_replaced_by_id_part")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_part")),
        sa.UniqueConstraint("kind", "slug", name=op.f("uq_part_kind_slug")),
    )
    with op.batch_alter_table("part", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_part_replaced_by_id"), ["replaced_by_id"], unique=False
        )

    op.create_table(
        "price_list",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("slug", sa.String(length=60), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("currency", sa.String(length=3), nullable=False),
        sa.Column("valid_from", sa.Date(), nullable=False),
        sa.Column("valid_to", sa.Date(), nullable=True),
        sa.Column("tax_included", sa.Boolean(), nullable=False),
        sa.CheckConstraint(
            "valid_to IS NULL OR valid_to >= valid_from", name=op.f("ck_price_list_valid_days")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_price_list")),
        sa.UniqueConstraint("slug", name=op.f("uq_price_list_slug")),
    )
    op.create_table(
        "riding_style",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("slug", sa.String(length=60), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("data", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_riding_style")),
        sa.UniqueConstraint("slug", name=op.f("uq_riding_style_slug")),
    )
    op.create_table(
        "shop_setting",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("data", sa.JSON(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_shop_setting_one_row")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shop_setting")),
    )
    op.create_table(
        "frame_revision",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("model_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("state", sa.String(length=20), nullable=False),
        sa.Column("published_on", sa.Date(), nullable=True),
        sa.Column("withdrawn_on", sa.Date(), nullable=True),
        sa.Column("withdrawn_reason", sa.String(), nullable=False),
        sa.Column("changelog", sa.String(), nullable=False),
        sa.Column("data", sa.JSON(), nullable=False),
        sa.CheckConstraint(
            "state IN ('draft', 'published', 'withdrawn')", name=op.f("ck_frame_revision_state")
        ),
        sa.ForeignKeyConstraint(
            ["model_id"], ["frame_model.id"], name=op.f("fk_frame_revision_model_id_frame_model")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_frame_revision")),
        sa.UniqueConstraint("model_id", "number", name=op.f("uq_frame_revision_model_id_number")),
    )
    op.create_table(
        "offer",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("model_id", sa.Integer(), nullable=False),
        sa.Column("part_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("standard", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(
            ["model_id"], ["frame_model.id"], name=op.f("fk_offer_model_id_frame_model")
        ),
        sa.ForeignKeyConstraint(["part_id"], ["part.id"], name=op.f("fk_offer_part_id_part")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_offer")),
        sa.UniqueConstraint("model_id", "part_id", name=op.f("uq_offer_model_id_part_id")),
    )
    with op.batch_alter_table("offer", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_offer_part_id"), ["part_id"], unique=False)

    op.create_table(
        "price",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("price_list_id", sa.Integer(), nullable=False),
        sa.Column("part_id", sa.Integer(), nullable=True),
        sa.Column("model_id", sa.Integer(), nullable=True),
        sa.Column("size", sa.String(length=60), nullable=False),
        sa.Column("minor", sa.BigInteger(), nullable=False),
        sa.CheckConstraint(
            "(part_id IS NULL) <> (model_id IS NULL)", name=op.f("ck_price_one_thing")
        ),
        sa.CheckConstraint("minor >= 0", name=op.f("ck_price_not_negative")),
        sa.ForeignKeyConstraint(
            ["model_id"], ["frame_model.id"], name=op.f("fk_price_model_id_frame_model")
        ),
        sa.ForeignKeyConstraint(["part_id"], ["part.id"], name=op.f("fk_price_part_id_part")),
        sa.ForeignKeyConstraint(
            ["price_list_id"], ["price_list.id"], name=op.f("fk_price_price_list_id_price_list")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_price")),
        sa.UniqueConstraint(
            "price_list_id", "model_id", "size", name=op.f("uq_price_price_list_id_model_id_size")
        ),
        sa.UniqueConstraint(
            "price_list_id", "part_id", name=op.f("uq_price_price_list_id_part_id")
        ),
    )
    with op.batch_alter_table("price", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_price_model_id"), ["model_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_price_part_id"), ["part_id"], unique=False)

    op.create_table(
        "frame_size",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("slug", sa.String(length=60), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("data", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(
            ["revision_id"],
            ["frame_revision.id"],
            name=op.f("fk_frame_size_revision_id_frame_revision"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_frame_size")),
        sa.UniqueConstraint("revision_id", "slug", name=op.f("uq_frame_size_revision_id_slug")),
    )


def downgrade() -> None:
    """Undo it."""
    op.drop_table("frame_size")
    with op.batch_alter_table("price", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_price_part_id"))
        batch_op.drop_index(batch_op.f("ix_price_model_id"))

    op.drop_table("price")
    with op.batch_alter_table("offer", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_offer_part_id"))

    op.drop_table("offer")
    op.drop_table("frame_revision")
    op.drop_table("shop_setting")
    op.drop_table("riding_style")
    op.drop_table("price_list")
    with op.batch_alter_table("part", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_part_replaced_by_id"))

    op.drop_table("part")
    op.drop_table("frame_model")
    op.drop_table("catalogue_stamp")
    with op.batch_alter_table("catalogue_edit", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_catalogue_edit_row_key"))
        batch_op.drop_index(batch_op.f("ix_catalogue_edit_at"))

    op.drop_table("catalogue_edit")
