"""What Lighthouse says of the five public pages; wanted are at least 98 of 100 in each category.

    python -m tests.by_hand.lighthouse            # as on a phone and as on a desk
    python -m tests.by_hand.lighthouse /fit/knapweed

Needs node and npm, which fetches Lighthouse (Apache licence) into npm's own cache, and a Chromium
at CHROME_PATH (``/usr/bin/chromium`` when not set). It is no part of the common run. What it
measures of speed depends on the machine: on a busy one it says little.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

from tests.by_hand.running import folder_for_data, start

PROGRAM = "lighthouse@12"
PAGES = (
    "/",
    "/fit/knapweed?style=trail",
    "/build/knapweed",
    "/table/knapweed",
    "/side-by-side?build=knapweed&build=knapweed%3Fsize%3Dl",
)
CATEGORIES = ("performance", "accessibility", "best-practices", "seo")
WANTED = 98
TRIES = 3
KINDS = {"phone": [], "desk": ["--preset=desktop"]}


def looked_at(address: str, kind: list[str], report: Path) -> dict[str, tuple[int, list[str]]]:
    """The score of every category out of 100, and what of it is not perfect."""
    words = [
        *("npx", "--yes", PROGRAM, address, "--quiet", "--output=json", f"--output-path={report}"),
        f"--only-categories={','.join(CATEGORIES)}",
        "--chrome-flags=--headless=new --no-sandbox",
        *kind,
    ]
    chrome = {"CHROME_PATH": os.environ.get("CHROME_PATH", "/usr/bin/chromium")}
    for again in range(TRIES):  # it asks for another try where the browser's trace has no beginning
        last = again == TRIES - 1
        done = subprocess.run(
            words, check=last, env={**os.environ, **chrome}, stdout=subprocess.DEVNULL
        )
        if not done.returncode:
            break
    found = json.loads(report.read_text("utf-8"))
    return {
        name: (
            round(100 * category["score"]),
            [
                _audit_line(found["audits"][audit["id"]])
                for audit in category["auditRefs"]
                if audit["weight"] and (found["audits"][audit["id"]]["score"] or 0) < 0.9
                and found["audits"][audit["id"]]["scoreDisplayMode"] in {"binary", "numeric"}
            ],
        )
        for name, category in found["categories"].items()
    }  # fmt: skip


def _audit_line(audit: dict[str, str]) -> str:
    return f"{audit['id']} {audit.get('displayValue', '')}".strip()


def main(pages: list[str]) -> int:
    """Look at every page, and print what was found."""
    good = True
    with folder_for_data() as folder:
        service = start(folder)
        try:
            for page in pages or PAGES:
                for kind, words in KINDS.items():
                    found = looked_at(service.address + page, words, folder / "report.json")
                    scores = " ".join(f"{name} {score}" for name, (score, _) in found.items())
                    print(f"{kind:6} {page:55} {scores}", flush=True)
                    for name, (score, lacking) in found.items():
                        good &= score >= WANTED
                        if score < WANTED:
                            print(f"         {name}: {'; '.join(lacking)}", flush=True)
        finally:
            service.stop()
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
