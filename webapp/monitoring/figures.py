"""The figures of the running service, in the open exposition format.

With one process they are kept in memory. With several each writes its own into a
folder that all share (``PROMETHEUS_MULTIPROC_DIR``, which `shared_figures` sets
before they start), and whichever is asked answers for the whole service.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager

from prometheus_client import CollectorRegistry, Counter, Gauge, Histogram
from prometheus_client.exposition import choose_encoder
from prometheus_client.multiprocess import MultiProcessCollector

FOLDER = "PROMETHEUS_MULTIPROC_DIR"
STEPS = (0.01, 0.03, 0.1, 0.3, 1.0, 3.0, 10.0)  # s


class Figures:
    """Counters of the requests of one process.

    Examples
    --------
    >>> figures = Figures()
    >>> with figures.under_way():
    ...     figures.note(method="GET", route="/fit/{model}", status=200, seconds=0.02)
    >>> text, kind = figures.written("text/plain")
    >>> 'stancewright_requests_total{method="GET",route="/fit/{model}",status="200"} 1.0' in (
    ...     text.decode())
    True
    """

    def __init__(self) -> None:
        self.registry = CollectorRegistry()
        self.requests = Counter(
            "stancewright_requests",
            "Requests answered.",
            ("method", "route", "status"),
            registry=self.registry,
        )
        self.seconds = Histogram(
            "stancewright_request_seconds",
            "How long requests took to answer.",
            ("route",),
            buckets=STEPS,
            registry=self.registry,
        )
        self.waiting = Gauge(
            "stancewright_requests_under_way",
            "Requests that are being answered.",
            registry=self.registry,
            multiprocess_mode="livesum",
        )
        self.processes = Gauge(
            "stancewright_processes",
            "Processes that answer requests.",
            registry=self.registry,
            multiprocess_mode="livesum",
        )
        self.processes.set(1)

    @contextmanager
    def under_way(self) -> Iterator[None]:
        """Count a request as being answered."""
        self.waiting.inc()
        try:
            yield
        finally:
            self.waiting.dec()

    def note(self, *, method: str, route: str, status: int, seconds: float) -> None:
        """Count a request that was answered."""
        self.requests.labels(method, route, str(status)).inc()
        self.seconds.labels(route).observe(seconds)

    def written(self, accept: str) -> tuple[bytes, str]:
        """All figures of the whole service, and the media type they are written in.

        Parameters
        ----------
        accept : str
            What the asker can read, as in the header of that name.
        """
        registry = self.registry
        if os.environ.get(FOLDER):
            registry = CollectorRegistry()
            MultiProcessCollector(registry)  # type: ignore[no-untyped-call]
        encode, kind = choose_encoder(accept)
        return encode(registry), kind


@contextmanager
def shared_figures() -> Iterator[None]:
    """Have the processes that are started meanwhile share their figures."""
    folder = tempfile.mkdtemp(prefix="figures-")
    os.environ[FOLDER] = folder
    try:
        yield
    finally:
        del os.environ[FOLDER]
        shutil.rmtree(folder, ignore_errors=True)
