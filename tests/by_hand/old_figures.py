"""Search the tree for figures and names that a former demo catalogue had and today's has not.

    python -m tests.by_hand.old_figures COMMIT

prints every line where a file under version control says of a field what only the demo of that
commit said (``head_angle = 65``, ``"offset": 40``), or names a part of it that is gone. Whoever
redraws the demo runs it once against the commit before. A standard's own sizes, such as a tyre
of ISO 5775 in a test of that standard, may be printed and may stay.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
_WORDS = {"slug", "name", "summary", "changelog", "fits"}
"""Fields whose text is looked for wherever it stands; numbers are looked for beside their field."""
_PASSED_OVER = re.compile(r"packing_words|^(static/|tests/vendor/)|\.(packed|woff2|png)$")


def git(*arguments: str) -> str:
    """What git answers in this tree."""
    command = ["git", *arguments]
    return subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True).stdout


def leaves(value: Any, field: str = "") -> Iterator[tuple[str, Any]]:
    """Every field with what it says, at any depth."""
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from leaves(inner, name)
    elif isinstance(value, list):
        for inner in value:
            yield from leaves(inner, field)
    elif isinstance(value, str | int | float) and not isinstance(value, bool):
        yield field, value


def demo(texts: Iterator[str]) -> set[tuple[str, Any]]:
    """All that a demo catalogue says, field by field."""
    return {leaf for text in texts for leaf in leaves(tomllib.loads(text))}


def patterns(old: set[tuple[str, Any]]) -> dict[str, re.Pattern[str]]:
    """What to look for, by what to call it."""
    found = {}
    for field, value in sorted(old, key=str):
        if isinstance(value, str):
            if field in _WORDS and len(value) > 5:
                found[f"{field} “{value[:40]}”"] = re.compile(re.escape(value))
        elif abs(value) > 9:
            number = re.escape(f"{value:g}") + r"(\.0+)?(?![\d.]*\d)"
            spaced = field.replace("_", "[_ -]")
            found[f"{field} {value:g}"] = re.compile(rf"\b{spaced}\W{{1,4}}{number}", re.IGNORECASE)
    return found


def main(commit: str) -> int:
    """Print what is found, and how much."""
    names = git("ls-tree", "-r", "--name-only", commit, "demo_data").split()
    before = demo(git("show", f"{commit}:{name}") for name in names if name.endswith(".toml"))
    now = demo(path.read_text() for path in (ROOT / "demo_data").rglob("*.toml"))
    wanted, count = patterns(before - now), 0
    for name in git("ls-files").split("\n"):
        if not name or _PASSED_OVER.search(name):
            continue
        for number, line in enumerate((ROOT / name).read_text().splitlines(), 1):
            for what, pattern in wanted.items():
                if match := pattern.search(line):
                    count += 1
                    around = line[max(match.start() - 40, 0) : match.end() + 40].strip()
                    print(f"{name}:{number}: {what}: {around}")
    print(f"{count} places, {len(wanted)} figures and names looked for")
    return 1 if count else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
