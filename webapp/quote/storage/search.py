"""Finding quotes: one field, words that combine, pages by key; the inbox.

Every word must match. Mail addresses, numbers, models, sizes, parts, finishes and names of
the shop's people are found from their beginning, a customer's name from within as well;
``sent``, ``expired`` and the like are states; a day (``2026-11-25``, ``25.11.2026``) or a
month (``2026-11``) is when the quote was made; figures with spaces, strokes or a plus
between them are one telephone number.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby
from typing import Any

from sqlalchemy import ColumnElement, and_, column, or_, select, table, text
from sqlalchemy import Select as SqlSelect
from sqlmodel import Session, col

from webapp.common.folding import folded
from webapp.common.text.money import Money
from webapp.common.timestamps import day_of, utc
from webapp.customers.phone import phone_digits
from webapp.quote.states import QUOTE_STATES, State, on_day
from webapp.quote.storage.current_version import accepted_of
from webapp.quote.storage.write import REQUEST
from webapp.quote.tables import Quote

PAGE = 50
_STATES = {str(state): str(state) for state in QUOTE_STATES} | {"open": str(State.SENT)}
"""Words for states: what the customer has and has not answered is *open* to whoever reads."""
LONGEST_QUERY = 200
MOST_WORDS = 8

_DAY = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})")
_DAY_FIRST = re.compile(r"([0-9]{1,2})[./]([0-9]{1,2})[./]([0-9]{4})")
_MONTH = re.compile(r"([0-9]{4})-(0[1-9]|1[0-2])")
_NUMBER = re.compile(r"([0-9]{4})-([0-9]{3,})")
_PIECE_DIALLED = re.compile(r"[0-9+()/.-]*[0-9][0-9+()/.-]*")
_SHORTEST_DIALLED = 6

_words = table("quote_words", column("rowid"), column("words"))


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """What is looked for: beginnings of words, and states."""

    words: tuple[str, ...] = ()
    states: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Entry:
    """One quote in a list; model, size and total are of the version that stands."""

    id: int
    number: str
    name: str
    mail: str
    model: str
    size: str
    state: str
    version: int
    sent: int | None
    accepted: int | None
    total: str
    day: date
    valid_until: date | None
    waiting_for: str
    waiting_since: datetime | None


@dataclass(frozen=True, kw_only=True)
class Found:
    """One page of what was found, newest first; keys of the pages beside it, 0 for none."""

    entries: tuple[Entry, ...]
    earlier: int
    later: int


def read_wanted(query: str) -> Wanted:
    """Read what somebody typed into the search field.

    Parameters
    ----------
    query : str
        As typed, whatever it holds.

    Returns
    -------
    Wanted

    Examples
    --------
    >>> read_wanted("Märl knapweed sent 25.11.2026")
    Wanted(words=('marl', 'knapweed', 'd20261125'), states=('sent',))
    >>> read_wanted("2026-0017")
    Wanted(words=('20260017',), states=())
    >>> read_wanted("(0177) 23/45-6 knapweed 29 140")
    Wanted(words=('17723456', 'knapweed', '29', '140'), states=())
    """
    words: list[str] = []
    states: list[str] = []
    for part in _pieces(query[:LONGEST_QUERY].split()[:MOST_WORDS]):
        if part.lower() in _STATES:
            states.append(_STATES[part.lower()])
        else:
            words += _words_in(part)
    return Wanted(words=tuple(dict.fromkeys(words[:MOST_WORDS])), states=tuple(states))


def _pieces(parts: list[str]) -> list[str]:
    """What was typed between spaces, a telephone number in one piece."""
    found: list[str] = []
    for is_number, group in groupby(parts, key=_dialled_perhaps):
        pieces = list(group)
        figures = phone_digits("".join(pieces)).lstrip("0")  # 0 leads out of town or abroad
        whole = is_number and len(figures) >= _SHORTEST_DIALLED
        found += [figures] if whole else pieces
    return found


def _dialled_perhaps(part: str) -> bool:
    known = (_DAY, _DAY_FIRST, _MONTH, _NUMBER)
    return bool(_PIECE_DIALLED.fullmatch(part)) and not any(k.fullmatch(part) for k in known)


def _words_in(part: str) -> list[str]:
    if found := _DAY.fullmatch(part):
        return [f"d{found[1]}{found[2]}{found[3]}"]
    if found := _DAY_FIRST.fullmatch(part):
        return [f"d{found[3]}{found[2]:>02}{found[1]:>02}"]
    if found := _MONTH.fullmatch(part):
        return [f"d{found[1]}{found[2]}"]
    if found := _NUMBER.fullmatch(part):
        return [f"{found[1]}{found[2]}"]
    return folded(part)


def find_quotes(
    session: Session, wanted: Wanted, *, today: date, before: int = 0, after: int = 0
) -> Found:
    """One page of quotes, newest first.

    Parameters
    ----------
    session : Session
        A reading session.
    wanted : Wanted
        Nothing in it: all quotes.
    today : date
        Decides which are expired.
    before, after : int
        Key of the last entry of the page before, or of the first of the page
        after; 0 for the newest page.

    Returns
    -------
    Found
    """
    number = _words.c.rowid if wanted.words else col(Quote.id)
    query = _matching(session, wanted, today)
    query = query.where(number < before) if before else query
    query = query.where(number > after) if after else query
    ordered = query.order_by(number.asc() if after else number.desc()).limit(PAGE + 1)
    rows = list(session.execute(ordered).scalars())
    more, rows = len(rows) > PAGE, rows[:PAGE]
    if after:
        rows.reverse()
    entries = tuple(_entry(row, today) for row in rows)
    first, last = (entries[0].id, entries[-1].id) if entries else (0, 0)
    return Found(
        entries=entries,
        earlier=first if (before or (after and more)) else 0,
        later=last if (after or more) else 0,
    )


def _matching(session: Session, wanted: Wanted, today: date) -> SqlSelect[Any]:
    query: SqlSelect[Any] = select(Quote)
    if wanted.words:
        # The index leads: it hands out rows by key, and a page needs only the first few.
        joined = _words.join(Quote, col(Quote.id) == _words.c.rowid)
        query = select(Quote).select_from(joined).where(_match(session, wanted.words))
    states = [_is(state, today) for state in wanted.states]
    return query.where(or_(*states)) if states else query


def _match(session: Session, words: tuple[str, ...]) -> ColumnElement[bool]:
    """The condition in the database's own language; words hold letters and figures only."""
    if session.get_bind().dialect.name == "sqlite":
        beginnings = " ".join(f'"{word}"*' for word in words)
        return text("quote_words MATCH :beginnings").bindparams(beginnings=beginnings)  # type: ignore[return-value]
    beginnings = " & ".join(f"'{word}':*" for word in words)
    condition = text("quote_words.words @@ to_tsquery('simple', :beginnings)")
    return condition.bindparams(beginnings=beginnings)  # type: ignore[return-value]


def _is(state: str, today: date) -> ColumnElement[bool]:
    late = col(Quote.valid_until) < today
    if state == State.EXPIRED:
        return and_(col(Quote.state) == State.SENT, late)
    if state == State.SENT:
        return and_(col(Quote.state) == State.SENT, or_(~late, col(Quote.valid_until).is_(None)))
    return col(Quote.state) == state


def inbox(session: Session, *, today: date, most: int = PAGE) -> tuple[Entry, ...]:
    """Quotes whose customers wait for the shop: new requests first, then who waits longest."""
    query = (
        select(Quote)
        .where(col(Quote.waiting_since).is_not(None))
        .order_by(
            (col(Quote.waiting_for) != REQUEST).asc(), col(Quote.waiting_since), col(Quote.id)
        )
        .limit(most)
    )
    return tuple(_entry(row, today) for row in session.execute(query).scalars())


def expiring(session: Session, *, today: date, until: date, most: int = PAGE) -> tuple[Entry, ...]:
    """Quotes the customer has not answered whose last day comes soon, the first to end first.

    Parameters
    ----------
    session : Session
        A reading session.
    today, until : date
        The days between which the last day lies, both counted.
    most : int
        No more than these.
    """
    query = (
        select(Quote)
        .where(col(Quote.state) == State.SENT, col(Quote.valid_until).between(today, until))
        .where(col(Quote.erased_at).is_(None), col(Quote.unapproved).is_(False))
        .order_by(col(Quote.valid_until), col(Quote.id))
        .limit(most)
    )
    return tuple(_entry(row, today) for row in session.execute(query).scalars())


def _entry(row: Quote, today: date) -> Entry:
    return Entry(
        id=row.id or 0,
        number=row.number,
        name=row.customer_name,
        mail=row.customer_mail,
        model=row.model,
        size=row.size,
        state=on_day(row.state, row.valid_until, today),
        version=row.current_version,
        sent=row.sent_version,
        accepted=accepted_of(row),
        total=Money(row.gross_minor, row.currency).format() if row.currency else "",
        day=day_of(row.created_at),
        valid_until=row.valid_until,
        waiting_for=row.waiting_for,
        waiting_since=utc(row.waiting_since) if row.waiting_since else None,
    )
