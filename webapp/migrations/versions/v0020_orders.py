"""Orders: states after the acceptance, payments, dates, the bike as built; papers with mails."""

import sqlalchemy as sa
from alembic import op

revision = "0020"
down_revision = "0019"
branch_labels = None
depends_on = None

BEFORE = ("draft", "sent", "accepted", "declined", "expired", "withdrawn")
ORDERED = (
    "confirmed", "deposit asked", "deposit paid", "in build", "ready", "handed over", "closed",
    "cancelled",
)  # fmt: skip
NOW = (*BEFORE[:3], *ORDERED, *BEFORE[3:])


def upgrade() -> None:
    """Make the change."""
    _allow_states(BEFORE, NOW)
    op.add_column(
        "mail",
        sa.Column("attached", sa.String(length=120), nullable=False, server_default=sa.text("''")),
    )
    op.create_table(
        "quote_order",
        sa.Column("quote_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("promised_on", sa.Date(), nullable=True),
        sa.Column("deposit_due_on", sa.Date(), nullable=True),
        sa.Column("kept_minor", sa.BigInteger(), server_default=sa.text("0"), nullable=False),
        sa.Column("built", sa.JSON(), nullable=True),
        sa.ForeignKeyConstraint(
            ["quote_id"], ["quote.id"], name=op.f("fk_quote_order_quote_id_quote")
        ),
        sa.PrimaryKeyConstraint("quote_id", name=op.f("pk_quote_order")),
    )
    op.create_index(op.f("ix_quote_order_promised_on"), "quote_order", ["promised_on"])
    op.create_table(
        "payment",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("quote_id", sa.Integer(), nullable=False),
        sa.Column("paid_on", sa.Date(), nullable=False),
        sa.Column("minor", sa.BigInteger(), nullable=False),
        sa.Column("currency", sa.String(length=3), nullable=False),
        sa.Column("paid_by", sa.String(length=20), nullable=False),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("minor <> 0", name=op.f("ck_payment_minor")),
        sa.CheckConstraint(
            "paid_by IN ('transfer', 'card', 'cash', 'other')", name=op.f("ck_payment_paid_by")
        ),
        sa.ForeignKeyConstraint(["quote_id"], ["quote.id"], name=op.f("fk_payment_quote_id_quote")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_payment")),
    )
    op.create_index(op.f("ix_payment_quote_id"), "payment", ["quote_id"])


def downgrade() -> None:
    """Undo it; an order is an accepted quote again."""
    op.drop_table("payment")
    op.drop_table("quote_order")
    op.drop_column("mail", "attached")
    quote = sa.table("quote", sa.column("state", sa.String))
    op.execute(quote.update().where(quote.c.state.in_(ORDERED)).values(state="accepted"))
    _allow_states(NOW, BEFORE)


def _listed(states: tuple[str, ...]) -> str:
    return ", ".join(f"'{state}'" for state in states)


def _allow_states(before: tuple[str, ...], after: tuple[str, ...]) -> None:
    """Replace the check of a quote's state.

    SQLite would copy the table for it, which nothing may refer to meanwhile; a check changes
    nothing that is stored, so its text alone is changed (sqlite.org/lang_altertable.html, 8).
    """
    condition = f"state IN ({_listed(after)})"
    connection = op.get_bind()
    if connection.dialect.name == "sqlite":
        _change_text(connection, f"state IN ({_listed(before)})", condition)
        return
    op.drop_constraint(op.f("ck_quote_state"), "quote", type_="check")
    op.create_check_constraint(op.f("ck_quote_state"), "quote", condition)


def _change_text(connection: sa.Connection, before: str, after: str) -> None:
    table = "type = 'table' AND name = 'quote'"
    run = connection.exec_driver_sql
    made = run(f"SELECT sql FROM sqlite_master WHERE {table}").scalar_one()  # noqa: S608
    if made.count(before) != 1:
        raise ValueError(f"the table of quotes has no check that {before}")
    version = run("PRAGMA schema_version").scalar_one()
    run("PRAGMA writable_schema = ON")
    run(f"UPDATE sqlite_master SET sql = ? WHERE {table}", (made.replace(before, after),))  # noqa: S608
    run(f"PRAGMA schema_version = {version + 1}")
    run("PRAGMA writable_schema = OFF")
