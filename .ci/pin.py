"""Writes requirements.txt: the versions of a resolved environment, each with its hash.

    python -m pip install --dry-run --ignore-installed --only-binary :all: \\
        --report report.json ".[test]" setuptools
    python .ci/pin.py report.json > .ci/requirements.txt

Run on Python 3.11, Linux, x86_64: the hashes are those of the wheels that fit there.
The report holds download addresses; what is written here does not.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

HEAD = """\
# The versions of the common run, with the hashes of their wheels for
# Python 3.11 on Linux x86_64. Written by pin.py; not edited by hand.
"""


def pinned(report: dict[str, object]) -> list[str]:
    """One requirement line for each package of a pip report, the project itself left out."""
    lines = []
    for found in report["install"]:  # type: ignore[attr-defined]
        if found["is_direct"]:
            continue
        data = found["metadata"]
        digest = found["download_info"]["archive_info"]["hashes"]["sha256"]
        lines.append(f"{data['name'].lower()}=={data['version']} \\\n    --hash=sha256:{digest}\n")
    return sorted(lines)


if __name__ == "__main__":
    read = json.loads(Path(sys.argv[1]).read_text())
    sys.stdout.write(HEAD + "".join(pinned(read)))
