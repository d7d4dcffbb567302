"""A running service for the tests that need an address: the browser's."""

from __future__ import annotations

import shutil
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import uvicorn
from fastapi import FastAPI

from webapp.common.settings import Settings


@contextmanager
def served(folder: Path, filled: Path) -> Iterator[tuple[str, FastAPI]]:
    """Serve from a folder, with a copy of a filled SQLite file, on a free port of this machine.

    Yields
    ------
    str, FastAPI
        The service's address, and the service.
    """
    from webapp.app import create_app

    shutil.copy(filled, folder / "configurator.sqlite")
    with socket.create_server(("127.0.0.1", 0)) as listening:
        address = f"http://127.0.0.1:{listening.getsockname()[1]}"
        app = create_app(Settings(data_folder=folder, database_url=None, base_url=address))
        config = uvicorn.Config(app, log_level="warning", timeout_graceful_shutdown=2)
        server = uvicorn.Server(config)
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
        thread.start()
        while thread.is_alive() and not server.started:
            time.sleep(0.02)
        assert server.started, "the service did not start"
        yield address, app
        server.should_exit = True
        thread.join(timeout=10)
