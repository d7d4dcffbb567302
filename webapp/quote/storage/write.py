"""Writing quotes: their numbers, links, versions and what happened to them."""

from __future__ import annotations

import secrets
from datetime import datetime
from typing import Any

from sqlalchemy import text
from sqlmodel import Session, select

from webapp.catalogue.lookup import row_id
from webapp.common.security.tokens import TOKEN_BYTES, token_hash
from webapp.common.timestamps import day_of
from webapp.customers import store
from webapp.customers.tables import CustomerRow
from webapp.quote.customer import CUSTOMER_DATA, Customer
from webapp.quote.freezing.bikes import names_of, queries_of
from webapp.quote.freezing.content import QuoteContent
from webapp.quote.states import State
from webapp.quote.storage.current_version import standing_version
from webapp.quote.storage.search_index import put_words
from webapp.quote.tables import Quote, QuoteEvent, QuoteVersion

RIDER = "rider"
"""Noted as the maker of a version that nobody of the shop made."""

ASKED, MADE = "asked", "made at the counter"
REQUEST, QUESTION, ANSWERED = "request", "question", "acceptance"
UNDELIVERED = "mail not sent"
CANCELLING, CANCELLED = "asks to cancel", "cancelled"
"""Why a customer waits for the shop."""

# One statement on both databases; in PostgreSQL whoever comes second waits for the first.
_NEXT = text(
    "INSERT INTO quote_counter (year, last) VALUES (:year, 1) "
    "ON CONFLICT (year) DO UPDATE SET last = quote_counter.last + 1 RETURNING last"
)


def next_number(session: Session, year: int) -> str:
    """The next quote number of a year; a number is used once, and some may be missing.

    Parameters
    ----------
    session : Session
        A writing session; the number is its own once it is committed.
    year : int

    Returns
    -------
    str
        Such as ``2026-0001``.
    """
    last = session.execute(_NEXT, {"year": year}).scalar_one()
    return f"{year}-{last:04d}"


def quote_asked_with(session: Session, form_hash: str) -> Quote | None:
    """The quote that this form has made already, if any."""
    return session.exec(select(Quote).where(Quote.form_hash == form_hash)).first()


def put_quote(
    session: Session,
    content: QuoteContent,
    customer: Customer,
    *,
    who: str = RIDER,
    at: datetime,
    form_hash: str | None = None,
    state: State = State.SENT,
    unapproved: bool = False,
    person: int | None = None,
) -> Quote:
    """Write a new quote with its first version.

    Parameters
    ----------
    session : Session
        A writing session.
    content : QuoteContent
        What it says, frozen.
    customer : Customer
        Checked.
    who : str
        `RIDER`, or the name of a member of staff.
    at : datetime
        Moment of writing, UTC; its year gives the number.
    form_hash : str, optional
        Of the form it was asked with; a form makes one quote however often it is sent.
    state : str
        ``sent`` when the customer sees it at once, ``draft`` otherwise.
    unapproved : bool
        Whether it can be ordered only after the shop has confirmed it.
    person : int, optional
        Number of the customer's entry; that of their name and mail address, made where
        there is none, when not given.

    Returns
    -------
    Quote
        The new one, or the one that the same form has made before.
    """
    number = next_number(session, day_of(at).year)
    # Asked again behind the counter's lock: the same form may have been sent twice at once.
    if form_hash and (made := quote_asked_with(session, form_hash)):
        return made
    if person is None and customer.name:
        person = row_id(_entry_of(session, customer, who=who, at=at))
    token = secrets.token_urlsafe(TOKEN_BYTES)
    quote = Quote(
        number=number,
        token=token,
        token_hash=token_hash(token),
        form_hash=form_hash,
        state=state.value,
        created_at=at,
        customer_id=person,
        customer_name=customer.name,
        customer_mail=customer.mail,
        customer_note=customer.note,
        sent_version=1 if state == State.SENT else None,
        unapproved=unapproved,
    )
    session.add(quote)
    session.flush()
    put_version(session, quote, content, customer, number=1, who=who, at=at)
    asked = who == RIDER
    note_event(session, quote, who=who, what=ASKED if asked else MADE, at=at, version=1)
    if asked:
        wait_for_shop(session, quote, REQUEST, at=at)
    return quote


def _entry_of(session: Session, customer: Customer, *, who: str, at: datetime) -> CustomerRow:
    name, mail = customer.name, customer.mail
    return store.find_or_make(session, name=name, mail=mail, who=who, at=at)


def _follow(session: Session, quote: Quote, customer: Customer, *, who: str, at: datetime) -> None:
    """Update the customer's entry from a changed quote, where both agreed before."""
    if quote.customer_id is None:
        if customer.name:
            quote.customer_id = row_id(_entry_of(session, customer, who=who, at=at))
        return
    entry = store.customer_row(session, quote.customer_id)
    said = {
        "name": (quote.customer_name, customer.name),
        "mail": (quote.customer_mail, customer.mail),
    }
    now = {name: new for name, (old, new) in said.items() if getattr(entry, name) == old}
    store.change(session, entry, now, who=who, at=at)


def wait_for_shop(session: Session, quote: Quote, why: str, *, at: datetime) -> None:
    """Put a quote into the shop's inbox; it keeps the place it has there.

    An acceptance or a cancellation replaces any other reason, and a new request stays one until
    the shop has looked at it.
    """
    quote.waiting_since = quote.waiting_since or at
    told_first = (ANSWERED, CANCELLING, CANCELLED)
    if why in told_first or quote.waiting_for not in (REQUEST, *told_first):
        quote.waiting_for = why
    session.add(quote)
    session.flush()


def mail_given_up(session: Session, number: str, at: datetime) -> None:
    """Put a quote into the inbox whose mail never went out; what waits there already stays."""
    quote = session.exec(select(Quote).where(Quote.number == number).with_for_update()).first()
    if quote is not None and quote.waiting_since is None:
        wait_for_shop(session, quote, UNDELIVERED, at=at)


def put_version(
    session: Session,
    quote: Quote,
    content: QuoteContent,
    customer: Customer,
    *,
    number: int,
    who: str,
    at: datetime,
) -> QuoteVersion:
    """Write one version of a quote and make it the current one."""
    version = QuoteVersion(
        quote_id=row_id(quote),
        number=number,
        created_at=at,
        created_by=who,
        model=content.build.model_slug,
        build="\n".join(queries_of(content)),
        customer=CUSTOMER_DATA.dump_python(customer, mode="json"),
        content=content.model_dump(mode="json"),
    )
    session.add(version)
    make_current(session, quote, content, customer, number=number, who=who, at=at)
    return version


def make_current(
    session: Session,
    quote: Quote,
    content: QuoteContent,
    customer: Customer,
    *,
    number: int,
    who: str,
    at: datetime,
) -> None:
    """Copy customer and content of a version to its quote and the customer's entry."""
    _follow(session, quote, customer, who=who, at=at)
    quote.current_version = number
    quote.customer_name, quote.customer_mail = customer.name, customer.mail
    quote.customer_note = customer.note
    list_standing(session, quote, content, number=number)


def list_standing(session: Session, quote: Quote, content: QuoteContent, *, number: int) -> None:
    """Copy a version to the columns that lists show, if it is the one that counts."""
    if number == standing_version(quote):
        gross = content.price.gross
        quote.model, quote.size = names_of(content)
        quote.gross_minor, quote.currency = gross.minor, gross.currency
        quote.valid_until = content.valid_until
    session.add(quote)
    session.flush()


def note_event(
    session: Session,
    quote: Quote,
    *,
    who: str,
    what: str,
    at: datetime,
    version: int | None = None,
    form_hash: str | None = None,
    **detail: Any,
) -> None:
    """Remember what happened to a quote, and with which form; it is found by it from now on.

    Every change of a quote is noted here, so its search words are set here too.
    """
    session.add(
        QuoteEvent(
            quote_id=row_id(quote),
            at=at,
            who=who,
            what=what,
            version=version,
            detail=detail,
            form_hash=form_hash,
        )
    )
    session.flush()
    put_words(session, quote)
