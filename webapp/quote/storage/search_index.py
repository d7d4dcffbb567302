"""The words a quote is found by, in the full-text index of the database itself.

The table ``quote_words`` is made by a migration in the database's own way: an
FTS5 table in SQLite, a ``tsvector`` with a GIN index in PostgreSQL. Words are cut
and folded here, the same way for what is kept and for what is looked for, so
that both databases find the same. Both find a word from its beginning; so what is to
be found from within, a name or a number dialled, is kept with its ends as well.

`EDITION` names what is kept: whoever has a quote found by something more raises it,
and the words of all quotes are set anew when the service starts next.
"""

from __future__ import annotations

from calendar import month_name
from collections.abc import Iterator

from sqlalchemy import Engine, text
from sqlmodel import Session, col, select

from webapp.catalogue.lookup import row_id
from webapp.common.folding import folded
from webapp.common.storage.database import writing
from webapp.customers.tables import CustomerRow
from webapp.quote.storage.current_version import standing_version
from webapp.quote.tables import Quote, QuoteEvent, QuoteVersion
from webapp.serials.register import frames_of_quote

EDITION = "edition3"
MOST_WORDS = 240
SHORTEST_END = 3
_AT_ONCE = 500
_ABOUT_THE_INDEX = 0  # the row that holds its edition; quotes are counted from 1
_SHORTEST_OF_PARTS = 3  # mm, of, in: words of part names without meaning

_REMOVE = text("DELETE FROM quote_words WHERE rowid = :number")
_EDITION_KEPT = text("SELECT words FROM quote_words WHERE rowid = :number")
_PUT = {
    "sqlite": text("INSERT INTO quote_words (rowid, words) VALUES (:number, :words)"),
    "postgresql": text(
        "INSERT INTO quote_words (rowid, words) "
        "VALUES (:number, array_to_tsvector(string_to_array(:words, ' ')))"
    ),
}


def with_ends(words: list[str]) -> list[str]:
    """Words and their endings, so that they are found by parts within them too.

    >>> with_ends(["holm", "bo"])
    ['holm', 'bo', 'olm']
    """
    ends = (word[start:] for word in words for start in range(1, len(word) - SHORTEST_END + 1))
    return [*words, *ends]


def words_of(session: Session, quote: Quote) -> list[str]:
    """Everything a quote is found by; each word once, names first."""
    year, _, running = quote.number.partition("-")
    day = quote.created_at
    found = [f"{year}{running}", year, running, running.lstrip("0")]
    found += [f"d{day:%Y%m%d}", month_name[day.month].lower()]
    for given in (quote.customer_mail, quote.model, quote.size):
        found += folded(given)
    found += with_ends(folded(quote.customer_name))
    found += _words_of_entry(session, quote)
    for frame in frames_of_quote(session, row_id(quote)):
        found += with_ends(folded(frame.serial))
    found += [word for name in _of_the_shop(session, quote) for word in folded(name)]
    found += _words_of_parts(session, quote)
    return list(dict.fromkeys(word for word in found if word))[:MOST_WORDS]


def _words_of_entry(session: Session, quote: Quote) -> list[str]:
    """Words of the customer's entry: company and telephone number."""
    entry = session.get(CustomerRow, quote.customer_id) if quote.customer_id else None
    if entry is None:
        return []
    return with_ends([*folded(entry.company), *folded(entry.phone_digits)])


def _of_the_shop(session: Session, quote: Quote) -> Iterator[str]:
    """Names of staff who have done something to a quote."""
    of_quote = col(QuoteEvent.quote_id) == row_id(quote)
    yield from session.exec(select(QuoteEvent.who).where(of_quote).distinct())


def _words_of_parts(session: Session, quote: Quote) -> list[str]:
    """Words of the build list of the version that counts: parts, finish, work."""
    version = session.exec(
        select(QuoteVersion).where(
            QuoteVersion.quote_id == row_id(quote), QuoteVersion.number == standing_version(quote)
        )
    ).first()
    lines = version.content["price"]["lines"] if version else ()
    words = (word for line in lines for word in folded(line["item"]))
    return [word for word in words if word.isdigit() or len(word) >= _SHORTEST_OF_PARTS]


def put_words(session: Session, quote: Quote) -> None:
    """Set the words a quote is found by, from what it is now.

    Parameters
    ----------
    session : Session
        A writing session.
    quote : Quote
    """
    number = row_id(quote)
    session.connection().execute(_REMOVE, {"number": number})
    put = _PUT[session.get_bind().dialect.name]
    words = " ".join(words_of(session, quote))
    session.connection().execute(put, {"number": number, "words": words})


def leave_no_trace(session: Session) -> None:
    """Remove replaced words from the index: SQLite keeps them until it is merged.

    Parameters
    ----------
    session : Session
        A writing session.
    """
    if session.get_bind().dialect.name == "sqlite":
        merge = text("INSERT INTO quote_words (quote_words) VALUES ('optimize')")
        session.connection().execute(merge)


def put_all_words(session: Session) -> None:
    """Set the words of every quote anew, a few quotes at a time.

    Parameters
    ----------
    session : Session
        A writing session.
    """
    session.connection().execute(text("DELETE FROM quote_words"))
    put = _PUT[session.get_bind().dialect.name]
    session.connection().execute(put, {"number": _ABOUT_THE_INDEX, "words": EDITION})
    last = 0
    while quotes := session.exec(
        select(Quote).where(col(Quote.id) > last).order_by(col(Quote.id)).limit(_AT_ONCE)
    ).all():
        rows = [{"number": one.id, "words": " ".join(words_of(session, one))} for one in quotes]
        session.connection().execute(put, rows)
        last = int(quotes[-1].id or 0)
        session.expunge_all()


def renew_words(engine: Engine) -> None:
    """Set the words of all quotes anew, where they are of another edition than this program's."""
    with writing(engine) as session:
        about = {"number": _ABOUT_THE_INDEX}
        kept = session.connection().execute(_EDITION_KEPT, about).scalar()
        if EDITION not in str(kept):
            put_all_words(session)
