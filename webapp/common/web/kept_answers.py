"""A cache of whole answers to public addresses, valid until the catalogue changes.

An answer without a body's measures and without a session depends only on its address, the
catalogue, the day and the reader's units. It is marked with those (``ETag``), so that browsers
and proxies may keep it and ask whether it still holds; and the process keeps the latest ones
itself, compressed as they were sent. Whether anything was published is read from the database
each time, so that an edit by another process is seen at the next request.
"""

from __future__ import annotations

import hashlib
from collections import OrderedDict
from collections.abc import Callable, Collection
from dataclasses import dataclass
from functools import cache

from anyio import to_thread
from sqlalchemy import Engine
from sqlalchemy.exc import SQLAlchemyError
from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from webapp.common.paths import ROOT
from webapp.common.storage.database import is_file
from webapp.common.text.language import language_code
from webapp.common.text.reader import chosen
from webapp.common.timestamps import day_of, now
from webapp.common.web.reader_units import cookies_of, is_of_units
from webapp.common.web.static_files import fingerprint
from webapp.common.web.templating import PARTIAL_HEADER

MOST_BYTES = 48_000_000
"""Of kept answers in one process, as they are sent."""

MUST_ASK = "no-cache"
"""Any cache may keep it but must revalidate it: prices are never those of yesterday."""


@dataclass(frozen=True, slots=True)
class _Answer:
    """One answer as it was sent, and the route that made it."""

    start: Message
    body: bytes
    route: object


class KeptAnswers:
    """Answers from the cache, and caches what may be given again.

    Parameters
    ----------
    app : ASGI application
    areas : collection of str
        First segments of the paths whose answers depend on the catalogue alone; empty for ``/``.
    personal : callable
        Whether a query tells of somebody's body.
    engine : callable
        The engine the service reads with.
    edition : callable
        Reads with an engine the mark that changes with every edit.
    most : int
        How many bytes are kept.
    """

    def __init__(
        self,
        app: ASGIApp,
        *,
        areas: Collection[str],
        personal: Callable[[str], bool],
        engine: Callable[[], Engine],
        edition: Callable[[Engine], str],
        most: int = MOST_BYTES,
    ) -> None:
        self.app = app
        self.areas = areas
        self.personal = personal
        self.engine = engine
        self.edition = edition
        self.kept = _Kept(most)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer from the cache, or pass the request on and cache what comes back."""
        asked = Headers(scope=scope) if scope["type"] == "http" else Headers()
        if not self._is_public(scope, asked):
            await self.app(scope, receive, send)
            return
        edition = await self._edition()
        if edition is None:
            await self.app(scope, receive, send)
            return
        etag = _etag(edition, scope, asked)
        if is_same(etag, asked.get("if-none-match", "")):
            await _send_unchanged(send, etag)
            return
        key = (etag, "gzip" in asked.get("accept-encoding", ""))
        known = self.kept.get(edition, key)
        if known is not None:
            scope["route"] = known.route
            await send(known.start)
            await send({"type": "http.response.body", "body": known.body})
            return

        def keep(answer: _Answer) -> None:
            self.kept.put(edition, key, answer)

        await self.app(scope, receive, _Keeping(send, scope, etag=etag, keep=keep))

    def _is_public(self, scope: Scope, asked: Headers) -> bool:
        """Whether the answer follows from the address and the catalogue alone."""
        if scope["type"] != "http" or scope["method"] != "GET":
            return False
        area = scope["path"].lstrip("/").partition("/")[0]
        if area not in self.areas or "authorization" in asked:
            return False
        if not all(map(is_of_units, cookies_of(scope))):
            return False
        return not self.personal(scope["query_string"].decode("latin-1"))

    async def _edition(self) -> str | None:
        """The mark of the catalogue; None when it cannot be read, and then the page shows the
        fault.
        """
        try:
            engine = self.engine()
            if is_file(engine):
                return self.edition(engine)
            return await to_thread.run_sync(self.edition, engine)
        except (SQLAlchemyError, OSError):
            return None


class _Kept:
    """Answers of one edition of the catalogue; the least recently used is dropped first."""

    def __init__(self, most: int) -> None:
        self.most = most
        self.edition = ""
        self.bytes = 0
        self.answers: OrderedDict[tuple[str, bool], _Answer] = OrderedDict()

    def get(self, edition: str, key: tuple[str, bool]) -> _Answer | None:
        if edition != self.edition:
            self.answers.clear()
            self.bytes, self.edition = 0, edition
        found = self.answers.get(key)
        if found is not None:
            self.answers.move_to_end(key)
        return found

    def put(self, edition: str, key: tuple[str, bool], answer: _Answer) -> None:
        if edition != self.edition or key in self.answers or len(answer.body) > self.most:
            return
        self.answers[key] = answer
        self.bytes += len(answer.body)
        while self.bytes > self.most:
            _, gone = self.answers.popitem(last=False)
            self.bytes -= len(gone.body)


class _Keeping:
    """Sends an answer on, marked where others may keep it, and keeps it."""

    def __init__(
        self, send: Send, scope: Scope, *, etag: str, keep: Callable[[_Answer], None]
    ) -> None:
        self.send = send
        self.scope = scope
        self.etag = etag
        self.keep = keep
        self.start: Message | None = None
        self.body = b""

    async def __call__(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            head = MutableHeaders(scope=message)
            if message["status"] == 200 and _may_be_kept(head):  # noqa: PLR2004  # OK
                head["ETag"] = self.etag
                head.setdefault("Cache-Control", MUST_ASK)
                head.add_vary_header("Cookie")
                self.start = {**message, "headers": [*message["headers"]]}
        elif self.start is not None:
            self.body += message.get("body", b"")
            if not message.get("more_body", False):
                self.keep(_Answer(self.start, self.body, self.scope.get("route")))
        await self.send(message)


def _may_be_kept(head: MutableHeaders) -> bool:
    return "set-cookie" not in head and "no-store" not in head.get("cache-control", "")


async def _send_unchanged(send: Send, etag: str) -> None:
    head = MutableHeaders()
    head["ETag"], head["Cache-Control"] = etag, MUST_ASK
    head["Vary"] = f"{PARTIAL_HEADER}, Accept-Encoding, Cookie"
    await send({"type": "http.response.start", "status": 304, "headers": head.raw})
    await send({"type": "http.response.body", "body": b""})


def _etag(edition: str, scope: Scope, asked: Headers) -> str:
    """Mark of an answer: everything it follows from. Weak, since it may be compressed.

    The day is part of it, since prices are valid by day.
    """
    about = (
        edition,
        day_of(now()).isoformat(),
        _program(),
        language_code(),
        chosen.get() or "",
        scope["scheme"],
        scope["path"],
        scope["query_string"].decode("latin-1"),
        *(asked.get(name, "") for name in ("host", PARTIAL_HEADER)),
    )
    mark = hashlib.sha256("\0".join(about).encode()).hexdigest()[:32]
    return f'W/"{mark}"'


def is_same(etag: str, if_none_match: str) -> bool:
    """Whether a browser's cached copy is this answer (RFC 9110, section 13.1.2).

    >>> is_same('W/"a"', '"b", W/"a"'), is_same('W/"a"', "*"), is_same('W/"a"', "")
    (True, True, False)
    """
    given = [one.strip().removeprefix("W/") for one in if_none_match.split(",")]
    return "*" in given or etag.removeprefix("W/") in given


@cache
def _program() -> str:
    """When program and pages were last changed; taken once while the service runs."""
    folders = ("templates", "webapp", "geometry")
    files = (path for name in folders for path in (ROOT / name).rglob("*.*"))
    newest = max(path.stat().st_mtime_ns for path in files if "__pycache__" not in path.parts)
    return f"{newest} {fingerprint()}"
