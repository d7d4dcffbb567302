"""Bench records stand in the register of serial numbers; their corrections are kept."""

from datetime import datetime
from urllib.parse import parse_qs

import sqlalchemy as sa
from alembic import op

revision = "0024"
down_revision = "0023"
branch_labels = None
depends_on = None

_RECORD = sa.table(
    "bench_record",
    sa.column("id", sa.Integer),
    sa.column("serial", sa.String),
    sa.column("model", sa.String),
    sa.column("revision", sa.Integer),
    sa.column("size", sa.String),
    sa.column("build", sa.Text),
    sa.column("who", sa.String),
    sa.column("at", sa.DateTime(timezone=True)),
)
_FRAME = sa.table(
    "serial_number",
    sa.column("serial", sa.String),
    sa.column("model", sa.String),
    sa.column("revision", sa.Integer),
    sa.column("size", sa.String),
    sa.column("finish", sa.String),
    sa.column("who", sa.String),
    sa.column("at", sa.DateTime(timezone=True)),
)


def upgrade() -> None:
    """Make the change."""
    op.create_table(
        "bench_correction",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("bench_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("before", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(
            ["bench_id"],
            ["bench_record.id"],
            name=op.f("fk_bench_correction_bench_id_bench_record"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_bench_correction")),
    )
    with op.batch_alter_table("bench_correction", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_bench_correction_bench_id"), ["bench_id"])
    _register()


def _register() -> None:
    """Every frame that was measured, by its last check, where its number is not there yet."""
    at = op.get_bind()
    known = {serial.lower() for (serial,) in at.execute(sa.select(_FRAME.c.serial))}
    rows = at.execute(sa.select(_RECORD).order_by(_RECORD.c.id.desc())).mappings()
    found: dict[str, dict[str, object]] = {}
    for row in rows:
        serial = " ".join(row["serial"].split())
        if serial and serial.lower() not in known:
            known.add(serial.lower())
            found[serial] = _frame(dict(row), serial)
    if found:
        at.execute(sa.insert(_FRAME), list(reversed(found.values())))


def _frame(row: dict[str, object], serial: str) -> dict[str, object]:
    finish = parse_qs(str(row["build"])).get("finish", [""])[0]
    moment = row["at"]
    return {
        "serial": serial,
        "model": row["model"],
        "revision": row["revision"],
        "size": row["size"],
        "finish": finish[:60],
        "who": row["who"],
        "at": moment if isinstance(moment, datetime) else datetime.fromisoformat(str(moment)),
    }


def downgrade() -> None:
    """Undo it; what came into the register stays there."""
    with op.batch_alter_table("bench_correction", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_bench_correction_bench_id"))

    op.drop_table("bench_correction")
