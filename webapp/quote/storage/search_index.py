"""The words a quote is found by, in the full-text index of the database itself.

The table ``quote_words`` is made by a migration in the database's own way: an
FTS5 table in SQLite, a ``tsvector`` with a GIN index in PostgreSQL. Words are cut
and folded here, the same way for what is kept and for what is looked for, so
that both databases find the same.
"""

from __future__ import annotations

import re
import unicodedata
from calendar import month_name

from sqlalchemy import text
from sqlmodel import Session, col, select

from webapp.quote.tables import Quote

LONGEST_WORD = 40
MOST_WORDS = 60
_AT_ONCE = 500

_REMOVE = text("DELETE FROM quote_words WHERE rowid = :number")
_PUT = {
    "sqlite": text("INSERT INTO quote_words (rowid, words) VALUES (:number, :words)"),
    "postgresql": text(
        "INSERT INTO quote_words (rowid, words) "
        "VALUES (:number, array_to_tsvector(string_to_array(:words, ' ')))"
    ),
}


def folded(given: str) -> list[str]:
    """Words of a text as they are compared: small, without accents, letters and figures only.

    >>> folded("Märl-Straße, ADA@marl.example")
    ['marl', 'strasse', 'ada', 'marl', 'example']
    """
    flat = unicodedata.normalize("NFKD", given.casefold())
    bare = "".join(c for c in flat if not unicodedata.combining(c)).casefold()
    return [word[:LONGEST_WORD] for word in re.findall(r"[^\W_]+", bare)]


def words_of(quote: Quote) -> list[str]:
    """Everything a quote is found by; each word once."""
    year, _, running = quote.number.partition("-")
    day = quote.created_at
    found = [f"{year}{running}", year, running, running.lstrip("0")]
    found += [f"d{day:%Y%m%d}", month_name[day.month].lower()]
    for given in (quote.customer_name, quote.customer_mail, quote.model, quote.size):
        found += folded(given)
    return list(dict.fromkeys(word for word in found if word))[:MOST_WORDS]


def put_words(session: Session, number: int, words: list[str]) -> None:
    """Set the words a quote is found by.

    Parameters
    ----------
    session : Session
        A writing session.
    number : int
        The quote's row.
    words : list of str
        As `words_of` makes them.
    """
    session.connection().execute(_REMOVE, {"number": number})
    put = _PUT[session.get_bind().dialect.name]
    session.connection().execute(put, {"number": number, "words": " ".join(words)})


def put_all_words(session: Session) -> None:
    """Set the words of every quote anew, a few quotes at a time.

    Parameters
    ----------
    session : Session
        A writing session.
    """
    session.connection().execute(text("DELETE FROM quote_words"))
    put = _PUT[session.get_bind().dialect.name]
    last = 0
    while quotes := session.exec(
        select(Quote).where(col(Quote.id) > last).order_by(col(Quote.id)).limit(_AT_ONCE)
    ).all():
        rows = [{"number": one.id, "words": " ".join(words_of(one))} for one in quotes]
        session.connection().execute(put, rows)
        last = int(quotes[-1].id or 0)
        session.expunge_all()
