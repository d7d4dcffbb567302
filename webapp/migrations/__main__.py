"""``python -m webapp.migrations "what it does"``: draft the next migration.

It is the difference between an empty database brought to the newest migration
and the tables in the code. Read it, correct it, run the migration tests.
"""

from __future__ import annotations

import argparse

from alembic import command
from alembic.script import ScriptDirectory

from webapp.common.storage.database import make_engine, writing
from webapp.migrations import configuration, upgrade


def draft(message: str) -> None:
    """Write the draft into ``versions``, numbered after the last one."""
    engine = make_engine("sqlite://")
    with writing(engine) as session:
        connection = session.connection()
        upgrade(connection)
        config = configuration(connection)
        count = len(list(ScriptDirectory.from_config(config).walk_revisions()))
        config.set_main_option("file_template", "v%%(rev)s_%%(slug)s")
        command.revision(config, message, autogenerate=True, rev_id=f"{count + 1:04d}")
    engine.dispose()


if __name__ == "__main__":
    parser = argparse.ArgumentParser(prog="python -m webapp.migrations", description=__doc__)
    parser.add_argument("message", help="what the migration does, in a few words")
    draft(parser.parse_args().message)
