"""Trade names of the codes of fitting standards."""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None

# The codes in use when names were introduced; a catalogue that has parts gets them.
NAMES = {
    "10x135-nutted": "10 × 135 mm nutted axle",
    "12x100-through": "12 × 100 mm through axle",
    "12x142-through": "12 × 142 mm through axle",
    "12x148-through": "12 × 148 mm through axle",
    "15x110-through": "15 × 110 mm through axle",
    "68-threaded": "68 mm threaded shell",
    "73-threaded": "73 mm threaded shell",
    "cage-64": "bottle bosses 64 mm apart",
    "chain-narrow": "narrow chain",
    "chain-wide": "wide chain",
    "direct-spline": "splined direct mount",
    "flat-mount": "flat brake mount",
    "fork-cage": "cage bosses on the fork legs",
    "hanger-direct": "direct hanger",
    "low-rider": "low rider bosses",
    "mudguard": "mudguard eyes",
    "post-mount": "brake mount on posts",
    "rear-rack": "rear rack bosses",
    "six-bolt": "rotor on six bolts",
    "splined-freehub": "splined freehub body",
    "tapered-1.5": "tapered 1.5 inch steerer",
    "three-lug": "driver with three lugs",
    "zs44/zs56": "semi-integrated 44/56 mm head tube",
}


def upgrade() -> None:
    """Make the change."""
    table = op.create_table(
        "trade_name",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(length=40), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_trade_name")),
        sa.UniqueConstraint("code", name=op.f("uq_trade_name_code")),
    )
    part = sa.table("part", sa.column("id"))
    if op.get_bind().execute(sa.select(part.c.id).limit(1)).first() is not None:
        op.bulk_insert(table, [{"code": code, "name": name} for code, name in NAMES.items()])


def downgrade() -> None:
    """Undo it."""
    op.drop_table("trade_name")
