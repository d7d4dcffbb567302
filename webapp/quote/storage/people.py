"""Customers and their quotes: finding them, and joining two entries with their histories."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

from sqlalchemy import func
from sqlmodel import Session, col, select

from webapp.catalogue.lookup import row_id
from webapp.catalogue.reading.prices import EVERYBODY, Buyer, buyer_of
from webapp.common.errors import Conflict
from webapp.common.text.language import tr
from webapp.customers import store
from webapp.customers.tables import CustomerRow
from webapp.quote.storage.search_index import put_words
from webapp.quote.tables import Quote


def quotes_of_customer(session: Session, row: CustomerRow) -> Sequence[Quote]:
    """Every quote of a customer, newest first."""
    query = select(Quote).where(Quote.customer_id == row_id(row))
    return session.exec(query.order_by(col(Quote.id).desc())).all()


def quote_counts(session: Session, rows: Sequence[CustomerRow]) -> Mapping[int, int]:
    """How many quotes each of these customers has."""
    ids = [row_id(row) for row in rows]
    counted = (
        select(Quote.customer_id, func.count())
        .where(col(Quote.customer_id).in_(ids))
        .group_by(col(Quote.customer_id))
    )
    return {number: count for number, count in session.exec(counted).all() if number is not None}


def buyer_of_quote(session: Session, quote: Quote) -> Buyer:
    """The buyer whose prices apply to a quote: by its customer's group and country."""
    if quote.customer_id is None:
        return EVERYBODY
    row = store.customer_row(session, quote.customer_id)
    return buyer_of(session, group=row.price_group, country=row.country)


def change_customer(
    session: Session, row: CustomerRow, said: Mapping[str, str], *, who: str, at: datetime
) -> None:
    """Put other values into an entry; its quotes are found by them, and say what they said."""
    if store.change(session, row, said, who=who, at=at):
        _find_anew(session, row)


def join_customers(
    session: Session, kept: CustomerRow, gone: CustomerRow, *, who: str, at: datetime
) -> None:
    """Make one customer of two: quotes, consents and history of both belong to the one kept.

    Raises
    ------
    Conflict
        For an entry with itself.
    """
    if kept.id == gone.id:
        raise Conflict("customer", row_id(kept), tr("two different entries"))
    for quote in quotes_of_customer(session, gone):
        quote.customer_id = row_id(kept)
        session.add(quote)
    session.flush()
    store.join(session, kept, gone, who=who, at=at)
    _find_anew(session, kept)


def _find_anew(session: Session, row: CustomerRow) -> None:
    for quote in quotes_of_customer(session, row):
        put_words(session, quote)
