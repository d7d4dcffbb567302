"""Prevents doing the same step twice from two windows."""

from __future__ import annotations

from collections.abc import Iterable

from sqlmodel import Session, col, select

from webapp.catalogue.lookup import row_id
from webapp.common.errors import Conflict
from webapp.common.text.language import tr
from webapp.quote.states import Event
from webapp.quote.tables import Quote, QuoteEvent


def events_of(session: Session, quote: Quote) -> tuple[QuoteEvent, ...]:
    """Everything that happened to a quote, newest first."""
    query = select(QuoteEvent).where(QuoteEvent.quote_id == row_id(quote))
    return tuple(session.exec(query.order_by(col(QuoteEvent.id).desc())).all())


def sendings_in(events: Iterable[QuoteEvent]) -> int:
    """How often the quote was sent."""
    return sum(event.what == Event.SEND for event in events)


def refuse_sent_meanwhile(session: Session, quote: Quote, *, seen: int) -> None:
    """Refuse to send what was sent in another window since this one was opened.

    Raises
    ------
    Conflict
    """
    if sendings_in(events_of(session, quote)) != seen:
        words = tr(
            "version {sent_version}, sent meanwhile from another window",
            sent_version=quote.sent_version,
        )
        raise Conflict(
            "quote", words, tr("look at it as it is now; nothing was sent a second time")
        )


def refuse_repeated(session: Session, quote: Quote, words: str) -> None:
    """Refuse the same answer twice in a row: it comes from two windows.

    Raises
    ------
    Conflict
    """
    last = next(iter(events_of(session, quote)), None)
    if last is not None and last.what == Event.ANSWER and last.detail.get("text") == words:
        remedy = tr("another text; this very answer was given already, from another window")
        raise Conflict("text", words[:200], remedy)
