"""``python -m webapp.keeping``: backup, restore, export, import.

    backup PATH             a consistent copy, while the service runs
    restore PATH            a copy put back, with the service stopped
    export PATH             everything in open formats (ZIP of JSON Lines)
    import PATH             such a file, into an empty database

It reads the same settings as the service. The secret key in the data folder is
no part of either: without it, links and sessions are signed anew.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path

from webapp.ground.database import make_engine
from webapp.ground.errors import DomainError
from webapp.ground.settings import Settings
from webapp.keeping.backup import backup, restore
from webapp.keeping.export import export_all, import_all


def arguments(words: Sequence[str] | None = None) -> argparse.Namespace:
    """The command line."""
    parser = argparse.ArgumentParser(
        prog="python -m webapp.keeping",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("what", choices=("backup", "restore", "export", "import"))
    parser.add_argument("path", type=Path)
    parser.add_argument(
        "--replace", action="store_true", help="restore over a database that is there"
    )
    return parser.parse_args(words)


def main(words: Sequence[str] | None = None) -> int:
    """Do one of the four; the exit status says whether it was done."""
    given, address = arguments(words), Settings().database_address()
    try:
        sys.stdout.write(f"{_do(given, address)}\n")
    except DomainError as error:
        sys.stderr.write(f"{error}\n")
        return 1
    return 0


def _do(given: argparse.Namespace, address: str) -> str:
    if given.what == "backup":
        return f"{given.path}: {backup(address, given.path)}"
    if given.what == "restore":
        return restore(given.path, address, replace=given.replace)
    engine = make_engine(address)
    try:
        if given.what == "export":
            return f"{given.path}: {sum(export_all(engine, given.path).values())} rows"
        return f"{sum(import_all(engine, given.path).values())} rows brought in"
    finally:
        engine.dispose()


if __name__ == "__main__":
    sys.exit(main())
