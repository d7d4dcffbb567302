"""Progress of long work: reported by the code that does it, shown by the one that asked."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import TextIO, TypeVar

from webapp.common.text.language import tr

SECONDS = 2.0
"""Between two lines of progress."""

EVERY = 100
"""Rows between two steps."""

Item = TypeVar("Item")


@dataclass(frozen=True)
class Step:
    """How far it is.

    >>> print(Step("Exporting", 1200, 50000, "rows"))
    Exporting: 1,200 of 50,000 rows, 2 %
    """

    what: str
    done: int
    of: int
    unit: str

    def __str__(self) -> str:
        part = 100 * self.done // self.of if self.of else 100
        return tr(
            "{what}: {done:,} of {of:,} {unit}, {part} %",
            what=self.what,
            done=self.done,
            of=self.of,
            unit=self.unit,
            part=part,
        )


ReportProgress = Callable[[Step], None]
"""What is called with every step."""


def quiet(_step: Step) -> None:
    """Report to nobody."""


class ProgressPrinter:
    """Writes a line every `SECONDS`; short work says nothing."""

    def __init__(self, to: TextIO, *, clock: Callable[[], float] = time.monotonic) -> None:
        self._to, self._clock = to, clock
        self._next = clock() + SECONDS

    def __call__(self, step: Step) -> None:
        """Take a step."""
        if self._clock() >= self._next:
            self._to.write(f"{step}\n")
            self._to.flush()
            self._next = self._clock() + SECONDS


class Counter:
    """Counts rows through everything that is done in one go.

    Parameters
    ----------
    what : str
        What is done, as it is told.
    of : int
        Rows there are in all.
    report : ReportProgress
    """

    def __init__(self, what: str, of: int, report: ReportProgress = quiet) -> None:
        self.what, self.of, self.done = what, of, 0
        self._report = report

    @property
    def step(self) -> Step:
        """How far it is."""
        return Step(self.what, self.done, self.of, "rows")

    def count(self) -> bool:
        """Count one row; True where progress is to be reported."""
        self.done += 1
        told = self.done % EVERY == 0 or self.done == self.of
        if told:
            self._report(self.step)
        return told

    def along(self, rows: Iterable[Item]) -> Iterator[Item]:
        """The same rows, counted as they go by."""
        for row in rows:
            yield row
            self.count()
