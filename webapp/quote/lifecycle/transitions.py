"""What may become of a quote: sent, accepted, declined, withdrawn, asked about, answered.

    draft ──send──▶ sent ──accept──▶ accepted
      │              │ ├──decline──▶ declined
      └──withdraw──┬─┘ └──(time)───▶ expired
                   ▼
               withdrawn

A quote that was declined, has expired or was withdrawn goes back to *sent* by
sending a newer version, and in no other way; a draft withdrawn before anybody
saw it can still be sent. *Accepted* stays: a newer version sent then is a change
offered, which is accepted in its turn, or declined, withdrawn or left to expire
while the order stays as it was. *Expired* is never written: it is what a sent
quote is after its last day, so that a clock put right puts the quote right too.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from sqlmodel import Session, select

from webapp.common.errors import Conflict, Invalid
from webapp.quote.customer import LONGEST_NAME, one_line, several_lines
from webapp.quote.freezing.content import QuoteContent
from webapp.quote.lifecycle.permissions import refuse_failed
from webapp.quote.storage.current_version import accepted_of, change_offered
from webapp.quote.storage.write import ANSWERED, QUESTION, list_standing, note_event, wait_for_shop
from webapp.quote.tables import (
    ACCEPTED,
    DECLINED,
    DRAFT,
    EXPIRED,
    SENT,
    WITHDRAWN,
    Quote,
    QuoteEvent,
)

LONGEST_TEXT = 2000
CUSTOMER = "customer"
"""Who did it, where it was whoever has the link."""


class Stale(Conflict):
    """Somebody else has changed the quote since the form was shown."""


def state_on(quote: Quote, day: date, valid_until: date) -> str:
    """The state of what the customer has, on a day."""
    return EXPIRED if quote.state == SENT and day > valid_until else quote.state


def state_offered(quote: Quote, day: date, valid_until: date) -> str:
    """The state on a day of the version before the customer, a change to an order included.

    Parameters
    ----------
    quote : Quote
    day : date
    valid_until : date
        Of the version sent last.
    """
    if change_offered(quote):
        return EXPIRED if day > valid_until else SENT
    return state_on(quote, day, valid_until)


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
        words = f"version {quote.current_version}, {quote.state}"
        raise Stale("quote", words, "look at it as it is now, then decide again")


def send(
    session: Session,
    quote: Quote,
    content: QuoteContent,
    *,
    who: str,
    at: datetime,
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
    form_hash : str, optional

    Raises
    ------
    Forbidden
        For a build with a failed check: it stays a draft, with the failure on it.
    Conflict
        When the customer has had this version and answered it, or its last day is over.
    """
    refuse_failed(session, quote, quote.current_version)
    if content.valid_until < at.date():
        raise Conflict("valid_until", content.valid_until, "a new version with a later last day")
    newer = quote.current_version != quote.sent_version
    if quote.state not in (DRAFT, SENT) and not newer and not change_offered(quote):
        raise Conflict("state", quote.state, "make a new version first; this one is answered")
    quote.accepted_version = accepted_of(quote)
    quote.state = ACCEPTED if quote.accepted_version else SENT
    quote.sent_version = quote.current_version
    list_standing(session, quote, content, number=quote.current_version)
    _settle(quote)
    _save(session, quote, who=who, what="sent", at=at, form_hash=form_hash)


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

    Raises
    ------
    Invalid
        For no name, or too long a one.
    Stale
        When a newer version has been sent since.
    Conflict
        When it is expired, withdrawn, declined or accepted already.
    Forbidden
        For a build with a failed check.
    """
    typed = one_line(name)
    if not 0 < len(typed) <= LONGEST_NAME:
        remedy = f"your name in place of a signature, at most {LONGEST_NAME} characters"
        raise Invalid("accepted_by", typed[:LONGEST_NAME], remedy)
    if quote.sent_version != version:
        raise Stale("version", version, "the shop has sent a newer version; read that one first")
    state = state_offered(quote, at.date(), content.valid_until)
    if state != SENT or quote.erased_at is not None:
        raise Conflict("state", state, "only a quote that is open can be accepted; ask the shop")
    refuse_failed(session, quote, version)
    quote.state, quote.accepted_version = ACCEPTED, version
    list_standing(session, quote, content, number=version)
    if who == CUSTOMER:
        wait_for_shop(session, quote, ANSWERED, at=at)
    _save(session, quote, who=who, what="accepted", at=at, form_hash=form_hash, name=typed)


def decline(
    session: Session,
    quote: Quote,
    *,
    reason: str,
    who: str,
    at: datetime,
    form_hash: str | None = None,
) -> None:
    """Note that the customer will not have it.

    Raises
    ------
    Conflict
        Unless it was sent and not answered; a change to an order is declined alone.
    """
    if not change_offered(quote):
        _only_from(quote, SENT)
    _end(session, quote, DECLINED, reason=reason, who=who, at=at, form_hash=form_hash)


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
    if not change_offered(quote):
        _only_from(quote, DRAFT, SENT)
    _end(session, quote, WITHDRAWN, reason=reason, who=who, at=at, form_hash=form_hash)


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
    words = several_lines(text)
    if not 0 < len(words) <= LONGEST_TEXT:
        raise Invalid("text", words[:LONGEST_TEXT], f"a text of 1 to {LONGEST_TEXT} characters")
    if who == CUSTOMER:
        wait_for_shop(session, quote, QUESTION, at=at)
    else:
        _settle(quote)
    what = "question" if who == CUSTOMER else "answer"
    _save(session, quote, who=who, what=what, at=at, form_hash=form_hash, text=words)
    return words


def settle(
    session: Session, quote: Quote, *, who: str, at: datetime, form_hash: str | None = None
) -> None:
    """Take a quote out of the inbox: the customer waits for nothing."""
    _settle(quote)
    _save(session, quote, who=who, what="taken out of the inbox", at=at, form_hash=form_hash)


def _only_from(quote: Quote, *states: str) -> None:
    if quote.state not in states:
        raise Conflict("state", quote.state, f"a quote that is {' or '.join(states)}")


def _end(
    session: Session,
    quote: Quote,
    state: str,
    *,
    reason: str,
    who: str,
    at: datetime,
    form_hash: str | None,
) -> None:
    """Nothing more is waited for; the state's own word says in the log what happened.

    The version it happened to is noted before an order goes back to what was accepted.
    """
    _settle(quote)
    text = several_lines(reason)[:LONGEST_TEXT]
    _save(session, quote, who=who, what=state, at=at, form_hash=form_hash, text=text)
    if change_offered(quote):
        quote.sent_version = accepted_of(quote)
    else:
        quote.state = state
    session.flush()


def _settle(quote: Quote) -> None:
    quote.waiting_since, quote.waiting_for = None, ""


def _save(
    session: Session,
    quote: Quote,
    *,
    who: str,
    what: str,
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
