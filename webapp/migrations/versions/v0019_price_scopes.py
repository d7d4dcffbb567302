"""Price lists for a group of customers or a region, valid beside the one for everybody."""

import sqlalchemy as sa
from alembic import op

revision = "0019"
down_revision = "0018"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the change."""
    op.create_table(
        "price_scope",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("slug", sa.String(length=60), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("countries", sa.JSON(), nullable=False),
        sa.CheckConstraint("kind IN ('group', 'region')", name=op.f("ck_price_scope_kind")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_price_scope")),
        sa.UniqueConstraint("kind", "slug", name=op.f("uq_price_scope_kind_slug")),
    )
    for name in ("customer_group", "region"):
        empty = sa.text("''")
        column = sa.Column(name, sa.String(length=60), nullable=False, server_default=empty)
        op.add_column("price_list", column)


def downgrade() -> None:
    """Undo it: lists that were not for everybody go, so that they do not count for all."""
    here = op.get_bind()
    listed = sa.table(
        "price_list",
        sa.column("id", sa.Integer),
        sa.column("customer_group", sa.String),
        sa.column("region", sa.String),
    )
    price = sa.table("price", sa.column("price_list_id", sa.Integer))
    own = sa.select(listed.c.id).where((listed.c.customer_group != "") | (listed.c.region != ""))
    numbers = [row.id for row in here.execute(own)]
    here.execute(price.delete().where(price.c.price_list_id.in_(numbers)))
    here.execute(listed.delete().where(listed.c.id.in_(numbers)))
    op.drop_column("price_list", "region")
    op.drop_column("price_list", "customer_group")
    op.drop_table("price_scope")
