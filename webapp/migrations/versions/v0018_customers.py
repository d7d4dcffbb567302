"""Customers as people: whoever has a quote gets an entry, one for each name and mail address."""

import sqlalchemy as sa
from alembic import op

revision = "0018"
down_revision = "0017"
branch_labels = None
depends_on = None

_AT_ONCE = 500
_EMPTY = sa.text("''")


def upgrade() -> None:
    """Make the change."""
    op.create_table(
        "customer",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("mail", sa.String(length=254), nullable=False, server_default=_EMPTY),
        sa.Column("mail_key", sa.String(length=254), nullable=False, server_default=_EMPTY),
        sa.Column("phone", sa.String(length=40), nullable=False, server_default=_EMPTY),
        sa.Column("phone_digits", sa.String(length=20), nullable=False, server_default=_EMPTY),
        sa.Column("address", sa.Text(), nullable=False, server_default=_EMPTY),
        sa.Column("company", sa.String(length=120), nullable=False, server_default=_EMPTY),
        sa.Column("tax_number", sa.String(length=40), nullable=False, server_default=_EMPTY),
        sa.Column("price_group", sa.String(length=60), nullable=False, server_default=_EMPTY),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_customer")),
    )
    for column in ("mail_key", "phone_digits"):
        op.create_index(op.f(f"ix_customer_{column}"), "customer", [column], unique=False)
    _make_consents_and_events()
    # In one statement on both databases: SQLite would otherwise make the table anew.
    op.execute(
        "ALTER TABLE quote ADD COLUMN customer_id INTEGER "
        "CONSTRAINT fk_quote_customer_id_customer REFERENCES customer (id)"
    )
    op.create_index(op.f("ix_quote_customer_id"), "quote", ["customer_id"], unique=False)
    _fill(op.get_bind())


def _make_consents_and_events() -> None:
    op.create_table(
        "customer_consent",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("customer_id", sa.Integer(), nullable=False),
        sa.Column("what", sa.String(length=200), nullable=False),
        sa.Column("how", sa.String(length=200), nullable=False),
        sa.Column("given_on", sa.Date(), nullable=False),
        sa.Column("withdrawn_on", sa.Date(), nullable=True),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.ForeignKeyConstraint(
            ["customer_id"], ["customer.id"], name=op.f("fk_customer_consent_customer_id_customer")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_customer_consent")),
    )
    op.create_table(
        "customer_event",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("customer_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.Column("what", sa.String(length=40), nullable=False),
        sa.Column("detail", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(
            ["customer_id"], ["customer.id"], name=op.f("fk_customer_event_customer_id_customer")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_customer_event")),
    )
    for table in ("customer_consent", "customer_event"):
        op.create_index(op.f(f"ix_{table}_customer_id"), table, ["customer_id"], unique=False)


def _fill(connection: sa.Connection) -> None:
    """An entry for each name and mail address; without an address one for each quote."""
    quotes = sa.table(
        "quote",
        *map(sa.column, ("id", "customer_name", "customer_mail", "customer_id")),
        sa.column("created_at", sa.DateTime(timezone=True)),
    )
    people = sa.table(
        "customer",
        *map(sa.column, ("id", "name", "mail", "mail_key")),
        sa.column("created_at", sa.DateTime(timezone=True)),
    )
    known: dict[tuple[str, str], int] = {}
    made, last = 0, 0
    while True:
        wanted = sa.select(quotes).where(quotes.c.id > last).order_by(quotes.c.id)
        rows = connection.execute(wanted.limit(_AT_ONCE)).mappings().all()
        if not rows:
            break
        last = rows[-1]["id"]
        entries, links = [], []
        for row in rows:
            if not row["customer_name"]:  # erased
                continue
            mail_key = row["customer_mail"].casefold()
            person = (row["customer_name"].casefold(), mail_key)
            number = known.get(person) if mail_key else None
            if number is None:
                made += 1
                number = known[person] = made
                entries.append(
                    {
                        "id": number,
                        "name": row["customer_name"],
                        "mail": row["customer_mail"],
                        "mail_key": mail_key,
                        "created_at": row["created_at"],
                    }
                )
            links.append({"quote": row["id"], "person": number})
        if entries:
            connection.execute(sa.insert(people), entries)
        if links:
            pointed = sa.update(quotes).where(quotes.c.id == sa.bindparam("quote"))
            connection.execute(pointed.values(customer_id=sa.bindparam("person")), links)
    if connection.dialect.name == "postgresql" and made:
        connection.execute(
            sa.text("SELECT setval(pg_get_serial_sequence('customer', 'id'), :made)"),
            {"made": made},
        )


def downgrade() -> None:
    """Undo it."""
    op.drop_index(op.f("ix_quote_customer_id"), "quote")
    op.drop_column("quote", "customer_id")
    for table in ("customer_event", "customer_consent", "customer"):
        op.drop_table(table)
