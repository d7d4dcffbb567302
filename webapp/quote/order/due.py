"""What is due: bikes that are late or promised for this week, and open deposits.

One function says it of one order, one finds all of them for a list.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from sqlmodel import Session, col, select

from webapp.quote.order.tables import QuoteOrder
from webapp.quote.states import TO_BUILD, State
from webapp.quote.tables import Quote

WEEK = timedelta(days=7)
MOST = 200


class Due(StrEnum):
    """A reason why an order needs attention."""

    LATE = "late"
    DEPOSIT_LATE = "deposit overdue"
    DEPOSIT_OPEN = "deposit open"
    THIS_WEEK = "due this week"


@dataclass(frozen=True, kw_only=True)
class DueOrder:
    """One order of a list, with all that is due of it."""

    quote_id: int
    number: str
    customer: str
    build: str
    state: State
    promised_on: date | None
    deposit_due_on: date | None
    due: tuple[Due, ...]


def due_of(
    state: str, *, promised_on: date | None, deposit_due_on: date | None, today: date
) -> tuple[Due, ...]:
    """What is due of one order, the most pressing first; empty when nothing is.

    Parameters
    ----------
    state : str
        Of its quote.
    promised_on : date, optional
        For when the bike is promised. One that is ready in time is not late.
    deposit_due_on : date, optional
        By when the deposit was asked for.
    today : date

    Examples
    --------
    >>> monday = date(2026, 3, 2)
    >>> [str(each) for each in due_of("in build", promised_on=date(2026, 3, 1),
    ...                               deposit_due_on=None, today=monday)]
    ['late']
    >>> [str(each) for each in due_of("deposit asked", promised_on=date(2026, 3, 8),
    ...                               deposit_due_on=date(2026, 3, 1), today=monday)]
    ['deposit overdue', 'due this week']
    """
    said = []
    if promised_on and state in TO_BUILD and promised_on < today:
        said.append(Due.LATE)
    if state == State.DEPOSIT_ASKED:
        overdue = deposit_due_on is not None and deposit_due_on < today
        said.append(Due.DEPOSIT_LATE if overdue else Due.DEPOSIT_OPEN)
    if promised_on and state in TO_BUILD and today <= promised_on < today + WEEK:
        said.append(Due.THIS_WEEK)
    return tuple(said)


def orders_due(session: Session, *, today: date, most: int = MOST) -> tuple[DueOrder, ...]:
    """Orders of which something is due, late ones first, then by the day promised.

    Parameters
    ----------
    session : Session
        A reading session.
    today : date
    most : int
        No more than these.

    Returns
    -------
    tuple of DueOrder
    """
    asked = (col(Quote.state) == State.DEPOSIT_ASKED) | (
        col(Quote.state).in_(TO_BUILD) & (col(QuoteOrder.promised_on) < today + WEEK)
    )
    rows = session.exec(
        select(Quote, QuoteOrder)
        .join(QuoteOrder, col(QuoteOrder.quote_id) == col(Quote.id))
        .where(asked)
        .order_by(col(QuoteOrder.promised_on).is_(None), col(QuoteOrder.promised_on), col(Quote.id))
        .limit(most)
    ).all()
    found = [_due_order(quote, order, today) for quote, order in rows]
    return tuple(sorted(found, key=lambda each: Due.LATE not in each.due))


def _due_order(quote: Quote, order: QuoteOrder, today: date) -> DueOrder:
    return DueOrder(
        quote_id=order.quote_id,
        number=quote.number,
        customer=quote.customer_name,
        build=f"{quote.model}, {quote.size}",
        state=State(quote.state),
        promised_on=order.promised_on,
        deposit_due_on=order.deposit_due_on,
        due=due_of(
            quote.state,
            promised_on=order.promised_on,
            deposit_due_on=order.deposit_due_on,
            today=today,
        ),
    )
