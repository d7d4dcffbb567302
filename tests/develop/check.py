"""All checks, side by side on all cores: the linter, the type checker, every test.

python -m tests.develop.check            everything
python -m tests.develop.check quote      only what is tested of one package, such as
                                         ``quote``, ``office/parts`` or ``geometry/bike``
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
SIDE_BY_SIDE = ("-n", "auto", "--dist", "worksteal")


def places(package: str) -> list[str]:
    """The folders of a package and of its tests.

    Raises
    ------
    SystemExit
        When there is no such package.
    """
    tops = ("", "webapp/", "geometry/")
    found = [
        f"{before}{top}{package}"
        for top in tops
        for before in ("", "tests/")
        if (ROOT / f"{before}{top}{package}").is_dir()
    ]
    if not found:
        raise SystemExit(f"there is no package {package}: name one as quote, or geometry/bike")
    return found


def commands(package: str | None) -> list[list[str]]:
    """What is run, one after the other."""
    python = [sys.executable, "-m"]
    if package:
        return [[*python, "pytest", "-q", *places(package)]]
    return [
        [*python, "ruff", "check"],
        [*python, "mypy"],
        [*python, "pytest", *SIDE_BY_SIDE],
    ]


def main(words: list[str]) -> int:
    """Run them until one fails."""
    for command in commands(words[0] if words else None):
        status = subprocess.run(command, cwd=ROOT, check=False).returncode
        if status:
            return status
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
