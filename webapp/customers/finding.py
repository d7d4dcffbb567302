"""Finding customers: every word must occur somewhere in the entry; pages by key."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlmodel import Session, col, select

from webapp.common.folding import folded
from webapp.customers.phone import FEWEST_DIGITS, dialled, phone_digits
from webapp.customers.tables import CustomerRow

PAGE = 50
LONGEST_QUERY = 200
MOST_WORDS = 8


@dataclass(frozen=True, kw_only=True)
class Found:
    """One page of customers, newest entry first; keys of the pages beside it, 0 for none."""

    rows: tuple[CustomerRow, ...]
    earlier: int
    later: int


def wanted_words(query: str) -> tuple[str, ...]:
    """What is looked for: a telephone number however it is written, or words.

    >>> wanted_words("Søren  KOLD"), wanted_words("+47 (22) 33-44")
    (('soren', 'kold'), ('47223344',))
    """
    typed = query[:LONGEST_QUERY]
    number = phone_digits(typed)
    if dialled(typed) and len(number) >= FEWEST_DIGITS:
        return (number.lstrip("0"),)  # with a country's code the first 0 is left out
    return tuple(dict.fromkeys(folded(typed)))[:MOST_WORDS]


def find_customers(session: Session, query: str, *, before: int = 0, after: int = 0) -> Found:
    """One page of customers whose entries hold all that is looked for.

    Parameters
    ----------
    session : Session
        A reading session.
    query : str
        As typed; nothing finds everybody.
    before, after : int
        Key of the last entry of the page before, or of the first of the page after.
    """
    key = col(CustomerRow.id)
    found = select(CustomerRow)
    for word in wanted_words(query):
        found = found.where(col(CustomerRow.found_by).contains(word))
    found = found.where(key < before) if before else found
    found = found.where(key > after) if after else found
    ordered = found.order_by(key.asc() if after else key.desc()).limit(PAGE + 1)
    rows: Sequence[CustomerRow] = session.exec(ordered).all()
    more, rows = len(rows) > PAGE, rows[:PAGE]
    if after:
        rows = rows[::-1]
    first, last = (rows[0].id or 0, rows[-1].id or 0) if rows else (0, 0)
    return Found(
        rows=tuple(rows),
        earlier=first if (before or (after and more)) else 0,
        later=last if (after or more) else 0,
    )
