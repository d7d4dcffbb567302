"""Runs the service in one process or several: preparation done once, and messages printed."""

from __future__ import annotations

import gc
import socket
import sys
import threading
from typing import Any

import uvicorn
from fastapi import FastAPI
from prometheus_client.multiprocess import mark_process_dead
from sqlalchemy import Engine
from uvicorn.supervisors import Multiprocess

from webapp.accounts.links import link_for_builder
from webapp.app import create_app
from webapp.catalogue import setup
from webapp.catalogue.reading.settings import settings_data
from webapp.common.settings import Settings
from webapp.common.storage.database import opened, writing
from webapp.common.storage.fault_messages import FAULTS, fault_behind, in_one_sentence
from webapp.common.storage.locking import together
from webapp.common.text.language import tr
from webapp.common.timestamps import now
from webapp.monitoring.figures import shared_figures
from webapp.monitoring.logs import log_config
from webapp.outcomes import demo as invented_outcomes
from webapp.quote.storage.search_index import renew_words

STARTS_WITHIN = 60.0  # until every process of several answers [s]


def serve(settings: Settings, *, own: bool = False) -> bool:
    """Serve until stopped.

    Parameters
    ----------
    settings : Settings
        With several `workers`, each of them reads its own from the environment.
    own : bool
        Begin a shop of one's own where there is no catalogue yet, instead of the demo.

    Returns
    -------
    bool
        Whether the service could start.
    """
    try:
        with together(settings.database_address()):
            prepare(settings, own=own)
    except FAULTS as error:
        sys.stderr.write(f"{_why_not(error)}\n")
        return False
    if settings.workers == 1:
        return _serve_alone(settings)
    with together(settings.database_address()), shared_figures():
        return _serve_together(settings)


def prepare(settings: Settings, *, own: bool = False) -> None:
    """Migrate, fill and make the key, once and before any process needs them."""
    settings.secret()
    with opened(settings.database_address()) as engine:
        if setup.prepare(engine, own=own):
            invented_outcomes.fill(engine)
        renew_words(engine)


def _why_not(error: Exception) -> str:
    """Why the service cannot start, in a sentence, and what to do."""
    said = in_one_sentence(error)
    if said is None:
        raise error
    return said if fault_behind(error) else tr("The service cannot start: {error}.", error=said)


def _config(app: Any, settings: Settings) -> uvicorn.Config:
    return uvicorn.Config(
        app,
        factory=isinstance(app, str),
        host=settings.host,
        port=settings.port,
        workers=settings.workers,
        log_config=log_config(settings.log_level),
        access_log=False,  # it would log whole addresses; the log is written in webapp/monitoring
        proxy_headers=bool(settings.trusted_proxies),
        forwarded_allow_ips=settings.trusted_proxies,
        timeout_graceful_shutdown=settings.stop_within,
    )


def service(settings: Settings | None = None) -> FastAPI:
    """The service as a process runs it that does nothing else.

    What is there before the first request (modules, routes) stays as long as the process. Looking
    through all of it for garbage, again and again, made single visitors wait for 0.2 s. No cycle
    holds what a page was made of, so nearly all of it goes with the answer, and the rest is looked
    for every few dozen pages: two or three times each page took a millisecond of it.
    """
    app = create_app(settings)
    gc.collect()
    gc.freeze()
    gc.set_threshold(10_000, 10, 20)
    return app


# --- one process -----------------------------------------------------------------------


class Announcing(uvicorn.Server):
    """Prints the address as soon as requests are answered."""

    def __init__(self, config: uvicorn.Config, settings: Settings, engine_of: Any) -> None:
        super().__init__(config)
        self.settings = settings
        self.engine_of = engine_of

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Start as usual, then print the address."""
        await super().startup(sockets)
        if self.started:
            announce(self.settings, self.servers[0].sockets[0], self.engine_of.state.engine)


def _serve_alone(settings: Settings) -> bool:
    app = service(settings)
    server = Announcing(_config(app, settings), settings, app)
    server.run()
    return server.started


# --- several processes -----------------------------------------------------------------


class Supervisor(Multiprocess):
    """Starts the processes, prints the address once all answer, and replaces one that dies."""

    def __init__(
        self, config: uvicorn.Config, listening: socket.socket, settings: Settings, engine: Engine
    ) -> None:
        super().__init__(config, [listening])
        self.settings = settings
        self.engine = engine
        self.started = False

    def init_processes(self) -> None:
        """Start them all, and print the address as soon as they answer."""
        super().init_processes()
        stopped = _AskedToStop(self.signal_queue)
        ready = [one.wait_until_ready(STARTS_WITHIN, stopped) for one in self.processes]
        self.started = all(ready)
        if self.started:
            announce(self.settings, self.sockets[0], self.engine)
        else:
            self.should_exit.set()

    def keep_subprocess_alive(self) -> None:
        """Replace a process that died, and remove its figures."""
        before = {one.pid for one in self.processes}
        super().keep_subprocess_alive()
        for gone in before - {one.pid for one in self.processes}:
            mark_process_dead(gone)  # type: ignore[no-untyped-call]


class _AskedToStop(threading.Event):
    """Set when a signal is pending, since nothing handles signals during the start."""

    def __init__(self, waiting: list[int]) -> None:
        super().__init__()
        self.waiting = waiting

    def is_set(self) -> bool:
        """Whether one waits."""
        return bool(self.waiting)


def _serve_together(settings: Settings) -> bool:
    """Supervise the processes; this one holds no connection to the database."""
    with opened(settings.database_address()) as engine:
        config = _config("webapp.serving:service", settings)
        supervisor = Supervisor(config, config.bind_socket(), settings, engine)
        supervisor.run()
    return supervisor.started


# --- what is printed -------------------------------------------------------------------


def announce(settings: Settings, listening: socket.socket, engine: Engine) -> None:
    """Print the address, and on a first start the builder's link."""
    host, port = listening.getsockname()[:2]
    shown = f"[{host}]" if ":" in host else host
    address = f"http://{shown}:{port}"
    _say(tr("Serving at {address}/", address=address))
    if path := first_link(engine):
        _say(
            tr(
                "Builder, set your password (works once): {site}{path}",
                site=settings.base_url or address,
                path=path,
            )
        )


def _say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


def first_link(engine: Engine) -> str | None:
    """A link for the builder while nobody has set the builder's password, else None."""
    with writing(engine) as session:
        mail = settings_data(session).letterhead.email
        return link_for_builder(session, mail=mail, at=now())
