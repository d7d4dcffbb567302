"""One table check: the shop's own limit of closure goes, for the printed steps say what it may be.

Sizes may state derived columns of a table from elsewhere since; an older program reads none.
"""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0022"
down_revision = "0021"
branch_labels = None
depends_on = None

_SHOP = sa.table("shop_setting", sa.column("id", sa.Integer), sa.column("data", sa.JSON))
_SIZE = sa.table("frame_size", sa.column("id", sa.Integer), sa.column("data", sa.JSON))


def upgrade() -> None:
    """Make the change."""
    _without(_SHOP, "closure_limit")


def downgrade() -> None:
    """Undo it; the shop's limit is what it was before anybody set it."""
    _without(_SIZE, "stated")


def _without(table: Any, name: str) -> None:
    here = op.get_bind()
    for row in here.execute(sa.select(table.c.id, table.c.data)).all():
        data = {key: value for key, value in row.data.items() if key != name}
        here.execute(table.update().where(table.c.id == row.id).values(data=data))
