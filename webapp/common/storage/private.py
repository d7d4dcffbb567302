"""Files and folders that nobody but the account of the service can read."""

from __future__ import annotations

import os
import stat
from pathlib import Path

_OTHERS = stat.S_IRWXG | stat.S_IRWXO


def private_folder(folder: Path) -> None:
    """Make a folder for its owner alone, or take an existing one's rights from all others.

    A folder that belongs to somebody else, or that everybody may write into, such as the
    system's temporary one, is left as it is.
    """
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    if not folder.stat().st_mode & stat.S_ISVTX:
        _close(folder)


def private_file(file: Path, *, make: bool = False) -> None:
    """Take a file's rights from everybody but its owner; made empty when it is to be made."""
    if make and not file.exists():
        file.touch(mode=0o600)
    if file.exists():
        _close(file)


def _close(path: Path) -> None:
    found = path.stat()
    if found.st_mode & _OTHERS and found.st_uid == os.geteuid():
        path.chmod(stat.S_IMODE(found.st_mode) & ~_OTHERS)
