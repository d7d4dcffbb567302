"""Reminding a customer of a quote that ends soon, or of a deposit that is open."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from sqlmodel import Session, col, func, select

from webapp.common.errors import Invalid
from webapp.common.text.language import tr
from webapp.common.timestamps import day_of, utc
from webapp.customers.typed import several_lines
from webapp.quote.lifecycle.action_checks import require
from webapp.quote.lifecycle.transitions import LONGEST_TEXT
from webapp.quote.states import Event
from webapp.quote.storage.write import note_event
from webapp.quote.tables import Quote, QuoteEvent


def remind(
    session: Session,
    quote: Quote,
    *,
    text: str,
    who: str,
    at: datetime,
    form_hash: str | None = None,
) -> str:
    """Note that somebody reminds the customer, with the text of the letter.

    Parameters
    ----------
    session : Session
        A writing session.
    quote : Quote
        Locked.
    text : str
        The whole letter.
    who : str
    at : datetime
    form_hash : str, optional

    Returns
    -------
    str
        The letter as kept.

    Raises
    ------
    Invalid
        For no text, or too long a one.
    Conflict
        When the customer has nothing to do.
    """
    require(session, quote, Event.REMIND, day=day_of(at))
    words = several_lines(text)
    if not 0 < len(words) <= LONGEST_TEXT:
        remedy = tr("a text of 1 to {longest_text} characters", longest_text=LONGEST_TEXT)
        raise Invalid("text", words[:LONGEST_TEXT], remedy)
    note_event(
        session,
        quote,
        who=who,
        what=Event.REMIND,
        at=at,
        version=quote.sent_version,
        form_hash=form_hash,
        text=words,
    )
    return words


def last_reminders(session: Session, quotes: Iterable[int]) -> dict[int, datetime]:
    """When customers were reminded last, by the rows of their quotes; never reminded, left out.

    Parameters
    ----------
    session : Session
        A reading session.
    quotes : iterable of int
    """
    newest = (
        select(col(QuoteEvent.quote_id), func.max(col(QuoteEvent.at)))
        .where(col(QuoteEvent.quote_id).in_(list(quotes)), col(QuoteEvent.what) == Event.REMIND)
        .group_by(col(QuoteEvent.quote_id))
    )
    return {quote: utc(moment) for quote, moment in session.exec(newest).all()}
