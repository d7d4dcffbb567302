"""The steps of a quote: sent, accepted, declined, asked about, answered; each is logged.

Whether a step is allowed is decided by `webapp.quote.states` alone; here it is refused in
words, or done and logged.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from sqlmodel import Session

from webapp.common.errors import Conflict, Gathering, Invalid
from webapp.common.text.language import tr
from webapp.common.timestamps import day_of
from webapp.customers.typed import LONGEST_NAME, one_line, several_lines
from webapp.quote.freezing.content import QuoteContent
from webapp.quote.lifecycle.action_checks import Stale, require
from webapp.quote.lifecycle.once import events_of, refuse_repeated
from webapp.quote.lifecycle.order_terms import OrderTerms
from webapp.quote.lifecycle.still_offered import unconfirmed
from webapp.quote.states import (
    Event,
    state_after,
)
from webapp.quote.storage.current_version import accepted_of
from webapp.quote.storage.read import view_of
from webapp.quote.storage.write import ANSWERED, QUESTION, list_standing, note_event, wait_for_shop
from webapp.quote.tables import Quote

LONGEST_TEXT = 2000
CUSTOMER = "customer"
"""The name noted for steps by whoever has the link."""


_TALK = (Event.ASK, Event.ANSWER)


def send(
    session: Session,
    quote: Quote,
    content: QuoteContent,
    *,
    who: str,
    at: datetime,
    confirmed: Sequence[str] = (),
    form_hash: str | None = None,
) -> None:
    """Make the current version the one the customer's link shows.

    Parameters
    ----------
    session : Session
        A writing session.
    quote : Quote
        Locked.
    content : QuoteContent
        Of its current version.
    who : str
    at : datetime
    confirmed : sequence of str
        What is no longer offered and will be delivered all the same, by its keys.
    form_hash : str, optional

    Raises
    ------
    Forbidden, Conflict
        As `require`.
    """
    _confirm(session, quote, quote.current_version, confirmed, who=who, at=at)
    situation = require(session, quote, Event.SEND, day=day_of(at))
    quote.accepted_version = accepted_of(quote)
    quote.state = state_after(Event.SEND, situation).value
    quote.sent_version = quote.current_version
    quote.unapproved = False
    list_standing(session, quote, content, number=quote.current_version)
    _settle(quote)
    _save(session, quote, who=who, what=Event.SEND, at=at, form_hash=form_hash)


def approve(
    session: Session, quote: Quote, *, who: str, at: datetime, form_hash: str | None = None
) -> None:
    """Let a quote be ordered that was asked for on the web; a question still waits for its answer.

    Raises
    ------
    Forbidden, Conflict
        As `require`.
    """
    require(session, quote, Event.APPROVE, day=day_of(at))
    quote.unapproved = False
    said = [event.what for event in events_of(session, quote) if event.what in _TALK]
    if said and said[0] == Event.ASK:
        quote.waiting_for = QUESTION
    else:
        _settle(quote)
    _save(session, quote, who=who, what=Event.APPROVE, at=at, form_hash=form_hash)


def confirm(
    session: Session,
    quote: Quote,
    *,
    confirmed: Sequence[str],
    who: str,
    at: datetime,
    form_hash: str | None = None,
) -> None:
    """Note that the shop delivers items no longer offered in the version the customer has.

    Raises
    ------
    Conflict
        When nothing waits for it, or something has gone that was not on the page.
    """
    version = quote.sent_version or quote.current_version
    if not _confirm(session, quote, version, confirmed, who=who, at=at, form_hash=form_hash):
        raise Conflict("offered", None, tr("look at the quote as it is now, then decide again"))


def _confirm(
    session: Session,
    quote: Quote,
    version: int,
    keys: Sequence[str],
    *,
    who: str,
    at: datetime,
    form_hash: str | None = None,
) -> bool:
    """Note what is confirmed of a version; nothing if something else has gone too."""
    found = unconfirmed(session, quote, view_of(session, quote, version))
    gone = {each.key for each in found}
    if not gone or not gone <= set(keys):
        return False
    note_event(
        session,
        quote,
        who=who,
        what=Event.CONFIRM,
        at=at,
        version=version,
        form_hash=form_hash,
        gone=sorted(gone),
        text=" ".join(each.words for each in found),
    )
    return True


def accept(
    session: Session,
    quote: Quote,
    content: QuoteContent,
    *,
    version: int,
    name: str,
    who: str,
    at: datetime,
    form_hash: str | None = None,
    terms: OrderTerms | None = None,
) -> None:
    """Accept the version the customer has seen, with a typed name.

    Parameters
    ----------
    session : Session
        A writing session.
    quote : Quote
        Locked.
    content : QuoteContent
        Of the version sent last.
    version : int
        The version the form stood under.
    name : str
        As typed, in place of a signature.
    who : str
        `CUSTOMER`, or the member of staff it was said to.
    at : datetime
    form_hash : str, optional
    terms : OrderTerms, optional
        Address and agreement, without which a customer cannot order; at the counter
        they may be given by word of mouth.

    Raises
    ------
    Invalid
        For no name, or too long a one, and for what is missing of the terms.
    Stale
        When a newer version has been sent since.
    Forbidden, Conflict
        As `require`.
    """
    typed = _signed(name, terms)
    if quote.sent_version != version:
        raise Stale(
            "version", version, tr("the shop has sent a newer version; read that one first")
        )
    situation = require(session, quote, Event.ACCEPT, day=day_of(at))
    quote.state, quote.accepted_version = state_after(Event.ACCEPT, situation).value, version
    list_standing(session, quote, content, number=version)
    if who == CUSTOMER:
        wait_for_shop(session, quote, ANSWERED, at=at)
    told = terms.kept_values() if terms else {}
    _save(session, quote, who=who, what=Event.ACCEPT, at=at, form_hash=form_hash, **typed, **told)


def _signed(name: str, terms: OrderTerms | None) -> dict[str, str]:
    """The name an order is signed with, once everything that goes with it is there."""
    gathering = Gathering()
    typed = one_line(name)
    if not 0 < len(typed) <= LONGEST_NAME:
        remedy = tr(
            "your name in place of a signature, at most {longest_name} characters",
            longest_name=LONGEST_NAME,
        )
        gathering.add("accepted_by", typed[:LONGEST_NAME], remedy)
    if terms is not None:
        gathering.take(terms.check)
    gathering.finish()
    return {"name": typed}


def decline(
    session: Session,
    quote: Quote,
    *,
    reason: str,
    who: str,
    at: datetime,
    form_hash: str | None = None,
) -> None:
    """Note that the customer declines the quote.

    Raises
    ------
    Conflict
        Unless it was sent and not answered; a change to an order is declined alone.
    """
    _end(session, quote, Event.DECLINE, reason=reason, who=who, at=at, form_hash=form_hash)


def withdraw(
    session: Session,
    quote: Quote,
    *,
    reason: str,
    who: str,
    at: datetime,
    form_hash: str | None = None,
) -> None:
    """Take the quote back before it is answered.

    Raises
    ------
    Conflict
        When it is answered or withdrawn already; a change to an order is withdrawn alone.
    """
    _end(session, quote, Event.WITHDRAW, reason=reason, who=who, at=at, form_hash=form_hash)


def say(
    session: Session,
    quote: Quote,
    *,
    text: str,
    who: str,
    at: datetime,
    form_hash: str | None = None,
) -> str:
    """Keep what the customer asks, or what the shop answers.

    Returns
    -------
    str
        The text as kept.

    Raises
    ------
    Invalid
        For no text, or too long a one.
    """
    if who == CUSTOMER:
        require(session, quote, Event.ASK, day=day_of(at))
    words = several_lines(text)
    if not 0 < len(words) <= LONGEST_TEXT:
        raise Invalid(
            "text",
            words[:LONGEST_TEXT],
            tr("a text of 1 to {longest_text} characters", longest_text=LONGEST_TEXT),
        )
    if who == CUSTOMER:
        wait_for_shop(session, quote, QUESTION, at=at)
    else:
        refuse_repeated(session, quote, words)
        _settle(quote)
    what = Event.ASK if who == CUSTOMER else Event.ANSWER
    _save(session, quote, who=who, what=what, at=at, form_hash=form_hash, text=words)
    return words


def settle(
    session: Session, quote: Quote, *, who: str, at: datetime, form_hash: str | None = None
) -> None:
    """Take a quote out of the inbox: the customer no longer waits for anything."""
    require(session, quote, Event.SETTLE, day=day_of(at))
    _settle(quote)
    _save(session, quote, who=who, what=Event.SETTLE, at=at, form_hash=form_hash)


def _end(
    session: Session,
    quote: Quote,
    event: Event,
    *,
    reason: str,
    who: str,
    at: datetime,
    form_hash: str | None,
) -> None:
    """End the quote: nobody has to answer it any more.

    The version it happened to is noted before an order goes back to what was accepted.
    """
    situation = require(session, quote, event, day=day_of(at))
    _settle(quote)
    text = several_lines(reason)[:LONGEST_TEXT]
    _save(session, quote, who=who, what=event, at=at, form_hash=form_hash, text=text)
    quote.state = state_after(event, situation).value
    if situation.order:
        quote.sent_version = accepted_of(quote)
    session.flush()


def _settle(quote: Quote) -> None:
    quote.waiting_since, quote.waiting_for = None, ""


def _save(
    session: Session,
    quote: Quote,
    *,
    who: str,
    what: Event,
    at: datetime,
    form_hash: str | None,
    **detail: Any,
) -> None:
    session.add(quote)
    session.flush()
    note_event(
        session,
        quote,
        who=who,
        what=what,
        at=at,
        # What is done is done to what the customer has; a draft nobody has seen is all there is.
        version=quote.sent_version or quote.current_version,
        form_hash=form_hash,
        **detail,
    )
