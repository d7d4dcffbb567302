"""Deletes a version that was never sent to the customer; the history keeps that it existed."""

from __future__ import annotations

from datetime import datetime

from sqlmodel import Session

from webapp.common.text.language import tr
from webapp.common.timestamps import day_of
from webapp.quote.lifecycle.action_checks import require
from webapp.quote.states import Event
from webapp.quote.storage.read import version_of, versions_of, view_of
from webapp.quote.storage.write import make_current, note_event
from webapp.quote.tables import Quote


def throw_away(
    session: Session, quote: Quote, *, who: str, at: datetime, form_hash: str | None = None
) -> None:
    """Delete the newest version, seen by the shop alone, and go back to the one before.

    Its number is never given again, and its total stays in the history.

    Parameters
    ----------
    session : Session
        A writing session.
    quote : Quote
        Locked.
    who : str
    at : datetime
    form_hash : str, optional

    Raises
    ------
    Conflict
        When the customer has it, or it is the only one.
    """
    require(session, quote, Event.THROW_AWAY, day=day_of(at))
    gone = view_of(session, quote)
    session.delete(version_of(session, quote, gone.version))
    session.flush()
    kept = view_of(session, quote, versions_of(session, quote)[-1])
    make_current(session, quote, kept.content, kept.customer, number=kept.version, who=who, at=at)
    build = gone.content.build
    note_event(
        session,
        quote,
        who=who,
        what=Event.THROW_AWAY,
        at=at,
        version=gone.version,
        form_hash=form_hash,
        text=tr(
            "{model}, {size}, {total}",
            model=build.model,
            size=build.size,
            total=gone.content.price.gross.printed,
        ),
    )
