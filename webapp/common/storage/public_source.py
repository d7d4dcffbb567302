"""Where public pages are read from: the database itself, or a copy that follows it.

A copy is always a little behind. It is read only while it holds everything that was
published: its mark of the catalogue's edition is compared with the database's own
first, and what follows is read at that same moment of the copy. So nobody sees a
price of yesterday on one page and of today on the next.
"""

from __future__ import annotations

import logging
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager

from sqlalchemy import Engine
from sqlalchemy.exc import SQLAlchemyError
from sqlmodel import Session

from webapp.common.storage.database import is_file, reading

log = logging.getLogger(__name__)

PAUSE = 10.0  # [s] for which a copy that did not answer is not asked again


class PublicSource:
    """Opens reading sessions for public pages.

    Parameters
    ----------
    engine : Engine
        Of the database that is written.
    replica : Engine or None
        Of the copy, if there is one.
    edition : callable
        Reads from a session the mark that changes with every edit.
    clock : callable
        Time [s], only ever rising.
    """

    def __init__(
        self,
        engine: Engine,
        replica: Engine | None,
        edition: Callable[[Session], str],
        *,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self.engine = engine
        self.replica = replica
        self.edition = edition
        self.clock = clock
        self.resting_until = 0.0

    @property
    def is_file(self) -> bool:
        """Whether a session opens and closes without asking anybody over the network."""
        return self.replica is None and is_file(self.engine)

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A session that only reads, of one moment that holds all that is published."""
        with ExitStack() as stack:
            session = self._of_copy(stack) if self.replica is not None else None
            yield session or stack.enter_context(reading(self.engine))

    def _of_copy(self, stack: ExitStack) -> Session | None:
        """A session of the copy; None when it is away or behind."""
        if self.replica is None or self.clock() < self.resting_until:
            return None
        with reading(self.engine) as session:
            newest = self.edition(session)
        try:
            with ExitStack() as trying:
                copied = trying.enter_context(reading(self.replica))
                if self.edition(copied) == newest:
                    stack.push(trying.pop_all())
                    return copied
        except SQLAlchemyError as error:
            self.resting_until = self.clock() + PAUSE
            log.warning("the copy of the database cannot be read: %s", type(error).__name__)
        return None
