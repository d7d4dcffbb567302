"""What the desk shows: who waits, and what was found."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from urllib.parse import urlencode

from sqlmodel import Session

from webapp.accounts.people import Person
from webapp.common.text.dates import day_in_words
from webapp.common.text.language import tr, trn
from webapp.common.timestamps import day_of
from webapp.counter.orders.due_rows import due_rows
from webapp.mail.outbox import given_up_about
from webapp.quote.lifecycle.still_offered_list import not_offered
from webapp.quote.states import State
from webapp.quote.storage.search import Entry, find_quotes, inbox, read_wanted
from webapp.quote.storage.write import (
    ANSWERED,
    CANCELLED,
    CANCELLING,
    QUESTION,
    REQUEST,
    UNDELIVERED,
)

DESK = "/counter"
_WAITING = {
    REQUEST: tr("new request"),
    QUESTION: tr("asks something"),
    ANSWERED: tr("has accepted"),
    UNDELIVERED: tr("got no mail"),
    CANCELLING: tr("asks to cancel"),
    CANCELLED: tr("has cancelled"),
}
_OVER = {State.DECLINED, State.EXPIRED, State.WITHDRAWN, State.CANCELLED, State.CLOSED}


@dataclass(frozen=True, kw_only=True)
class Row:
    """One quote in a list, printed."""

    href: str
    faded: bool
    cells: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class DeskPage:
    """The desk."""

    person: Person
    query: str
    waiting: tuple[Row, ...]
    orders: tuple[Row, ...]
    found: tuple[Row, ...]
    words: str
    earlier: str
    later: str
    done: str

    @property
    def none_words(self) -> str:
        """What stands there when no quote is found."""
        if self.query:
            return tr("No quote is found by these words.")
        return tr("There are no quotes yet.")


def address_of(number: str) -> str:
    """A quote's own page at the counter."""
    return f"{DESK}/quotes/{number}"


def desk_page(
    session: Session,
    person: Person,
    *,
    query: str,
    before: int,
    after: int,
    at: datetime,
    done: str = "",
) -> DeskPage:
    """The desk, with one page of what was looked for.

    Parameters
    ----------
    session : Session
        A reading session.
    person : Person
        Who looks.
    query : str
        As typed.
    before, after : int
        Where the page begins or ends; 0 for the newest.
    at : datetime
    done : str
        What was just done, in a sentence.

    Returns
    -------
    DeskPage
    """
    today = day_of(at)
    found = find_quotes(session, read_wanted(query), today=today, before=before, after=after)
    waiting = inbox(session, today=today)
    unsent = given_up_about(session, [entry.number for entry in waiting])
    gone = not_offered(session, _looked_at((*waiting, *found.entries)))
    return DeskPage(
        person=person,
        query=query,
        waiting=tuple(
            _waiting_row(e, at, unsent.get(e.number, ""), gone=e.id in gone) for e in waiting
        ),
        orders=tuple(
            Row(href=address_of(number), faded=False, cells=cells)
            for number, cells in due_rows(session, today=today)
        ),
        found=tuple(_row(entry, gone=entry.id in gone) for entry in found.entries),
        words=_words(len(found.entries), query, found.earlier),
        earlier=_page(query, "after", found.earlier),
        later=_page(query, "before", found.later),
        done=done,
    )


def _looked_at(entries: Iterable[Entry]) -> set[tuple[int, int]]:
    """The versions whose parts matter: those that can still be ordered, or are."""
    return {
        (entry.id, entry.accepted or entry.sent or entry.version)
        for entry in entries
        if entry.state not in _OVER
    }


def _words(count: int, query: str, earlier: int) -> str:
    if not count:
        return tr("nothing")
    if query or earlier:
        return trn("{count} quote", "{count} quotes", count)
    return trn("newest {count} quote", "newest {count} quotes", count)


def _page(query: str, name: str, key: int) -> str:
    if not key:
        return ""
    pairs = {"q": query} if query else {}
    return f"{DESK}?{urlencode(pairs | {name: str(key)})}"


_GONE = tr("; something in it is no longer offered")


def _row(entry: Entry, *, gone: bool) -> Row:
    return Row(
        href=address_of(entry.number),
        faded=entry.state in _OVER,
        cells=(
            entry.number,
            entry.name or "erased",
            f"{entry.model}, {entry.size}",
            state_words(entry) + (_GONE if gone else ""),
            day_in_words(entry.day),
            entry.total,
        ),
    )


def state_words(entry: Entry) -> str:
    """The state in a list, with what is newer than the version it is the state of."""
    state = tr("open") if entry.state == State.SENT else entry.state
    if entry.accepted and entry.accepted != entry.version:
        state = tr("{state}, version {number}", state=state, number=entry.accepted)
    said = [state]
    if entry.accepted and entry.sent and entry.sent > entry.accepted:
        said.append(tr("version {number} offered as a change", number=entry.sent))
    if entry.sent and entry.sent != entry.version:
        said.append(tr("version {number} is a draft", number=entry.version))
    return "; ".join(said)


def _waiting_row(entry: Entry, at: datetime, unsent: str, *, gone: bool) -> Row:
    since = entry.waiting_since or at
    what = _WAITING.get(entry.waiting_for, entry.waiting_for)
    if unsent:
        what = tr("{what} (mail not sent: {unsent})", what=what, unsent=unsent)
    return Row(
        href=address_of(entry.number),
        faded=False,
        cells=(
            entry.number,
            what + (_GONE if gone else ""),
            entry.name,
            f"{entry.model}, {entry.size}",
            how_long(since, at),
            entry.total,
        ),
    )


def how_long(since: datetime, at: datetime) -> str:
    """How long somebody has been waiting, in words; a clock set back makes it none.

    >>> from datetime import timedelta
    >>> now = datetime(2026, 3, 2, 12)
    >>> [how_long(now - timedelta(minutes=m), now) for m in (-5, 5, 90, 3000)]
    ['just now', '5 minutes', '1 hour', '2 days']
    """
    minutes = int((at - since).total_seconds() // 60)
    if minutes < 1:
        return tr("just now")
    for size, word in ((1440, "day"), (60, "hour"), (1, "minute")):
        if minutes >= size:
            count = minutes // size
            return f"{count} {word}{'' if count == 1 else 's'}"
    return tr("just now")
