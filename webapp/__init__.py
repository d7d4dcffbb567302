"""The web service: one package a job, all on `common` (see DEVELOPERS.md)."""

from sqlmodel import SQLModel

# Set before any table is declared, so that constraints have names that migrations
# can speak of on every database (SQLite gives them none).
SQLModel.metadata.naming_convention = {
    "ix": "ix_%(column_0_N_label)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}
