"""What is printed for the builder: a link at the first start, another whenever asked for."""

from __future__ import annotations

import re
import signal
import subprocess
import sys
from pathlib import Path

import httpx

from tests.webapp.accounts.conftest import PASSWORD
from tests.webapp.test_main import command, environment
from webapp.common.paths import ROOT


def test_the_first_start_prints_a_link_that_works_once(tmp_path: Path) -> None:
    link = first_lines(tmp_path)[1]
    found = re.fullmatch(r"Builder, set your password \(works once\): (http://\S+)\n", link)
    assert found
    asked = subprocess.run(
        [sys.executable, "-m", "webapp.accounts"], cwd=ROOT, env=environment(tmp_path),
        capture_output=True, text=True, check=True, timeout=60,
    )  # fmt: skip
    assert re.fullmatch(r"http://127\.0\.0\.1:8000/account/link/[\w-]{43}\n", asked.stdout)


def first_lines(folder: Path) -> list[str]:
    """What a start prints; the link is used to set the password."""
    with subprocess.Popen(
        command("--port", "0"), cwd=ROOT, env=environment(folder), stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL, text=True,
    ) as service:  # fmt: skip
        try:
            assert service.stdout
            lines = [service.stdout.readline() for _ in range(2)]
            address = lines[1].split()[-1]
            form = {"password": PASSWORD, "again": PASSWORD}
            assert httpx.post(address, data=form).status_code == 303
            assert httpx.post(address, data=form).status_code == 404
        finally:
            service.send_signal(signal.SIGINT)
            service.communicate(timeout=20)
    return lines
