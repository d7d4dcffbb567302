"""Refuses an action on a quote: it was done already, the quote changed, or it is not allowed."""

from __future__ import annotations

from datetime import date

from sqlmodel import Session, select

from webapp.common.errors import Conflict
from webapp.common.text.language import tr
from webapp.quote.lifecycle.refusals import error_of
from webapp.quote.lifecycle.situation import situation_of
from webapp.quote.states import Event, Situation, may_happen
from webapp.quote.tables import Quote, QuoteEvent


class Stale(Conflict):
    """Somebody else has changed the quote since the form was shown."""


def done_before(session: Session, form_hash: str | None) -> bool:
    """Whether this very form has been sent and done already."""
    if form_hash is None:
        return False
    return (
        session.exec(select(QuoteEvent.id).where(QuoteEvent.form_hash == form_hash)).first()
        is not None
    )


def check_seen(quote: Quote, *, version: int, state: str) -> None:
    """Refuse a form that was shown before somebody else changed the quote.

    Raises
    ------
    Stale
    """
    if quote.current_version != version or quote.state != state:
        words = tr(
            "version {current_version}, {state}",
            current_version=quote.current_version,
            state=quote.state,
        )
        raise Stale("quote", words, tr("look at it as it is now, then decide again"))


def require(session: Session, quote: Quote, event: Event, *, day: date) -> Situation:
    """The situation of a quote in which an event may happen.

    Parameters
    ----------
    session : Session
    quote : Quote
        Locked, where the event is done then.
    event : Event
    day : date

    Raises
    ------
    Forbidden
        For a build with a failed check: it stays a draft, with the failure on it.
    Conflict
        For any other reason.
    """
    at = situation_of(session, quote, day)
    refused = may_happen(at)[event]
    if refused is not None:
        raise error_of(event, refused)
    return at
