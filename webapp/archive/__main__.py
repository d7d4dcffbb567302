"""``python -m webapp.archive``: backup, restore, export, import.

    backup PATH             a consistent copy, while the service runs
    restore PATH            a copy put back, with the service stopped
    export PATH             everything in open formats (ZIP of JSON Lines)
    import PATH             such a file, into an empty database
    check PATH              a backup or an export read through

It reads the same settings as the service. The secret key in the data folder is
no part of either: without it, links and sessions are signed anew. Long work says
how far it is. The exit status is 0 when it was done, and 1 when it was not.
"""

from __future__ import annotations

import argparse
import signal
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from webapp.archive.backup import backup, check_file, restore
from webapp.archive.export import export_all
from webapp.archive.importing import import_all
from webapp.archive.progress import ProgressPrinter
from webapp.common.settings import Settings
from webapp.common.storage.database import make_engine
from webapp.common.storage.fault_messages import FAULTS, in_one_sentence
from webapp.common.storage.locking import alone, together

INTERRUPTED = 130


def arguments(words: Sequence[str] | None = None) -> argparse.Namespace:
    """The command line."""
    parser = argparse.ArgumentParser(
        prog="python -m webapp.archive",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("what", choices=("backup", "restore", "export", "import", "check"))
    parser.add_argument("path", type=Path)
    parser.add_argument(
        "--replace", action="store_true", help="restore in the place of a database that is there"
    )
    return parser.parse_args(words)


def main(words: Sequence[str] | None = None) -> int:
    """Do one of them; the exit status says whether it was done."""
    given = arguments(words)
    try:
        with _stopped_like_a_keyboard():
            sys.stdout.write(f"{_do(given, Settings().database_address())}\n")
    except FAULTS as error:
        return _not_done(in_one_sentence(error) or _said(error))
    except KeyboardInterrupt:
        _not_done("stopped")
        return INTERRUPTED
    return 0


def _said(error: Exception) -> str:
    said = str(error).splitlines()[0]
    return said if isinstance(error, OSError) else f"the database said: {said}"


def _not_done(why: str) -> int:
    sys.stderr.write(f"Not done: {why}\n")
    return 1


@contextmanager
def _stopped_like_a_keyboard() -> Iterator[None]:
    """Make a signal that stops the command clean up as Ctrl-C does."""

    def stop(_number: int, _frame: object) -> None:
        raise KeyboardInterrupt

    before = signal.signal(signal.SIGTERM, stop)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)


def _do(given: argparse.Namespace, address: str) -> str:
    report = ProgressPrinter(sys.stderr)
    if given.what == "check":
        return f"{given.path}: {check_file(given.path, report=report)}"
    if given.what == "backup":
        return f"{given.path}: {backup(address, given.path, report=report)}"
    if given.what == "restore":
        return restore(given.path, address, replace=given.replace, report=report)
    engine = make_engine(address)
    try:
        if given.what == "export":
            with together(address):
                rows = sum(export_all(engine, given.path, report=report).values())
            return f"{given.path}: {rows:,} rows, read again and whole"
        with alone(address):
            return (
                f"{sum(import_all(engine, given.path, report=report).values()):,} rows brought in"
            )
    finally:
        engine.dispose()


if __name__ == "__main__":
    sys.exit(main())
