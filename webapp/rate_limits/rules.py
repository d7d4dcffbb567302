"""The two kinds of limit: a share of requests, and tries with growing waits.

Both are plain sums on the moment of a row, so that a clock that was wrong for a
while leaves nobody waiting: a wait longer than the rule ever gives is no wait.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime, timedelta

from webapp.common.text.language import tr, trn
from webapp.common.timestamps import utc
from webapp.rate_limits.tables import Limited


@dataclass(frozen=True, kw_only=True)
class Share:
    """A number of requests in a period, then one more each time a part of it has passed.

    Attributes
    ----------
    kind : str
        Its name in the table.
    what : str
        What is asked for, for the message.
    times : int
        Requests that may come at once.
    seconds : int
        Time in which that many come back [s].

    Notes
    -----
    The generic cell rate algorithm (ITU-T I.371, annex A [M]): one moment says all.
    """

    kind: str
    what: str
    times: int
    seconds: int

    def wait(self, row: Limited, at: datetime) -> float:
        """How long this asker has to wait [s]; 0 or less when not at all."""
        return self._owed(row, at) + self.seconds / self.times - self.seconds

    def count(self, row: Limited, at: datetime) -> None:
        """Take one request from the share."""
        row.until = at + timedelta(seconds=self._owed(row, at) + self.seconds / self.times)

    def _owed(self, row: Limited, at: datetime) -> float:
        owed = (utc(row.until) - at).total_seconds()
        return owed if 0 < owed <= self.seconds else 0.0

    def remedy(self, wait: float) -> str:
        """What to do, as a sentence without its full stop."""
        return tr(
            ("{what} can be asked for {times} times in {minutes:g} minutes; try again in {wait}"),
            what=self.what,
            times=self.times,
            minutes=self.seconds / 60,
            wait=in_words(wait),
        )


@dataclass(frozen=True, kw_only=True)
class Tries:
    """Some free tries, then a wait that doubles with every further one.

    Attributes
    ----------
    kind, what : str
        As of `Share`.
    free : int
        Wrong tries without a wait.
    first, longest : int
        The first wait and the longest [s].
    forgotten : int
        Quiet time after which the tries are forgotten [s].
    cleared : bool
        Whether a right try clears them all, or takes back itself alone.
    otherwise : str
        Another way than waiting, for the message; empty when there is none.
    """

    kind: str
    what: str
    free: int
    first: int = 5
    longest: int = 900
    forgotten: int = 86_400
    cleared: bool = True
    otherwise: str = ""

    def wait(self, row: Limited, at: datetime) -> float:
        """How long this asker has to wait [s]; 0 or less when not at all."""
        left = (utc(row.until) - at).total_seconds()
        return left if left <= self.longest else 0.0

    def count(self, row: Limited, at: datetime) -> None:
        """Count one try, and set when the next is let through."""
        quiet = (at - utc(row.last_at)).total_seconds()
        row.tries = 1 if not 0 <= quiet < self.forgotten else row.tries + 1
        beyond = row.tries - self.free
        grown = self.first * 2.0 ** min(beyond, 30) if beyond >= 0 else 0.0
        row.until = at + timedelta(seconds=min(grown, self.longest))

    def forgive(self, row: Limited, at: datetime) -> None:
        """Take back a try that was right."""
        row.tries = 0 if self.cleared else max(0, row.tries - 1)
        row.until = at

    def remedy(self, wait: float) -> str:
        """What to do, as a sentence without its full stop."""
        words = tr(
            "there were too many wrong tries for {what}; try again in {wait}",
            what=self.what,
            wait=in_words(wait),
        )
        return (
            tr("{words}, or {otherwise}", words=words, otherwise=self.otherwise)
            if self.otherwise
            else words
        )


Rule = Share | Tries


def in_words(wait: float) -> str:
    """A wait for people.

    >>> in_words(0.2), in_words(40), in_words(61), in_words(900)
    ('1 second', '40 seconds', '2 minutes', '15 minutes')
    """
    seconds = max(1, math.ceil(wait))
    if seconds <= 60:  # noqa: PLR2004 - a minute
        return trn("{count} second", "{count} seconds", seconds)
    return trn("{count} minute", "{count} minutes", math.ceil(seconds / 60))
