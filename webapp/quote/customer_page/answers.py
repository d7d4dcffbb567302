"""What the customer can do with a quote under its link: accept, ask, read the answers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlmodel import Session, col, select

from webapp.catalogue.lookup import row_id
from webapp.common.errors import DomainError, form_errors
from webapp.common.security.tokens import new_key
from webapp.common.text.dates import day_in_words, moment_in_words
from webapp.common.text.language import tr
from webapp.common.timestamps import day_of
from webapp.quote.customer_page.order_view import OrderView, order_view
from webapp.quote.lifecycle.situation import situation_of
from webapp.quote.lifecycle.transitions import CUSTOMER
from webapp.quote.printing.sheet import SheetPage
from webapp.quote.states import Because, Event, may_happen, to_be_confirmed
from webapp.quote.storage.privacy import KEPT
from webapp.quote.storage.read import QuoteView
from webapp.quote.tables import Quote, QuoteEvent

_TALK = ("question", "answer")
_ORDER_FIELDS = ("accepted_by", "address", "agreed")


@dataclass(frozen=True, kw_only=True)
class MessageShown:
    """One question or answer."""

    who: str
    moment: str
    lines: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Answers:
    """The customer's side of a quote's page.

    ``gone`` says what is no longer offered, where the shop has to confirm it before
    the quote can be accepted; ``unapproved`` that it has not confirmed the quote at all yet.
    """

    action: str
    version: int
    key: str
    can_accept: bool
    can_ask: bool
    can_decline: bool
    order: OrderView | None
    unapproved: bool
    next_steps: tuple[str, ...]
    terms: tuple[str, ...]
    address: str
    deposit: str
    gone: tuple[str, ...]
    accepted: str
    talk: tuple[MessageShown, ...]
    kept: tuple[tuple[str, str], ...]
    errors: tuple[tuple[str, str], ...]
    field_errors: dict[str, str]
    order_refused: bool
    typed: Mapping[str, str]
    price: str

    @property
    def agreed(self) -> bool:
        """Whether the box of the terms is ticked."""
        return self.typed.get("agreed") == "yes"


@dataclass(frozen=True, kw_only=True)
class CustomerPage:
    """A quote as its link shows it: the sheet, and what the customer can do."""

    sheet: SheetPage
    answers: Answers


def answers_of(
    session: Session,
    quote: Quote,
    view: QuoteView,
    *,
    at: datetime,
    error: DomainError | None = None,
    typed: Mapping[str, str] | None = None,
) -> Answers:
    """The customer's side of the version they have.

    Parameters
    ----------
    session : Session
    quote : Quote
    view : QuoteView
        The version sent last.
    at : datetime
    error : DomainError, optional
        Why something could not be done.
    typed : mapping of str to str, optional
        The texts of its form.

    Returns
    -------
    Answers
    """
    events = session.exec(
        select(QuoteEvent)
        .where(QuoteEvent.quote_id == row_id(quote))
        .where(col(QuoteEvent.what).in_((*_TALK, "accepted")))
        .order_by(col(QuoteEvent.id))
    ).all()
    errors, field_errors = form_errors(error)
    situation = situation_of(session, quote, day_of(at), offered=view)
    may = may_happen(situation)
    refused = may[Event.ACCEPT]
    return Answers(
        action=f"/q/{quote.token}",
        version=view.version,
        key=new_key(),
        can_accept=refused is None,
        gone=refused.named if refused and to_be_confirmed(refused) else (),
        can_ask=may[Event.ASK] is None,
        can_decline=may[Event.DECLINE] is None,
        order=order_view(session, quote, view, situation, refused="reason" in field_errors),
        unapproved=refused is not None and refused.because is Because.NOT_APPROVED,
        next_steps=_next_steps(view),
        terms=view.content.terms,
        address=_address_given(events),
        deposit=view.content.price.deposit.printed,
        accepted=_accepted(events, view),
        talk=tuple(_message_shown(event) for event in events if event.what in _TALK),
        kept=KEPT,
        errors=errors,
        field_errors=field_errors,
        order_refused=not field_errors.keys().isdisjoint(_ORDER_FIELDS),
        typed=typed or {},
        price=view.content.price.gross.printed,
    )


def _next_steps(view: QuoteView) -> tuple[str, ...]:
    """What happens after a quote was asked for on the web, step by step."""
    content = view.content
    return (
        tr("We look at your build ourselves, and ask back if something could be better."),
        tr("We confirm it: by mail, if you gave an address, and on this page."),
        tr(
            "Then you order it here, until {day}: with your address and our terms, and with a "
            "deposit of {deposit}. Nothing is binding before.",
            day=day_in_words(content.valid_until),
            deposit=content.price.deposit.printed,
        ),
        tr(
            "Lead time is {lead_time} from the deposit.",
            lead_time=content.lead_time,
        ),
    )


def _address_given(events: Sequence[QuoteEvent]) -> str:
    """The address given with the last order, for a change to it."""
    given = [str(event.detail.get("address", "")) for event in events if event.what == "accepted"]
    return given[-1] if given else ""


def _accepted(events: Sequence[QuoteEvent], view: QuoteView) -> str:
    """Who accepted which version last, and when; empty when nobody has."""
    found = [event for event in events if event.what == "accepted"]
    if view.accepted_version is None or not found:
        return ""
    last = found[-1]
    name = last.detail.get("name", "")
    version, moment = view.accepted_version, moment_in_words(last.at)
    if not name:
        return tr("Version {version} was accepted on {moment}.", version=version, moment=moment)
    return tr(
        "Version {version} was accepted by {name} on {moment}.",
        version=version,
        name=name,
        moment=moment,
    )


def _message_shown(event: QuoteEvent) -> MessageShown:
    text = str(event.detail.get("text", ""))
    who = tr("You") if event.who == CUSTOMER else tr("We")
    return MessageShown(who=who, moment=_moment(event), lines=tuple(text.splitlines()))


def _moment(event: QuoteEvent) -> str:
    return moment_in_words(event.at)
