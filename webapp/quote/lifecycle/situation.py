"""Reads the `Situation` of a quote from the database, for the one function that decides."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Any

from sqlmodel import Session

from webapp.catalogue.lookup import row_id
from webapp.quote.lifecycle.permissions import failing
from webapp.quote.lifecycle.still_offered import unconfirmed
from webapp.quote.order.built_bike import missing_of
from webapp.quote.order.read import built_of, ledger_of, order_row, order_state
from webapp.quote.states import Situation
from webapp.quote.storage.current_version import accepted_of
from webapp.quote.storage.read import QuoteView, versions_of, view_of
from webapp.quote.tables import Quote
from webapp.serials.register import frames_of_quote


def offered_view(session: Session, quote: Quote) -> QuoteView:
    """The version the customer has; the draft while there is none."""
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
        The version the customer has, where it was read already.

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
    situation = Situation(
        offered=offered.state_on(day),
        newer=newer,
        over=current.content.valid_until < day,
        failed=failed,
        failed_offered=failed_offered,
        gone=gone,
        gone_offered=gone_offered,
        waiting=quote.waiting_since is not None,
        erased=quote.erased_at is not None,
        unapproved=quote.unapproved,
        earlier=newer and versions_of(session, quote)[0] < quote.current_version,
    )
    accepted = accepted_of(quote)
    if accepted is None:
        return situation
    known = {offered.version: failed_offered, current.version: failed}
    return replace(situation, **_of_order(session, quote, accepted, known))


def _of_order(
    session: Session, quote: Quote, accepted: int, known: Mapping[int, tuple[str, ...]]
) -> dict[str, Any]:
    """What decides over an order: its state, its money, and the bike as built.

    ``known`` are the failed checks of versions judged already.
    """
    view = view_of(session, quote, accepted)
    money = ledger_of(session, quote, view.content)
    return {
        "order": order_state(quote),
        "deposit_open": money.deposit_left.minor > 0,
        "money_left": money.paid != money.due,
        "money_paid": money.paid.minor > (money.kept.minor if money.kept else 0),
        "failed_ordered": known[accepted] if accepted in known else failing(session, view),
        "not_set_up": missing_of(
            built_of(order_row(session, quote)),
            view.content,
            version=accepted,
            serials=len(frames_of_quote(session, row_id(quote))),
        ),
    }


def _stops(
    session: Session, quote: Quote, view: QuoteView
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What fails in a version, and what of it is no longer offered."""
    gone = unconfirmed(session, quote, view)
    return failing(session, view), tuple(each.words for each in gone)
