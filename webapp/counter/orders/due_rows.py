"""Orders of which something is due, as rows of the desk."""

from __future__ import annotations

from datetime import date

from sqlmodel import Session

from webapp.common.text.dates import day_in_words
from webapp.counter.orders.section import DUE_WORDS, STATE_WORDS
from webapp.quote.order.due import orders_due

Cells = tuple[str, ...]


def due_rows(session: Session, *, today: date) -> tuple[tuple[str, Cells], ...]:
    """Number and cells of every order that is due: number, what, customer, build, promised, state.

    Parameters
    ----------
    session : Session
        A reading session.
    today : date
    """
    return tuple(
        (
            each.number,
            (
                each.number,
                ", ".join(DUE_WORDS[due] for due in each.due),
                each.customer,
                each.build,
                day_in_words(each.promised_on) if each.promised_on else "",
                STATE_WORDS[each.state].rstrip("."),
            ),
        )
        for each in orders_due(session, today=today)
    )
