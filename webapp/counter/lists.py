"""Rows of the desk's lists, and the words in them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from webapp.common.text.language import tr, trn
from webapp.quote.storage.search import Entry
from webapp.quote.storage.write import (
    ANSWERED,
    CANCELLED,
    CANCELLING,
    QUESTION,
    REQUEST,
    UNDELIVERED,
)

DESK = "/counter"
GONE = tr("; something in it is no longer offered")
_WAITING = {
    REQUEST: tr("new request"),
    QUESTION: tr("asks something"),
    ANSWERED: tr("has accepted"),
    UNDELIVERED: tr("got no mail"),
    CANCELLING: tr("asks to cancel"),
    CANCELLED: tr("has cancelled"),
}


@dataclass(frozen=True, kw_only=True)
class Row:
    """One quote in a list, printed; ``next_words`` link to what is done about it, where known."""

    href: str
    faded: bool
    cells: tuple[str, ...]
    next_words: str = ""
    next_href: str = ""


def address_of(number: str) -> str:
    """A quote's own page at the counter."""
    return f"{DESK}/quotes/{number}"


def what_waits(entry: Entry, unsent: str, *, gone: bool) -> str:
    """What a customer waits for, in words.

    Parameters
    ----------
    entry : Entry
    unsent : str
        Why a mail to them was given up; empty when none was.
    gone : bool
        Whether their quote holds something that is no longer offered.
    """
    what = _WAITING.get(entry.waiting_for, entry.waiting_for)
    if unsent:
        what = tr("{what} (mail not sent: {unsent})", what=what, unsent=unsent)
    return what + (GONE if gone else "")


def how_long(since: datetime, at: datetime) -> str:
    """How long somebody has been waiting, in words; 0 where the clock was set back.

    >>> from datetime import timedelta
    >>> now = datetime(2026, 3, 2, 12)
    >>> [how_long(now - timedelta(minutes=m), now) for m in (-5, 5, 90, 3000)]
    ['just now', '5 minutes', '1 hour', '2 days']
    """
    minutes = int((at - since).total_seconds() // 60)
    if minutes < 1:
        return tr("just now")
    if minutes < 60:  # noqa: PLR2004
        return trn("{count} minute", "{count} minutes", minutes)
    if minutes < 1440:  # noqa: PLR2004  # of a day
        return trn("{count} hour", "{count} hours", minutes // 60)
    return trn("{count} day", "{count} days", minutes // 1440)
