"""Run by Alembic: migrate over the connection that was handed in."""

from alembic import context

from webapp.migrations import is_ours
from webapp.migrations.models import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    # SQLite cannot alter most things in place; batches copy the table instead.
    render_as_batch=True,
    compare_type=True,
    include_name=is_ours,
)
with context.begin_transaction():
    context.run_migrations()
