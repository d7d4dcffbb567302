"""The situation a quote is in, read from the database for the one function that decides."""

from __future__ import annotations

from datetime import date

from sqlmodel import Session

from webapp.quote.lifecycle.permissions import failing
from webapp.quote.lifecycle.still_offered import unconfirmed
from webapp.quote.states import Situation
from webapp.quote.storage.current_version import accepted_of
from webapp.quote.storage.read import QuoteView, view_of
from webapp.quote.tables import Quote


def offered_view(session: Session, quote: Quote) -> QuoteView:
    """The version before the customer; the draft while there is none."""
    return view_of(session, quote, quote.sent_version or quote.current_version)


def situation_of(
    session: Session, quote: Quote, day: date, *, offered: QuoteView | None = None
) -> Situation:
    """Everything that decides what may happen to a quote on a day.

    Parameters
    ----------
    session : Session
    quote : Quote
    day : date
    offered : QuoteView, optional
        The version before the customer, where it was read already.

    Returns
    -------
    Situation
    """
    offered = offered or offered_view(session, quote)
    newer = quote.current_version != quote.sent_version
    same = offered.version == quote.current_version
    current = offered if same else view_of(session, quote)
    failed, gone = _stops(session, quote, current)
    failed_offered, gone_offered = (failed, gone) if same else _stops(session, quote, offered)
    return Situation(
        offered=offered.state_on(day),
        newer=newer,
        ordered=accepted_of(quote) is not None,
        over=current.content.valid_until < day,
        failed=failed,
        failed_offered=failed_offered,
        gone=gone,
        gone_offered=gone_offered,
        waiting=quote.waiting_since is not None,
        erased=quote.erased_at is not None,
        unapproved=quote.unapproved,
    )


def _stops(
    session: Session, quote: Quote, view: QuoteView
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What fails in a version, and what of it is no longer offered."""
    gone = unconfirmed(session, quote, view)
    return failing(session, view), tuple(each.words for each in gone)
