"""No text reaches a reader without having come through the one function for sentences."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from webapp.common.paths import ROOT


def test_pages_mails_and_paper_hold_no_text_outside_the_marks() -> None:
    """In a process of its own: many sentences are read when the code is imported."""
    pages = Path(__file__).with_name("pages_in_marks.py")
    environment = os.environ | {"SERVICE_LANGUAGE": "pseudo", "PYTEST_ADDOPTS": ""}
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", str(pages)]
    done = subprocess.run(
        command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout[-6000:]
