"""What the desk shows: the inbox, and the quotes found."""

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
from webapp.counter.inbox.groups import Group, inbox_groups, read_waiting
from webapp.counter.lists import DESK, GONE, Row, address_of
from webapp.quote.lifecycle.still_offered_list import not_offered
from webapp.quote.states import State
from webapp.quote.storage.search import Entry, find_quotes, read_wanted

_OVER = {State.DECLINED, State.EXPIRED, State.WITHDRAWN, State.CANCELLED, State.CLOSED}


@dataclass(frozen=True, kw_only=True)
class DeskPage:
    """The desk."""

    person: Person
    query: str
    inbox: tuple[Group, ...]
    found: tuple[Row, ...]
    words: str
    earlier: str
    later: str
    done: str

    @property
    def none_words(self) -> str:
        """What is shown when no quote is found."""
        if self.query:
            return tr("No quote matches these words.")
        return tr("There are no quotes yet.")


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
    waiting = None if query else read_waiting(session, today=today)
    asked = waiting.asked if waiting else ()
    gone = not_offered(session, _versions_that_count((*asked, *found.entries)))
    return DeskPage(
        person=person,
        query=query,
        inbox=inbox_groups(waiting, at=at, gone=gone) if waiting else (),
        found=tuple(_row(entry, gone=entry.id in gone) for entry in found.entries),
        words=_words(len(found.entries), query, found.earlier),
        earlier=_page(query, "after", found.earlier),
        later=_page(query, "before", found.later),
        done=done,
    )


def _versions_that_count(entries: Iterable[Entry]) -> set[tuple[int, int]]:
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


def _row(entry: Entry, *, gone: bool) -> Row:
    return Row(
        href=address_of(entry.number),
        faded=entry.state in _OVER,
        cells=(
            entry.number,
            entry.name or "erased",
            f"{entry.model}, {entry.size}",
            state_words(entry) + (GONE if gone else ""),
            day_in_words(entry.day),
            entry.total,
        ),
    )


def state_words(entry: Entry) -> str:
    """The state in a list, and whether a newer version exists."""
    state = tr("open") if entry.state == State.SENT else entry.state
    if entry.accepted and entry.accepted != entry.version:
        state = tr("{state}, version {number}", state=state, number=entry.accepted)
    said = [state]
    if entry.accepted and entry.sent and entry.sent > entry.accepted:
        said.append(tr("version {number} offered as a change", number=entry.sent))
    if entry.sent and entry.sent != entry.version:
        said.append(tr("version {number} is a draft", number=entry.version))
    return "; ".join(said)
