"""Files that are whole or not there."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from webapp.common.errors import Conflict
from webapp.common.text.language import tr

_BESIDE = ("", "-journal", "-wal", "-shm")
"""What SQLite puts beside a file while it writes."""


@contextmanager
def beside(target: Path) -> Iterator[Path]:
    """An empty file beside the target to write into; nothing of it is left behind.

    Only its owner can read it: it holds people's names and addresses.

    Yields
    ------
    Path
    """
    target.parent.mkdir(parents=True, exist_ok=True)
    part = target.with_name(f".{target.name}.{os.getpid()}.part")
    try:
        part.unlink(missing_ok=True)
        part.touch(mode=0o600, exist_ok=False)
        yield part
    finally:
        for ending in _BESIDE:
            part.with_name(part.name + ending).unlink(missing_ok=True)


@contextmanager
def whole_or_not(target: Path) -> Iterator[Path]:
    """An empty file to write into, which takes the target's name at the end.

    Yields
    ------
    Path

    Raises
    ------
    Conflict
        When the target is there already, before or after.
    """
    _refuse_if_there(target)
    with beside(target) as part:
        yield part
        _refuse_if_there(target)
        part.replace(target)
        keep_names(target.parent)


def _refuse_if_there(target: Path) -> None:
    if target.exists():
        raise Conflict("path", str(target), tr("a file that does not exist yet"))


def keep_names(folder: Path) -> None:
    """Have a folder's names survive a power cut, where the system can."""
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
