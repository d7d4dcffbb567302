"""Reading orders: their row, their payments, their money."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlmodel import Session, col, select

from webapp.catalogue.lookup import row_id
from webapp.quote.freezing.content import QuoteContent
from webapp.quote.order.built_bike import BuiltBike, without_words
from webapp.quote.order.ledger import Ledger, ledger
from webapp.quote.order.tables import Payment, QuoteOrder
from webapp.quote.states import ORDERS, State
from webapp.quote.tables import Quote
from webapp.serials.register import frames_of_quote


def order_state(quote: Quote) -> State | None:
    """The state of the order; None while nothing is ordered."""
    return State(quote.state) if quote.state in ORDERS else None


def order_row(session: Session, quote: Quote) -> QuoteOrder:
    """The row of an order; a new one, not yet kept, where nothing was noted so far."""
    found = session.get(QuoteOrder, row_id(quote), populate_existing=True)
    return found or QuoteOrder(quote_id=row_id(quote))


def built_of(order: QuoteOrder) -> BuiltBike | None:
    """The bike as built; None where nothing was noted."""
    return BuiltBike.model_validate(order.built) if order.built else None


def whole_order(session: Session, quote: Quote) -> dict[str, Any]:
    """Everything kept of an order beside its history, as plain JSON values."""
    row = order_row(session, quote)
    return {
        "promised_on": row.promised_on.isoformat() if row.promised_on else None,
        "deposit_due_on": row.deposit_due_on.isoformat() if row.deposit_due_on else None,
        "kept_minor": row.kept_minor,
        "built": row.built,
        "serials": [frame.serial for frame in frames_of_quote(session, row_id(quote))],
        "payments": [
            {
                "paid_on": each.paid_on.isoformat(),
                "minor": each.minor,
                "currency": each.currency,
                "paid_by": each.paid_by,
                "who": each.who,
            }
            for each in payments_of(session, quote)
        ],
    }


def forget_words(session: Session, quote: Quote) -> None:
    """Delete free text about the bike as built from an order; its money and dates stay."""
    row = order_row(session, quote)
    if row.built:
        row.built = without_words(BuiltBike.model_validate(row.built)).model_dump(mode="json")
        session.add(row)


def payments_of(session: Session, quote: Quote) -> Sequence[Payment]:
    """What was paid for a quote, in the order in which it was noted."""
    query = select(Payment).where(Payment.quote_id == row_id(quote))
    return session.exec(query.order_by(col(Payment.id))).all()


def ledger_of(session: Session, quote: Quote, content: QuoteContent) -> Ledger:
    """The money of an order.

    Parameters
    ----------
    session : Session
    quote : Quote
    content : QuoteContent
        Of the version accepted.
    """
    cancelled = quote.state == State.CANCELLED
    kept = order_row(session, quote).kept_minor if cancelled else None
    paid = (each.minor for each in payments_of(session, quote))
    return ledger(content.price, paid, kept=kept)
