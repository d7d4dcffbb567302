"""The command line: starts the service, prints its address, refuses bad settings."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from pathlib import Path

import httpx
import pytest

from webapp.common.paths import ROOT


def command(*words: str) -> list[str]:
    return [sys.executable, "-m", "webapp", *words]


def environment(folder: Path, **more: str) -> dict[str, str]:
    kept = {k: v for k, v in os.environ.items() if k not in {"DATABASE_URL", "SECRET_KEY"}}
    return kept | {"DATA_FOLDER": str(folder)} | more


def test_a_bare_start_serves_what_it_prints(tmp_path: Path) -> None:
    """An empty data folder is filled, and the printed address answers at once."""
    with subprocess.Popen(
        command("--port", "0"), cwd=ROOT, env=environment(tmp_path), stdout=subprocess.PIPE,
        stderr=subprocess.PIPE, text=True,
    ) as service:  # fmt: skip
        try:
            assert service.stdout
            line = service.stdout.readline()
            found = re.fullmatch(r"Serving at (http://127\.0\.0\.1:[0-9]+/)\n", line)
            assert found, line + (
                service.stderr.read() if service.poll() and service.stderr else ""
            )
            assert httpx.get(found[1] + "health").json() == {"status": "ok"}
        finally:
            service.send_signal(signal.SIGINT)
            service.communicate(timeout=20)
    assert {"configurator.sqlite", "secret_key"} <= {file.name for file in tmp_path.iterdir()}


@pytest.mark.parametrize(
    ("setting", "words"),
    [
        ({"SECRET_KEY": "changeme"}, "SECRET_KEY must be 32 or more random characters"),
        ({"PORT": "99999"}, "port: "),
        ({"BASE_URL": "bikes"}, "BASE_URL starts with http"),
    ],
)
def test_a_bad_setting_is_named_without_a_traceback(
    tmp_path: Path, setting: dict[str, str], words: str
) -> None:
    run = subprocess.run(
        command(), cwd=ROOT, env=environment(tmp_path, **setting), capture_output=True,
        text=True, timeout=60, check=False,
    )  # fmt: skip
    assert run.returncode == 2
    assert words in run.stderr
    assert "Traceback" not in run.stderr
