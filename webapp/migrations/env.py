"""Run by Alembic: migrate over the connection that was handed in."""

from alembic import context
from sqlmodel import SQLModel

from webapp.migrations.models import TABLES

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=SQLModel.metadata if TABLES else None,
    # SQLite cannot alter most things in place; batches copy the table instead.
    render_as_batch=True,
    compare_type=True,
)
with context.begin_transaction():
    context.run_migrations()
