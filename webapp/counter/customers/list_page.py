"""What the list of customers shows."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from sqlmodel import Session

from webapp.accounts.people import Person
from webapp.catalogue.lookup import row_id
from webapp.common.text.dates import day_in_words
from webapp.common.text.language import tr, trn
from webapp.common.timestamps import day_of
from webapp.counter.lists import Row
from webapp.customers.finding import find_customers
from webapp.quote.storage.people import quote_counts

CUSTOMERS = "/counter/customers"


@dataclass(frozen=True, kw_only=True)
class CustomersPage:
    """The list of customers."""

    person: Person
    query: str
    found: tuple[Row, ...]
    empty: str
    words: str
    earlier: str
    later: str
    done: str


def address_of_customer(number: int) -> str:
    """A customer's own page at the counter."""
    return f"{CUSTOMERS}/{number}"


def customers_page(
    session: Session, person: Person, *, query: str, before: int, after: int, done: str = ""
) -> CustomersPage:
    """One page of the customers looked for.

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
    done : str
        What was just done, in a sentence.
    """
    found = find_customers(session, query, before=before, after=after)
    counts = quote_counts(session, found.rows)
    count = len(found.rows)
    return CustomersPage(
        person=person,
        query=query,
        found=tuple(
            Row(
                href=address_of_customer(row_id(row)),
                faded=False,
                cells=(
                    row.name,
                    row.company,
                    row.mail,
                    row.phone,
                    str(counts.get(row_id(row), 0)),
                    day_in_words(day_of(row.created_at)),
                ),
            )
            for row in found.rows
        ),
        empty=tr("No customer matches these words.")
        if query
        else tr("There are no customers yet."),
        words=trn("{count} customer", "{count} customers", count) if count else tr("nobody"),
        earlier=_page(query, "after", found.earlier),
        later=_page(query, "before", found.later),
        done=done,
    )


def _page(query: str, name: str, key: int) -> str:
    if not key:
        return ""
    pairs = {"q": query} if query else {}
    return f"{CUSTOMERS}?{urlencode(pairs | {name: str(key)})}"
