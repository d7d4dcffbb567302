"""``python -m webapp.migrations "what it does"``: draft the next migration.

It is the difference between an empty database brought to the newest migration
and the tables in the code. Read it, correct it, run the migration tests.

``python -m webapp.migrations --check`` says whether the service's own database is as the
tables in the code: what differs is told, and the exit status is 1.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence

from alembic import command
from alembic.script import ScriptDirectory

from webapp.common.settings import Settings
from webapp.common.storage.database import make_engine, opened, writing
from webapp.common.text.language import tr
from webapp.migrations import configuration, drift, upgrade


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


def check() -> int:
    """Say what of the service's database is not as the code has it; 1 where anything is."""
    with opened(Settings().database_address()) as engine, engine.connect() as connection:
        found = drift(connection)
    for change in found:
        sys.stderr.write(f"{change}\n")
    if not found:
        sys.stdout.write(tr("The database is as this version of the program has it.") + "\n")
    return 1 if found else 0


def main(words: Sequence[str] | None = None) -> int:
    """Draft a migration, or check a database."""
    parser = argparse.ArgumentParser(prog="python -m webapp.migrations", description=__doc__)
    what = parser.add_mutually_exclusive_group(required=True)
    what.add_argument("message", nargs="?", help="what the migration does, in a few words")
    what.add_argument("--check", action="store_true", help="compare the database with the code")
    given = parser.parse_args(words)
    if given.check:
        return check()
    draft(given.message)
    return 0


if __name__ == "__main__":
    sys.exit(main())
